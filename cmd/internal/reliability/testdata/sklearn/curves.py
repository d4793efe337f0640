# Curves of reliability by scikit-learn 1.2.1, numpy 1.24.2, to hold ours against.
# /usr/bin/python3 curves.py, in this folder, writes curves.csv and scores.csv.
import csv
import numpy as np
from sklearn.isotonic import IsotonicRegression
from sklearn.metrics import brier_score_loss

rng = np.random.default_rng(20211)
with open("curves.csv", "w") as f, open("scores.csv", "w") as g:
    curves, scores = csv.writer(f, lineterminator="\n"), csv.writer(g, lineterminator="\n")
    curves.writerow(["set", "odds", "happened", "share"])
    scores.writerow(["set", "brier", "miscalibration", "discrimination", "uncertainty"])
    for name, n, bend, steps in (("right", 60, 1.0, 20), ("too sure", 80, 0.4, 50), ("too shy", 80, 2.0, 10),
                                 ("contrary", 40, -1.0, 8), ("no ties", 50, 1.0, 0)):
        p = rng.beta(0.6, 0.9, n)
        p = np.round(p * steps) / steps if steps else p
        q = np.clip(p, 0.01, 0.99)
        true = 1 / (1 + np.exp(-bend * np.log(q / (1 - q))))
        y = (rng.random(n) < true).astype(float)
        fit = IsotonicRegression(y_min=0, y_max=1).fit(p, y).predict(p)
        s, read, unc = brier_score_loss(y, p, pos_label=1), np.mean((fit - y) ** 2), y.mean() * (1 - y.mean())
        for row in zip(p, y, fit):
            curves.writerow([name, repr(float(row[0])), int(row[1]), repr(float(row[2]))])
        scores.writerow([name] + [repr(float(v)) for v in (s, s - read, unc - read, unc)])
