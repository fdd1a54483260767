#!/usr/bin/env python3
"""Computes the reference figures of flatten-figures.json with SciPy and Eigen, apart from the library's own code.

    python3 make_figures.py    (Debian: apt-get install python3-scipy libeigen3-dev g++)

Meshes: triangles only, from closed formulas below, so that nothing is shared with the library but the definitions.
- lscm: least squares of the conformal residuals per triangle (Levy et al. 2002), complex rows weighted by the
  root of the area, two vertices pinned, by a dense singular value decomposition; lscmSparse the same with SciPy's
  sparse least squares (lsqr), lscmEigen by lscm_eigen.cpp beside this file.
- spectral: least generalised eigenvectors of the conformal energy against the border mass (Mullen et al. 2008),
  by scipy.linalg.eigh on the dense matrices; spectralSparse by scipy.sparse.linalg.eigsh (Lanczos) on the sparse ones.
- isometric: least area-weighted mean symmetric Dirichlet energy (Smith & Schaefer 2015), by
  scipy.optimize.minimize (BFGS with analytic gradient, infinite when a triangle flips), started from the
  orthographic projection.
"""
import json, math, os, subprocess, tempfile
import numpy as np
import scipy
from scipy.linalg import eigh
from scipy.optimize import minimize
from scipy.sparse import csc_matrix, diags
from scipy.sparse.linalg import eigsh, lsqr


def grid(columns, rows, place, split):
    points = [place(i / columns, j / rows) for j in range(rows + 1) for i in range(columns + 1)]
    faces = []
    for j in range(rows):
        for i in range(columns):
            a = j * (columns + 1) + i
            b, c, d = a + 1, a + columns + 2, a + columns + 1
            faces += [[a, b, c], [a, c, d]] if split(i, j) else [[a, b, d], [b, c, d]]
    return np.array(points, float), np.array(faces)


MESHES = {
    "bumpy": grid(9, 7, lambda u, v: [u, 0.8 * v, 0.2 * math.sin(5 * u) * math.cos(4 * v)], lambda i, j: (i + j) % 2 == 0),
    "dome": grid(8, 8, lambda u, v: [u - 0.5, v - 0.5, 0.9 * (0.5 - (u - 0.5) ** 2 - (v - 0.5) ** 2)], lambda i, j: i < 4),
    "saddle": grid(10, 5, lambda u, v: [1.6 * u, v, 0.7 * (u - 0.5) ** 2 - 0.9 * (v - 0.4) ** 2 + 0.1 * u * v], lambda i, j: j % 2 == 0),
}


def local_frames(p, f):
    """2D corners of each triangle in its own plane, and its area."""
    out = []
    for a, b, c in f:
        x = p[b] - p[a]
        l = np.linalg.norm(x)
        x = x / l
        n = np.cross(p[b] - p[a], p[c] - p[a])
        y = np.cross(n / np.linalg.norm(n), x)
        out.append(([0j, l + 0j, complex((p[c] - p[a]) @ x, (p[c] - p[a]) @ y)], np.linalg.norm(n) / 2))
    return out


def lscm(p, f, pins):
    n = len(p)
    rows = np.zeros((len(f), n), complex)
    for t, (tri, (z, area)) in enumerate(zip(f, local_frames(p, f))):
        for k in range(3):
            rows[t, tri[k]] = (z[(k + 2) % 3] - z[(k + 1) % 3]) / math.sqrt(2 * area)
    free = [v for v in range(n) if v not in pins]
    right = -sum(rows[:, v] * z for v, z in pins.items())
    w, *_ = np.linalg.lstsq(rows[:, free], right, rcond=None)
    uv = np.zeros(n, complex)
    for v, z in pins.items():
        uv[v] = z
    uv[free] = w
    return uv, rows


def lscm_sparse(rows, pins):
    """The same system over the reals, by iterative least squares."""
    n = rows.shape[1]
    free = [v for v in range(n) if v not in pins]
    right = -sum(rows[:, v] * z for v, z in pins.items())
    left = rows[:, free]
    real = csc_matrix(np.block([[left.real, -left.imag], [left.imag, left.real]]))
    w = lsqr(real, np.concatenate([right.real, right.imag]), atol=1e-15, btol=1e-15, iter_lim=100000)[0]
    uv = np.zeros(n, complex)
    for v, z in pins.items():
        uv[v] = z
    uv[free] = w[: len(free)] + 1j * w[len(free) :]
    return uv


def lscm_eigen(program, p, f, pins):
    (a, _), (b, distance) = pins.items()
    lines = [str(len(p))] + [" ".join(repr(float(x)) for x in q) for q in p]
    lines += [str(len(f))] + [" ".join(map(str, t)) for t in f] + [f"{a} {b} {distance.real!r}"]
    out = subprocess.run([program], input="\n".join(lines), capture_output=True, text=True, check=True).stdout
    return np.array([complex(*map(float, line.split())) for line in out.splitlines()])


def border_of(f):
    sides = {(int(t[k]), int(t[(k + 1) % 3])) for t in f for k in range(3)}
    return sorted({a for a, b in sides if (b, a) not in sides})


def spectral(p, f, rows):
    n = len(p)
    hermitian = rows.conj().T @ rows
    real = np.block([[hermitian.real, -hermitian.imag], [hermitian.imag, hermitian.real]])
    # Conformal maps are holomorphic: rows · (u + iv) = 0.
    mass = np.zeros(n)
    mass[border_of(f)] = 1
    b = np.concatenate([mass, mass])
    # Inverse problem: greatest 1/λ of B against the energy, with a shift that moves no eigenvector.
    shift = 1e-10
    values, vectors = eigh(np.diag(b), real + shift * np.diag(b))
    # The greatest two are the constants; the next two span the map and its quarter turn.
    pick = vectors[:, -3]
    uv = pick[:n] + 1j * pick[n:]
    uv -= uv[mass > 0].mean()
    return uv


def spectral_sparse(p, f, rows):
    n = len(p)
    hermitian = rows.conj().T @ rows
    real = csc_matrix(np.block([[hermitian.real, -hermitian.imag], [hermitian.imag, hermitian.real]]))
    mass = np.zeros(n)
    mass[border_of(f)] = 1
    b = diags(np.concatenate([mass, mass])).tocsc()
    # The border mass is singular, so it stands on the left: greatest eigenvalues of B x = mu (energy + shift B) x.
    start = np.sin(np.arange(2 * n) + 1.0)
    values, vectors = eigsh(b, k=4, M=(real + 1e-6 * b).tocsc(), which="LM", tol=1e-14, v0=start, maxiter=100000)
    pick = vectors[:, np.argsort(values)[1]]
    uv = pick[:n] + 1j * pick[n:]
    return uv - uv[mass > 0].mean()


def isometric(p, f, start):
    frames = local_frames(p, f)
    total = sum(area for _, area in frames)
    inverse = np.array([np.linalg.inv(np.array([[z[1].real, z[2].real], [0, z[2].imag]])) for z, _ in frames])
    weight = np.array([area for _, area in frames]) / total

    def value(x):
        q = x.reshape(-1, 2)
        d = np.stack([q[f[:, 1]] - q[f[:, 0]], q[f[:, 2]] - q[f[:, 0]]], axis=2)
        j = d @ inverse
        det = np.linalg.det(j)
        if det.min() <= 0:
            return np.inf, np.zeros_like(x)
        norm = (j**2).sum((1, 2))
        cof = np.stack([np.stack([j[:, 1, 1], -j[:, 1, 0]], 1), np.stack([-j[:, 0, 1], j[:, 0, 0]], 1)], 1)
        g = 2 * (1 + 1 / det**2)[:, None, None] * j - (2 * norm / det**3)[:, None, None] * cof
        gd = (g * weight[:, None, None]) @ np.swapaxes(inverse, 1, 2)
        grad = np.zeros_like(q)
        np.add.at(grad, f[:, 1], gd[:, :, 0])
        np.add.at(grad, f[:, 2], gd[:, :, 1])
        np.add.at(grad, f[:, 0], -gd[:, :, 0] - gd[:, :, 1])
        return float((weight * norm * (1 + 1 / det**2)).sum()), grad.ravel()

    best = minimize(value, start.ravel(), jac=True, method="BFGS", options={"gtol": 1e-9, "maxiter": 20000})
    return best.fun, best.x.reshape(-1, 2)


here = os.path.dirname(os.path.abspath(__file__))
program = os.path.join(tempfile.mkdtemp(), "lscm_eigen")
subprocess.run(["g++", "-O2", "-I/usr/include/eigen3", os.path.join(here, "lscm_eigen.cpp"), "-o", program], check=True)
versions = {}
for line in open("/usr/include/eigen3/Eigen/src/Core/util/Macros.h"):
    if line.startswith("#define EIGEN_") and "_VERSION " in line and line.split()[-1].isdigit():
        versions[line.split()[1].split("_")[1]] = line.split()[-1]
eigen = ".".join(versions[k] for k in ("WORLD", "MAJOR", "MINOR") if k in versions)
figures = {"madeWith": f"SciPy {scipy.__version__}, NumPy {np.__version__}, Eigen {eigen}", "meshes": {}}
for name, (p, f) in MESHES.items():
    border = border_of(f)
    far = max(((a, b) for a in border for b in border if a < b), key=lambda e: np.linalg.norm(p[e[0]] - p[e[1]]))
    pins = {int(far[0]): 0j, int(far[1]): complex(np.linalg.norm(p[far[0]] - p[far[1]]))}
    conformal, rows = lscm(p, f, pins)
    free = spectral(p, f, rows)
    energy, flat = isometric(p, f, p[:, :2].copy())
    pack = lambda uv: [float(f"{x:.12g}") for z in uv for x in (z.real, z.imag)]
    figures["meshes"][name] = {
        "points": [float(f"{x:.12g}") for x in p.ravel()],
        "faces": f.tolist(),
        "lscm": {"pins": [int(far[0]), int(far[1])], "uvs": pack(conformal)},
        "lscmSparse": pack(lscm_sparse(rows, pins)),
        "lscmEigen": pack(lscm_eigen(program, p, f, pins)),
        "spectral": pack(free),
        "spectralSparse": pack(spectral_sparse(p, f, rows)),
        "isometric": {"energy": energy, "uvs": [float(f"{x:.10g}") for x in flat.ravel()]},
    }
with open(os.path.join(here, "flatten-figures.json"), "w") as out:
    json.dump(figures, out, separators=(",", ":"))
    out.write("\n")
