// Least-squares conformal maps with Eigen, for make_figures.py: reads meshes from the standard input, writes UVs.
//   g++ -O2 -I/usr/include/eigen3 lscm_eigen.cpp    (Debian: libeigen3-dev)
// Input: point count, points, triangle count, triangles, two pinned vertices, their distance; the first pin comes to
// the origin. The system is assembled apart from the others: real normal equations of the residuals of Levy et al.
// 2002, by Eigen's sparse LDL^T.
#include <Eigen/Dense>
#include <Eigen/Sparse>
#include <cstdio>
#include <iostream>
#include <vector>

int main() {
  int n, m, pins[2];
  double distance;
  std::cin >> n;
  std::vector<Eigen::Vector3d> points(n);
  for (auto& p : points) std::cin >> p[0] >> p[1] >> p[2];
  std::cin >> m;
  std::vector<Eigen::Triplet<double>> rows;
  for (int t = 0; t < m; t++) {
    int corner[3];
    std::cin >> corner[0] >> corner[1] >> corner[2];
    const Eigen::Vector3d d1 = points[corner[1]] - points[corner[0]], d2 = points[corner[2]] - points[corner[0]];
    const Eigen::Vector3d x = d1.normalized(), y = d1.cross(d2).cross(d1).normalized();
    Eigen::Matrix2d sides;
    sides << d1.dot(x), d2.dot(x), d1.dot(y), d2.dot(y);
    const double area = sides.determinant() / 2;
    Eigen::Matrix<double, 2, 3> differences;
    differences << -1, 1, 0, -1, 0, 1;
    // Gradients of the hat functions, one per column.
    const Eigen::Matrix<double, 2, 3> hats = sides.inverse().transpose() * differences;
    for (int k = 0; k < 3; k++) {
      const double gx = hats(0, k) * std::sqrt(area), gy = hats(1, k) * std::sqrt(area);
      // Cauchy-Riemann: u_x - v_y = 0 and u_y + v_x = 0.
      rows.emplace_back(2 * t, corner[k], gx);
      rows.emplace_back(2 * t, n + corner[k], -gy);
      rows.emplace_back(2 * t + 1, corner[k], gy);
      rows.emplace_back(2 * t + 1, n + corner[k], gx);
    }
  }
  std::cin >> pins[0] >> pins[1] >> distance;
  Eigen::SparseMatrix<double> a(2 * m, 2 * n);
  a.setFromTriplets(rows.begin(), rows.end());
  Eigen::VectorXd uv = Eigen::VectorXd::Zero(2 * n);
  uv[pins[1]] = distance;
  std::vector<int> place(2 * n, -1);
  int free = 0;
  for (int i = 0; i < 2 * n; i++)
    if (i % n != pins[0] && i % n != pins[1]) place[i] = free++;
  std::vector<Eigen::Triplet<double>> kept;
  for (const auto& e : rows)
    if (place[e.col()] >= 0) kept.emplace_back(e.row(), place[e.col()], e.value());
  Eigen::SparseMatrix<double> f(2 * m, free);
  f.setFromTriplets(kept.begin(), kept.end());
  Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> solver(f.transpose() * f);
  const Eigen::VectorXd x = solver.solve(f.transpose() * (-(a * uv)));
  for (int i = 0; i < 2 * n; i++)
    if (place[i] >= 0) uv[i] = x[place[i]];
  for (int v = 0; v < n; v++) std::printf("%.15g %.15g\n", uv[v], uv[n + v]);
}
