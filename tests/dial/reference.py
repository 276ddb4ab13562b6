"""Problems for `costrel dial`, solved by an independent general optimiser, and what it found.

    pip install scipy            (1.17.1 when scipy.csv was written)
    python3 reference.py         writes scipy.csv
    python3 reference.py --check exits 1 if scipy.csv is not what this script computes, within 0.02 %

The mixtures are modelled here from the published relations, not from the program: ethanol and water by OIML R 22 (1975), p. 13,
coefficients Ak; sugar as what it adds to the water present, by Bubnik et al., Sugar Technologists Manual (1995), p. 164, at
20 C; acid takes 0.6 ml/g (common practice). Every liquid is stated by % vol, sugar and acid in g/100 ml, and the water that
fills 100 ml; every powder by g/100 g. `stir 25` adds water of 25 % of the volume before; `stir` and `shake` alone add what
D. Arnold's fits say (Liquid Intelligence, 2014), for 15 to 40 % vol.

Minimised: the sum over the varied pours of weight * ((x - x0) / max(x0, 1 % of the batch))**2, where x0 is the written amount
or what is in the glass, and the batch is what the recipe makes as written: ml for pours in ml, g for pours in g. The targets
are equality constraints after the process; 0 <= x <= 100 batches; what is in the glass can't be taken out; without a
target on the volume the batch keeps at least half of it.

Solver: scipy.optimize.minimize(method="SLSQP") from the written amounts and from 12 scattered starts (fixed seed), the best
answer that meets the constraints; then trust-constr from there, which must not find anything better by more than 0.01 % of the
objective.

Columns: id; about; process; pours as `name=amount unit abv sugar acid`, 0 meaning offered and not in the recipe; vary with
weights; in the glass; targets; answer in the units of the pours; objective.
"""

import csv
import io
import sys
import warnings
from pathlib import Path

import numpy as np
from scipy.optimize import minimize

HERE = Path(__file__).resolve().parent
OIML = [
    998.20123, -192.9769495, 389.1238958, -1668.103923, 13522.15441, -88292.78388,
    306287.4042, -613838.1234, 747017.2998, -547846.1354, 223446.0334, -39032.85426,
]
BUBNIK = [385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890]
ETHANOL = sum(OIML) / 1000
FIT = {"stir": (-1.21, 1.246, 0.145), "shake": (-1.567, 1.742, 0.203)}
ACID_ML_PER_G = 0.6
# Kell, J. Chem. Eng. Data 20 (1975) 97: the water that the sugar polynomial stands on, at 20 C.
KELL = [999.83952, 16.952577, -0.0079905127, -4.6241757e-05, 1.0584601e-07, -2.8103006e-10]


def poly(coefficients, x):
    return sum(a * x**k for k, a in enumerate(coefficients))


WATER_BUBNIK = poly(KELL, 20) / (1 + 0.016887236 * 20)


def volume(m):
    """ml at 20 C of grams (water, ethanol, sugar, acid)."""
    water, ethanol, sugar, acid = m
    base = (water + ethanol) / poly(OIML, ethanol / (water + ethanol)) * 1000
    w = sugar / (sugar + water)
    sweet = (sugar + water) / (WATER_BUBNIK + w * poly(BUBNIK, w)) * 1000 - water / WATER_BUBNIK * 1000
    return base + sweet + ACID_ML_PER_G * acid


def liquid(abv, sugar, acid):
    """One ml: the water is what fills it."""
    low, high = 0.0, 1.0
    for _ in range(200):
        water = (low + high) / 2
        m = np.array([water, abv / 100 * ETHANOL, sugar / 100, acid / 100])
        low, high = (water, high) if volume(m) < 1 else (low, water)
    return m


def powder(_abv, sugar, acid):
    """One g."""
    return np.array([1 - sugar / 100 - acid / 100, 0, sugar / 100, acid / 100])


class Problem:
    def __init__(self, about, process, pours, vary, poured, targets):
        self.about, self.process = about, process
        self.text = (pours, vary, poured, targets)
        self.names, self.units, self.x0, unit = [], [], [], []
        for one in pours.split("; "):
            name, rest = one.split("=")
            amount, measure, *facts = rest.split()
            self.names.append(name)
            self.units.append(measure)
            self.x0.append(float(amount))
            unit.append((liquid if measure == "ml" else powder)(*map(float, facts)))
        self.unit = np.array(unit)
        self.x0 = np.array(self.x0)
        made = self.make(self.x0)
        batch = {"ml": volume(made), "g": made.sum()}
        self.low = np.zeros(len(self.x0))
        if poured:
            for one in poured.split("; "):
                name, amount = one.split("=")
                self.x0[self.names.index(name)] = float(amount)
            self.low = self.x0.copy()
        scale = np.array([max(x, 0.01 * batch[u]) for x, u in zip(self.x0, self.units)])
        self.weight = np.zeros(len(self.x0))
        for one in vary.split("; "):
            name, _, weight = one.partition(":")
            self.weight[self.names.index(name)] = float(weight or 1)
        self.free = np.flatnonzero(self.weight)
        self.scale = scale
        self.high = np.array([100 * batch[u] for u in self.units])
        self.targets = {k: float(v) for k, v in (t.split("=") for t in targets.split("; "))}
        self.batch = self.figures(self.x0)["volume"]

    def water(self, mixed):
        """Water that the process adds, as a share of the volume before."""
        if not self.process:
            return 0.0
        word, *percent = self.process.split()
        if percent:
            return float(percent[0]) / 100
        x = mixed[1] / ETHANOL / volume(mixed)
        a, b, c = FIT[word]
        return (a * x + b) * x + c

    def make(self, x):
        mixed = x @ self.unit
        out = mixed.copy()
        out[0] += self.water(mixed) * volume(mixed) * OIML[0] / 1000
        return out

    def figures(self, x):
        m = self.make(x)
        v = volume(m)
        each = [xi * volume(u) for xi, u in zip(x, self.unit)]
        is_water = [u[1] + u[2] + u[3] == 0 for u in self.unit]
        poured = sum(e for e, w in zip(each, is_water) if w)
        rest = sum(e for e, w in zip(each, is_water) if not w)
        return {
            "abv": m[1] / ETHANOL / v * 100,
            "sugar": m[2] / v * 100,
            "acid": m[3] / v * 100,
            "dilution": ((1 + poured / rest) * (1 + self.water(x @ self.unit)) - 1) * 100,
            "volume": v,
        }

    def full(self, y):
        x = self.x0.copy()
        x[self.free] = y * self.scale[self.free]
        return x

    def objective(self, y):
        x = self.full(y)
        return float(np.sum(self.weight * ((x - self.x0) / self.scale) ** 2))

    def residual(self, y):
        f = self.figures(self.full(y))
        return np.array([(f[k] - t) / max(abs(t), 0.1) for k, t in self.targets.items()])

    def meets(self, y):
        if not np.all(np.isfinite(y)) or np.abs(self.residual(y)).max() > 1e-9:
            return False
        return "volume" in self.targets or self.figures(self.full(y))["volume"] > self.batch * (0.5 - 1e-9)

    def solve(self):
        f = self.free
        bounds = list(zip(self.low[f] / self.scale[f], self.high[f] / self.scale[f]))
        chance = np.random.default_rng(20261125)
        start = self.x0[f] / self.scale[f]
        starts = [start] + [np.maximum(start, 0.5) * chance.uniform(0.3, 3, len(f)) for _ in range(12)]
        constraints = [{"type": "eq", "fun": self.residual}]
        if "volume" not in self.targets:
            half = lambda y: self.figures(self.full(y))["volume"] / self.batch - 0.5
            constraints.append({"type": "ineq", "fun": half})
        best = None
        for y in starts:
            y = np.clip(y, *zip(*bounds))
            with np.errstate(all="ignore"):
                r = minimize(self.objective, y, method="SLSQP", bounds=bounds, constraints=constraints,
                             options={"ftol": 1e-15, "maxiter": 1000})
            if self.meets(r.x) and (best is None or r.fun < best.fun):
                best = r
        assert best is not None, self.about
        again = minimize(self.objective, best.x, method="trust-constr", bounds=bounds, constraints=constraints,
                         options={"gtol": 1e-12, "xtol": 1e-12, "maxiter": 2000})
        if self.meets(again.x):
            assert again.fun > best.fun * (1 - 1e-4) - 1e-9, (self.about, again.fun, best.fun)
        return self.full(best.x), best.fun


DAIQUIRI = "white rum=60 ml 40 0 0; lime=22.5 ml 0 1.6 6; syrup=22.5 ml 0 61.5 0"
WATERED = DAIQUIRI + "; water=0 ml 0 0 0"
PUNCH = (
    "gin=700 ml 40 0 0; tea=500 ml 0 0.2 0.05; quince cordial=180 ml 0 48 1.2; "
    "lemon=120 ml 0 2.5 5; honey syrup=90 ml 0 50 0.1; water=0 ml 0 0 0"
)
THREE = "gin=30 ml 47 0 0; bitter=30 ml 24 24 0; vermouth=30 ml 16.5 16 0.6"
PROBLEMS = [
    ("strength alone, all three", "", DAIQUIRI, "white rum; lime; syrup", "", "abv=20"),
    ("sugar alone, all three", "", DAIQUIRI, "white rum; lime; syrup", "", "sugar=10"),
    ("acid alone, all three", "", DAIQUIRI, "white rum; lime; syrup", "", "acid=1.5"),
    ("strength and sugar", "", DAIQUIRI, "white rum; lime; syrup", "", "abv=22; sugar=15"),
    ("three targets, water beside them", "", WATERED, "white rum; lime; syrup; water", "", "abv=15; sugar=8; acid=0.9"),
    ("three targets and the volume", "", WATERED, "white rum; lime; syrup; water", "", "abv=15; sugar=8; acid=0.9; volume=1000"),
    ("the same with rum that is dear to change", "", WATERED, "white rum:20; lime; syrup; water", "", "abv=15; sugar=8"),
    ("weights the other way", "", WATERED, "white rum; lime:5; syrup:5; water:0.2", "", "abv=15; sugar=8"),
    ("fixed stirring", "stir 25", DAIQUIRI, "white rum; lime; syrup", "", "abv=18; sugar=9"),
    ("stirring by the fit", "stir", THREE, "gin; bitter; vermouth", "", "abv=22; sugar=8"),
    ("stirring by the fit, one pour held", "stir", THREE, "gin; vermouth", "", "abv=22"),
    ("shaking by the fit", "shake", DAIQUIRI, "white rum; lime; syrup", "", "abv=14"),
    ("shaking by the fit, two targets", "shake", DAIQUIRI, "white rum; lime; syrup", "", "sugar=7; acid=0.8"),
    ("shaking by the fit, with its volume", "shake", DAIQUIRI, "white rum; lime; syrup", "", "sugar=8; acid=0.85; volume=480"),
    ("proofing down", "", "spirit=1000 ml 63 0 0; water=0 ml 0 0 0", "water", "", "abv=43"),
    ("two strengths to a third and a volume", "", "strong=500 ml 60 0 0; weak=500 ml 20 0 0", "strong; weak", "", "abv=45; volume=1000"),
    ("two juices, the square", "", "sweet juice=500 ml 0 16 0.5; lean juice=500 ml 0 8 0.9", "sweet juice; lean juice", "", "sugar=11"),
    ("acid by powder", "", "orange juice=1000 ml 0 8.4 0.8; citric=0 g 0 0 100; malic=0 g 0 0 95.5", "citric; malic", "", "acid=6"),
    ("acid and sugar by powders", "", "pear juice=640 ml 0 9.5 0.3; citric=0 g 0 0 100; sugar=0 g 0 100 0", "citric; sugar", "", "sugar=12; acid=0.6"),
    ("a punch", "", PUNCH, "gin; tea; quince cordial; lemon; honey syrup", "", "abv=16; sugar=9; acid=0.7"),
    ("a punch and its volume", "", PUNCH, "gin; tea; quince cordial; lemon; honey syrup", "", "abv=16; sugar=9; acid=0.7; volume=2000"),
    ("a punch, few may vary", "", PUNCH, "lemon; honey syrup; water", "", "abv=15; sugar=9; acid=0.6"),
    ("a punch to a dilution", "", PUNCH, "water; gin", "", "dilution=20; abv=17"),
    ("something goes to nothing", "", "gin=50 ml 40 0 0; liqueur=25 ml 25 30 0; juice=60 ml 0 10 1; soda=90 ml 0 0 0",
     "gin; liqueur; juice; soda", "", "abv=9.5; sugar=1.2"),
    ("too much rum is in the glass", "", DAIQUIRI, "white rum; lime; syrup", "white rum=75; lime=22.5; syrup=22.5",
     "abv=22.5; sugar=13.6"),
    ("too much of two is in the jug", "", PUNCH, "gin; tea; quince cordial; lemon; honey syrup; water",
     "gin=760; tea=500; quince cordial=180; lemon=160; honey syrup=90; water=0", "abv=17.5; sugar=8; acid=0.62"),
    ("only additions, stirred, with water beside them", "stir 30", THREE + "; water=0 ml 0 0 0", "gin; bitter; vermouth; water",
     "gin=36; bitter=30; vermouth=30; water=0", "abv=22; sugar=9.2"),
    ("without alcohol", "", "verjus=60 ml 0 2 1.8; grape juice=120 ml 0 15 0.6; tea=100 ml 0 0 0; syrup=10 ml 0 61.5 0",
     "verjus; grape juice; tea; syrup", "", "sugar=8; acid=0.75; volume=300"),
]


def number(value):
    return f"{value:.9g}"


def rows():
    yield ["id", "about", "process", "pours", "vary", "poured", "targets", "answer", "objective"]
    for i, one in enumerate(PROBLEMS, 1):
        problem = Problem(*one)
        x, objective = problem.solve()
        answer = "; ".join(f"{n}={number(max(v, 0.0) if v > 1e-7 else 0.0)}" for n, v in zip(problem.names, x))
        yield [f"S{i:02}", problem.about, problem.process, *problem.text, answer, number(objective)]


def close(a, b):
    numbers = lambda text: [float(p.split("=")[-1]) for p in text.split("; ")]
    return a[:7] == b[:7] and all(
        abs(x - y) <= 2e-4 * max(abs(x), abs(y), 1.0) for x, y in zip(numbers(a[7]), numbers(b[7]))
    )


def main():
    # Searches look outside of what can be mixed now and then; what counts is checked at the end.
    warnings.simplefilter("ignore")
    made = list(rows())
    file = HERE / "scipy.csv"
    if "--check" in sys.argv:
        kept = list(csv.reader(file.open(newline="")))
        wrong = [a[0] for a, b in zip(made[1:], kept[1:]) if not close(a, b)]
        if wrong or len(made) != len(kept):
            sys.exit("scipy.csv is not what this script computes: " + ", ".join(wrong))
        return
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(made)
    file.write_text(out.getvalue())


if __name__ == "__main__":
    main()
