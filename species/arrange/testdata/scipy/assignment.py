# Least losses by scipy, to hold ours against.
# python3 assignment.py, in this folder, writes assignment.csv.
import numpy as np
from scipy.optimize import Bounds, LinearConstraint, linear_sum_assignment, linprog, milp
from scipy.sparse import lil_matrix

MASK = (1 << 64) - 1


def stream(seed):  # splitmix64, as the test has it
    while True:
        seed = (seed + 0x9E3779B97F4A7C15) & MASK
        z = seed
        z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & MASK
        z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & MASK
        yield z ^ (z >> 31)


def problem(seed, species, positions, kind):
    r = stream(seed)
    unit = lambda: (next(r) >> 11) / (1 << 53)
    if kind == "ponds":  # a wet place hurts all, some more: many losses of 0, many ties
        bears = [unit() for _ in range(species)]
        wet = [max(0, unit() - 0.5) * 2 for _ in range(positions)]
        loss = [[round(max(0, w - b) * 100) / 100 for w in wet] for b in bears]
    else:
        loss = [[unit() for _ in range(positions)] for _ in range(species)]
    count = [positions // species] * species
    for i in range(positions % species):
        count[i] += 1
    for _ in range(species):  # uneven counts
        a, b = next(r) % species, next(r) % species
        if a != b and count[a] > 1:
            count[a], count[b] = count[a] - 1, count[b] + 1
    return np.array(loss), count


def assignment(loss, count):
    copies = np.repeat(loss, count, axis=0)
    i, j = linear_sum_assignment(copies)
    return copies[i, j].sum()


def constraints(loss, count):
    S, P = loss.shape
    A = lil_matrix((S + P, S * P))
    for s in range(S):
        for i in range(P):
            A[s, s * P + i] = 1
            A[S + i, s * P + i] = 1
    return A.tocsr(), np.array(list(count) + [1] * P)


def transport(loss, count):
    A, b = constraints(loss, count)
    return linprog(loss.ravel(), A_eq=A[1:], b_eq=b[1:], bounds=(0, 1), method="highs").fun  # the first follows from the rest


def ruled(loss, count, rows, reach, emergents, alternate):
    """Rows of equal length; emergents (the first species) at least reach places apart."""
    S, P = loss.shape
    A, b = constraints(loss, count)
    n = P // rows
    pairs = []
    for r in range(rows):
        for i in range(n):
            if reach and i + reach <= n:  # of reach places in a row one may have an emergent
                pairs.append([(s, r * n + i + d) for s in range(emergents) for d in range(reach)])
            if alternate and i + 1 < n:
                pairs += [[(s, r * n + i), (s, r * n + i + 1)] for s in range(S)]
    C = lil_matrix((len(pairs), S * P))
    for k, p in enumerate(pairs):
        for s, i in p:
            C[k, s * P + i] = 1
    got = milp(loss.ravel(), integrality=np.ones(S * P), bounds=Bounds(0, 1),
               constraints=[LinearConstraint(A, b, b), LinearConstraint(C.tocsr(), -np.inf, 1)],
               options={"mip_rel_gap": 0, "time_limit": 60})
    assert got.status == 0, got
    return got.fun


with open("assignment.csv", "w") as f:
    f.write("kind,seed,species,positions,rows,reach,emergents,alternate,loss,linprog\n")
    for kind in ("even", "ponds"):
        for seed, (S, P) in enumerate([(1, 5), (2, 9), (3, 7), (4, 40), (7, 100), (12, 200), (30, 60)]):
            loss, count = problem(seed, S, P, kind)
            f.write("%s,%d,%d,%d,1,0,0,0,%.12f,%.12f\n" % (kind, seed, S, P, assignment(loss, count), transport(loss, count)))
        ruled_ones = [
                (3, 12, 2, 3, 1, 0), (4, 24, 2, 0, 0, 1), (4, 24, 3, 3, 1, 1), (6, 60, 3, 4, 2, 0),
                (6, 60, 3, 0, 0, 1), (6, 60, 3, 3, 2, 1), (8, 120, 4, 3, 2, 1)]
        if kind == "ponds":
            ruled_ones.append((12, 2000, 20, 5, 3, 0))
        for seed, (S, P, rows, reach, emergents, alternate) in enumerate(ruled_ones):
            seed = 1 if P == 2000 else 100 + seed
            loss, count = problem(seed, S, P, kind)
            if emergents:  # thin them out to what has room
                for s in range(emergents):
                    over = count[s] - max(1, P // (2 * reach * emergents))
                    if over > 0:
                        count[s] -= over
                        for k in range(over):
                            count[emergents + k % (S - emergents)] += 1
            f.write("%s,%d,%d,%d,%d,%d,%d,%d,%.12f,\n" % (kind, seed, S, P, rows, reach, emergents, alternate,
                                                         ruled(loss, count, rows, reach, emergents, alternate)))
