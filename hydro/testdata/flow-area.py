#!/usr/bin/python3
"""Make flow-area.csv, the upslope areas TestUpslopeAreaSolvesTheLinearSystem
compares with. Needs numpy and scipy; 1.10.1 of scipy made the file here.

Upslope area a solves a linear system: what a cell has is its own area and the
shares its neighbours send it,

    a = 1 + P' a,    (I - P') a = 1,

where P[i, j] is the share of the water of cell i that goes to cell j. scipy
solves it with a sparse LU factorisation, so neither order nor recursion, nor a
line of our code, has a part in it.

The ground has no pit: every cell lies above the one to its south. Elevations
are whole numbers of 1/1024 m, which a float32 holds exactly, so both sides see
the same ground. Shares: Freeman (1991) with exponent 1.1; steepest of eight,
O'Callaghan & Mark (1984), equals to the lower index; Tarboton (1997).

Columns: row, col, z_1024 (elevation, 1/1024 m), multiple, single, facet (m²;
cells of 1 m).
"""
import numpy as np
from scipy.sparse import csc_matrix, identity
from scipy.sparse.linalg import spsolve

ROWS, COLS = 40, 50
rng = np.random.default_rng(20260101)
r, c = np.mgrid[0:ROWS, 0:COLS]
z = np.round(1024 * (0.2 * (ROWS - r) + 0.06 * rng.random((ROWS, COLS)) * 2 + 0.4 * np.sin(c / 5.0 + r / 11.0)))
# Make the fall to the south sure.
for i in range(ROWS - 2, -1, -1):
    z[i] = np.maximum(z[i], z[i + 1] + 1 + np.arange(COLS) % 3)

STEPS = [(-1, -1), (-1, 0), (-1, 1), (0, -1), (0, 1), (1, -1), (1, 0), (1, 1)]
FACETS = [(4, 2), (1, 2), (1, 0), (3, 0), (3, 5), (6, 5), (6, 7), (4, 7)]


def shares(i, j, routing):
    h = z[i, j] / 1024
    around = {}
    for k, (dr, dc) in enumerate(STEPS):
        if 0 <= i + dr < ROWS and 0 <= j + dc < COLS:
            around[k] = z[i + dr, j + dc] / 1024
    slope = {k: (h - v) / np.hypot(*STEPS[k]) for k, v in around.items()}
    if routing == "multiple":
        w = {k: s ** 1.1 for k, s in slope.items() if s > 0}
        return {k: v / sum(w.values()) for k, v in w.items()}
    if routing == "single":
        k = max(slope, key=lambda k: (slope[k], -k))
        return {k: 1.0} if slope[k] > 0 else {}
    best = (0, None)
    for direct, diagonal in FACETS:
        options = []
        if direct in around and diagonal in around:
            s1, s2 = h - around[direct], around[direct] - around[diagonal]
            angle = np.arctan2(s2, s1)
            if 0 < angle < np.pi / 4:
                p = angle / (np.pi / 4)
                options.append((np.hypot(s1, s2), {direct: 1 - p, diagonal: p}))
            elif angle <= 0:
                options.append((s1, {direct: 1.0}))
            else:
                options.append((slope[diagonal], {diagonal: 1.0}))
        elif direct in around:
            options.append((slope[direct], {direct: 1.0}))
        elif diagonal in around:
            options.append((slope[diagonal], {diagonal: 1.0}))
        for s, share in options:
            if s > best[0]:
                best = (s, share)
    return best[1] or {}


def area(routing):
    rows, cols, vals = [], [], []
    for i in range(ROWS):
        for j in range(COLS):
            for k, s in shares(i, j, routing).items():
                rows.append((i + STEPS[k][0]) * COLS + j + STEPS[k][1])
                cols.append(i * COLS + j)
                vals.append(s)
    n = ROWS * COLS
    transposed = csc_matrix((vals, (rows, cols)), shape=(n, n))
    return spsolve(identity(n, format="csc") - transposed, np.ones(n))


areas = [area(name) for name in ("multiple", "single", "facet")]
with open("flow-area.csv", "w") as f:
    f.write("row,col,z_1024,multiple,single,facet\n")
    for n in range(ROWS * COLS):
        f.write(f"{n // COLS},{n % COLS},{int(z.flat[n])}," + ",".join(f"{a[n]:.9g}" for a in areas) + "\n")
