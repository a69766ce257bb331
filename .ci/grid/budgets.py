"""Budgets with correlation against python3-uncertainties, which propagates through the same
sum by its own derivatives and a covariance matrix."""
import numpy as np
import uncertainties
from uncertainties import correlated_values_norm

from ask import Largest, ask, finish

r = np.random.default_rng(101)
divisors = {"rectangular": 3**0.5, "triangular": 6**0.5, "arcsine": 2**0.5, "standard": 1}

questions, wanted = [], []
for budget in range(300):
    n = int(r.integers(2, 15))
    kinds = r.choice([*divisors, "normal"], n)
    values, sensitivities = 10 ** r.uniform(-6, 3, n), r.normal(0, 1, n) * 10 ** r.uniform(-3, 3, n)
    # A correlation matrix from fewer causes than components is singular now and then.
    causes = r.normal(0, 1, (n, int(r.integers(1, n + 2))))
    matrix = causes @ causes.T
    scale = np.sqrt(np.diag(matrix))
    matrix = np.clip(matrix / np.outer(scale, scale), -1, 1)
    np.fill_diagonal(matrix, 1)
    components, u = [], []
    for i in range(n):
        c = {"name": f"x{i}", "value": float(values[i]), "distribution": str(kinds[i]), "sensitivity": float(sensitivities[i])}
        if kinds[i] == "normal":
            c["k"] = 2
        components.append(c)
        u.append(values[i] / divisors.get(kinds[i], 2))
    pairs = [{"a": f"x{i}", "b": f"x{j}", "r": float(matrix[i, j])} for i in range(n) for j in range(i)] if budget % 3 else []
    x = correlated_values_norm([(0, s) for s in u], matrix if pairs else np.eye(n))
    questions.append({"components": components, "correlations": pairs})
    wanted.append((sum(float(c) * one for c, one in zip(sensitivities, x)).std_dev, np.abs(sensitivities * np.array(u)).max(), f"budget {budget} of {n}"))

answers = ask("budget", questions)
difference = Largest("standard uncertainty of budgets, over the largest part", "relative", 1e-7)
for a, (want, largest, where) in zip(answers, wanted):
    difference.add(a.get("standard_uncertainty", np.inf) / largest, want / largest, where)
finish("python3-uncertainties " + uncertainties.__version__, [difference])
