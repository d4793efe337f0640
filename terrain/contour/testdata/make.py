# Writes hills.json: contours of a small ground by scikit-image.
# Run with python3 and scikit-image: python3 make.py > hills.json
import json
import numpy as np
import skimage
from skimage.measure import find_contours

rows, cols = 14, 17
r, c = np.mgrid[0:rows, 0:cols].astype(float)
z = 3 * np.exp(-((r - 4) ** 2 + (c - 5) ** 2) / 9) + 2 * np.exp(-((r - 9) ** 2 + (c - 12) ** 2) / 14) + 0.03 * c
z = z.astype(np.float32).astype(float)
lines = []
for level in (0.25, 0.5, 1.0, 1.5, 2.0, 2.5):
    for points in find_contours(z, level):
        lines.append({"level": level, "points": points.tolist()})  # row, column
json.dump({"scikit-image": skimage.__version__, "rows": rows, "cols": cols,
           "z": z.ravel().tolist(), "lines": lines}, open("/dev/stdout", "w"))
