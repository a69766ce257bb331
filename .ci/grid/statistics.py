"""Coverage factors, probabilities, lines, Grubbs' critical values and the shape-preserving
cubic against python3-scipy."""
import numpy as np
import scipy
from scipy import interpolate, stats

from ask import Largest, ask, finish

r = np.random.default_rng(2026)


def relative(name, bound):
    return Largest(name, "relative", bound, relative=True)


def coverage_factors():
    states = [(p, nu) for p in (0.5, 0.68, 0.9, 0.95, 0.99, 0.999, 0.99999) for nu in [*range(1, 31), 40, 60, 100, 300, 1000, 100000, None]]
    line = lambda nu: {"name": "x", "value": 1, "distribution": "standard", **({} if nu is None else {"degrees_of_freedom": nu})}
    answers = ask("budget", [{"components": [line(nu)], "coverage": p} for p, nu in states])
    student, normal = relative("coverage factor, t", 1e-10), relative("coverage factor, normal", 1e-12)
    for (p, nu), a in zip(states, answers):
        if nu is None:
            normal.add(a["coverage_factor"], stats.norm.ppf((1 + p) / 2), f"p {p:g}")
        else:
            # The library's own inverse is good to 5e-9 (ν 30 at 90 %: 1.69726089436 where the
            # closed form gives 1.69726088659), its distribution function to the last digits.
            want = stats.t.ppf((1 + p) / 2, nu)
            for _ in range(3):
                want += (stats.t.sf(want, nu) - (1 - p) / 2) / stats.t.pdf(want, nu)
            student.add(a["coverage_factor"], want, f"p {p:g}, ν {nu}")
    return [student, normal]


def probabilities():
    states = [(y, u, lower, upper) for y in np.linspace(-12, 12, 97) for u in (0.1, 0.5, 1, 3) for lower, upper in ((-1, 1), (-2, 5), (None, 1), (0, None))]
    answers = ask("decision", [{"value": y, "expanded_uncertainty": 2 * u, "coverage_factor": 2, "rule": "simple",
                                **({} if lower is None else {"lower_limit": lower}), **({} if upper is None else {"upper_limit": upper})} for y, u, lower, upper in states])
    conformity, risk = Largest("probability of conformity", "absolute", 1e-14), relative("specific risk", 1e-9)
    for (y, u, lower, upper), a in zip(states, answers):
        a_, b_ = (-np.inf if lower is None else (lower - y) / u), (np.inf if upper is None else (upper - y) / u)
        # On the side where both are small, so that neither has lost its digits.
        within = stats.norm.sf(a_) - stats.norm.sf(b_) if a_ > 0 else stats.norm.cdf(b_) - stats.norm.cdf(a_)
        conformity.add(a["probability_of_conformity"], within, f"y {y:g}, u {u:g}, {lower} to {upper}")
        wrong = stats.norm.cdf(a_) + stats.norm.sf(b_) if a["verdict"] == "pass" else within
        if wrong > 1e-300:
            risk.add(a["specific_risk"], wrong, f"y {y:g}, u {u:g}, {lower} to {upper}")
    return [conformity, risk]


def lines():
    sets = []
    for n in [*range(3, 15), 30, 100]:
        for _ in range(8):
            q = np.sort(r.uniform(0.001, 0.1, n))
            sets.append((q, r.normal(0.5, 1) + r.normal(0, 20) * q + r.normal(0, 0.3, n)))
    answers = ask("series", [{"points": [{"flow_m3_s": float(q), "error_percent": float(e)} for q, e in zip(*s)]} for s in sets])
    value, u, critical = relative("line: intercept and slope", 1e-9), relative("line: their standard uncertainties", 1e-9), relative("Grubbs' critical value", 1e-9)
    for (q, e), a in zip(sets, answers):
        want, got, where = stats.linregress(q, e), a["regression"], f"{len(q)} points"
        value.add(got["slope_percent_per_m3_s"]["value"], want.slope, where)
        value.add(got["intercept_percent"]["value"], want.intercept, where)
        u.add(got["scatter"]["slope_standard_uncertainty_percent_per_m3_s"], want.stderr, where)
        u.add(got["scatter"]["intercept_standard_uncertainty_percent"], want.intercept_stderr, where)
        if len(q) >= 6:
            n, t = len(q), stats.t.ppf(1 - 0.01 / (2 * len(q)), len(q) - 2)
            critical.add(a["outlier"]["critical"], (n - 1) / np.sqrt(n) * np.sqrt(t * t / (n - 2 + t * t)), where)
    return [value, u, critical]


def cubics():
    """A company's table of a fluid is read by the shape-preserving cubic."""
    questions, wanted, unlike = [], [], 0
    for table in range(40):
        n = int(r.integers(3, 12))
        t = np.cumsum(r.uniform(2, 15, n))
        rho = 900 + np.cumsum(r.normal(0, 5, n))
        rows = [{"temperature_C": float(a), "density_kg_m3": float(b), "dynamic_viscosity_Pa_s": 0.001} for a, b in zip(t, rho)]
        cubic = interpolate.PchipInterpolator(t, rho)
        # The end slopes are each one's own choice, and reach through the first and last stretch.
        inner = (t[1], t[-2]) if n > 3 else (t[1], t[1])
        for x in np.linspace(*inner, 25):
            questions.append({"fluid": "brew", "table": rows, "temperature_C": float(x), "pressure_Pa": 200000})
            wanted.append((float(cubic(x)), f"table {table}, {x:.3f} °C"))
    answers = ask("fluid", questions)
    inside = relative("shape-preserving cubic, inner stretches", 1e-11)
    for a, (want, where) in zip(answers, wanted):
        inside.add(a.get("density_kg_m3"), want, where)
    return [inside]


finish("python3-scipy " + scipy.__version__, coverage_factors() + probabilities() + lines() + cubics())
