// The native rival: Eigen's SimplicialLDLT with AMD on a matrix written by systems.mjs.
// g++ -O3 -march=native -I/usr/include/eigen3 eigen-ldlt.cpp -o eigen-ldlt
// usage: eigen-ldlt FILE REPEATS -> one JSON line of milliseconds
#include <Eigen/SparseCholesky>
#include <Eigen/SparseCore>
#include <algorithm>
#include <chrono>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <vector>

using Clock = std::chrono::steady_clock;
static double since(Clock::time_point t) {
  return std::chrono::duration<double, std::milli>(Clock::now() - t).count();
}
static double fastest(const std::vector<double>& v) { return *std::min_element(v.begin(), v.end()); }

int main(int argc, char** argv) {
  if (argc < 3) return 2;
  FILE* f = std::fopen(argv[1], "rb");
  if (!f) return 3;
  int32_t n = 0, nnz = 0;
  if (std::fread(&n, 4, 1, f) != 1 || std::fread(&nnz, 4, 1, f) != 1) return 3;
  std::vector<int32_t> offsets(n + 1), rows(nnz);
  std::vector<double> values(nnz);
  if (std::fread(offsets.data(), 4, n + 1, f) != size_t(n + 1)) return 3;
  if (std::fread(rows.data(), 4, nnz, f) != size_t(nnz)) return 3;
  if (std::fread(values.data(), 8, nnz, f) != size_t(nnz)) return 3;
  std::fclose(f);
  Eigen::Map<Eigen::SparseMatrix<double>> a(n, n, nnz, offsets.data(), rows.data(), values.data());
  const int repeats = std::atoi(argv[2]);
  Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>, Eigen::Lower, Eigen::AMDOrdering<int>> solver;
  std::vector<double> analyse, factor, solve;
  Eigen::VectorXd b(n), x;
  for (int i = 0; i < n; i++) b[i] = std::sin(i + 1.0);
  for (int r = 0; r < repeats; r++) {
    auto t = Clock::now();
    solver.analyzePattern(a);
    analyse.push_back(since(t));
    t = Clock::now();
    solver.factorize(a);
    factor.push_back(since(t));
    t = Clock::now();
    x = solver.solve(b);
    solve.push_back(since(t));
  }
  if (solver.info() != Eigen::Success) return 4;
  const double residual = (a.selfadjointView<Eigen::Lower>() * x - b).lpNorm<Eigen::Infinity>();
  std::printf("{\"analyse\":%.3f,\"factor\":%.3f,\"solve\":%.3f,\"factorEntries\":%ld,\"residual\":%.3g}\n",
              fastest(analyse), fastest(factor), fastest(solve),
              long(Eigen::SparseMatrix<double>(solver.matrixL()).nonZeros()), residual);
}
