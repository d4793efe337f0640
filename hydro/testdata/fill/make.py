#!/usr/bin/env python3
"""Make grounds and their filled surfaces by morphological reconstruction.

Run in this folder: python3 make.py
"""
import numpy as np
from skimage.morphology import reconstruction

rng = np.random.default_rng(20240611)


def bumps(rows, cols, lengths, heights):
    """Smooth ground: bilinear noise of several lengths, in cells."""
    y, x = np.mgrid[0:rows, 0:cols].astype(float)
    z = np.zeros((rows, cols))
    for length, height in zip(lengths, heights):
        knots = rng.uniform(-1, 1, (int(rows / length) + 2, int(cols / length) + 2))
        r, c = (y / length).astype(int), (x / length).astype(int)
        v, u = y / length - r, x / length - c
        z += height * ((1 - v) * ((1 - u) * knots[r, c] + u * knots[r, c + 1])
                       + v * ((1 - u) * knots[r + 1, c] + u * knots[r + 1, c + 1]))
    return z


def filled(z):
    """The erosion of a flood, held up by z, that can leave at the rim and into voids."""
    void = np.isnan(z)
    ground = np.where(void, -1e30, z)
    flood = np.full_like(ground, ground.max())
    flood[[0, -1], :], flood[:, [0, -1]] = ground[[0, -1], :], ground[:, [0, -1]]
    flood[void] = -1e30
    low = reconstruction(flood, ground, method="erosion", footprint=np.ones((3, 3)))
    return np.where(void, np.nan, low)


slope = np.mgrid[0:64, 0:64][1] * 0.005
holes = bumps(64, 64, [20, 5], [1, 0.5])
holes[rng.random(holes.shape) < 0.02] = np.nan
holes[20:29, 30:44] = np.nan
grounds = {
    "noise": rng.standard_normal((64, 64)),
    "lowland": 3 - slope + bumps(64, 64, [32, 16, 8], [0.4, 0.2, 0.1]) + 0.02 * rng.standard_normal((64, 64)),
    "centimetres": np.round(100 * (50 - slope + bumps(64, 64, [16, 8], [0.1, 0.05]))) / 100,
    "below-sea-level": -2 + bumps(37, 101, [12, 4], [2.5, 0.5]),
    "voids": holes,
    "steps": np.round(4 * bumps(64, 64, [16, 4], [1, 1])),
}
for name, z in grounds.items():
    z = z.astype("<f4")
    z.tofile(f"{name}-{z.shape[0]}x{z.shape[1]}.ground.f32")
    filled(z.astype(float)).astype("<f4").tofile(f"{name}-{z.shape[0]}x{z.shape[1]}.filled.f32")
