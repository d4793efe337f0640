# Makes known.json: what learn is held to. Python 3.11, numpy 1.24.2, scipy 1.10.1.
#     python3 make.py > known.json
import json
import numpy as np
from scipy import integrate, special, stats

known = {}

# The logarithm of the normal distribution function, and of a piece of it.
xs = [-60, -40, -35.5, -34.5, -20, -8, -3, -1, 0, 1, 3, 8]
known["log_cdf"] = [[x, special.log_ndtr(x)] for x in xs]
pieces = [(-1, 1), (2, 3), (-3, -2), (7, 8), (-40, -39), (39, 40), (-np.inf, 0.5), (0.5, np.inf), (-0.001, 0.001)]
def piece(a, b):
    if a > 0:
        a, b = -b, -a
    u, l = special.log_ndtr(b), special.log_ndtr(a)
    return u + np.log1p(-np.exp(l - u))
known["log_between"] = [[str(a), str(b), piece(a, b)] for a, b in pieces]

# One parameter t, N(0, 1). The outcome 40 exp(0.8 t) hours is known to lie
# between two times, with an error of 4 h: mean and variance by quadrature.
def censored(low, high, error):
    def like(t):
        h = 40 * np.exp(0.8 * t)
        return stats.norm.pdf(t) * (stats.norm.cdf((high - h) / error) - stats.norm.cdf((low - h) / error))
    def moment(k):
        return integrate.quad(lambda t: t**k * like(t), -6, 6, epsabs=1e-14, epsrel=1e-12, limit=500, points=[np.log(max(low, 1) / 40) / 0.8, np.log(min(high, 4000) / 40) / 0.8])[0]
    z = moment(0)
    m = moment(1) / z
    return {"low": low, "high": high, "error": error, "evidence": z, "mean": m, "sd": (moment(2) / z - m * m) ** 0.5}
known["censored"] = [censored(60, 84, 4), censored(0, 12, 4), censored(300, 324, 4), censored(100, 1e6, 4)]

# A normal cut off sharply: scipy's own truncated normal.
known["truncated"] = [{"low": a, "high": b, "mean": stats.truncnorm.mean(a, b), "sd": stats.truncnorm.std(a, b)} for a, b in [(0.5, 1.5), (2.0, 2.4), (-9.0, -1.0)]]

# Three parameters, N(0, I), five linear readings with small errors: the
# conjugate posterior.
rng = np.random.default_rng(7)
a = np.round(rng.normal(size=(5, 3)), 3)
error = np.array([0.05, 0.1, 0.05, 0.2, 0.1])
y = np.round(a @ np.array([1.2, -1.5, 0.7]) + error * rng.normal(size=5), 3)
precision = np.eye(3) + a.T @ np.diag(error**-2) @ a
cov = np.linalg.inv(precision)
known["linear"] = {"a": a.tolist(), "error": error.tolist(), "y": y.tolist(), "mean": (cov @ a.T @ (y / error**2)).tolist(), "sd": np.sqrt(np.diag(cov)).tolist()}

# Hazen's quantiles.
v = np.round(rng.normal(size=11), 3)
p = [0, 0.01, 0.1, 0.25, 0.5, 0.77, 0.9, 1]
known["hazen"] = {"v": v.tolist(), "p": p, "q": np.quantile(v, p, method="hazen").tolist()}

print(json.dumps(known, indent=1))
