# Thin plates through the Meuse heights by scipy, to hold ours against.
# python3 thin-plate.py, in this folder, writes thin-plate.csv.
import csv
import numpy as np
from scipy.interpolate import RBFInterpolator

rows = list(csv.DictReader(open("../../../../testdata/meuse/meuse.csv")))
p = np.array([[float(r["x"]), float(r["y"])] for r in rows])
z = np.array([float(r["elev"] if "elev" in r else r["z"]) for r in rows])
at = np.array([(181180, 333740), (180940, 333300), (179660, 331860), (178820, 330740),
               (179220, 329620), (179000, 330000), (180000, 331000), (181000, 332500)], float)
with open("thin-plate.csv", "w") as f:
    f.write("smoothing,x,y,z\n")
    for s in (0, 1e5, 1e7):
        v = RBFInterpolator(p, z, kernel="thin_plate_spline", smoothing=s)(at)
        for q, w in zip(at, v):
            f.write("%g,%d,%d,%.9f\n" % (s, q[0], q[1], w))
    loo = [z[i] - RBFInterpolator(np.delete(p, i, 0), np.delete(z, i), kernel="thin_plate_spline")(p[i:i + 1])[0] for i in range(len(z))]
    f.write("leave-one-out,0,0,%.9f\n" % np.sqrt(np.mean(np.square(loo))))
