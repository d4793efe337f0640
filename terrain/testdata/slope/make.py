#!/usr/bin/python3
"""Make the slopes that TestSlopeAgreesWithGDAL compares with.

Needs gdaldem of GDAL; 3.6.2 made the files here. Run it in this folder.

ground.asc is made ground: a plane, three waves, and a block of voids. The
elevations have three decimals, so that a float32 holds what the text says to
a few hundredths of a millimetre. slope.asc is its slope by Horn's formula in
per cent, from

    gdaldem slope -p -alg Horn ground.asc slope.asc -of AAIGrid
"""
import math
import subprocess

ROWS, COLS, CELL = 90, 120, 2.5
VOID = -9999

with open("ground.asc", "w") as f:
    f.write(f"ncols {COLS}\nnrows {ROWS}\nxllcorner 0\nyllcorner 0\ncellsize {CELL}\nNODATA_value {VOID}\n")
    for r in range(ROWS):
        row = []
        for c in range(COLS):
            x, y = c * CELL, r * CELL
            z = 40 + 0.004 * x - 0.007 * y
            z += 1.5 * math.sin(x / 17) * math.cos(y / 23) + 0.4 * math.sin((x + 2 * y) / 9) + 0.05 * math.sin(x * y / 31)
            hole = 30 <= r < 38 and 50 <= c < 65 or r == 70 and c == 20
            row.append(str(VOID) if hole else f"{z:.3f}")
        f.write(" ".join(row) + "\n")
subprocess.run(["gdaldem", "slope", "-q", "-p", "-alg", "Horn", "-of", "AAIGrid",
                "-co", "DECIMAL_PRECISION=5", "ground.asc", "slope.asc"], check=True)
