"""Independent sums of the first stage (`mix`) of every published classic.

Reads the published list (../../reference/iba_specs.csv) and the ingredient table (../../reference/ingredients.csv), never the
notebook and never the program's output, so a slip in the notebook's transcription shows as a difference too.

    python3 sums.py            writes expected.csv
    python3 sums.py --check    exits 1 if expected.csv is not what this script computes

The columns are plain sums over the poured amounts: ml as measured apart, ml of ethanol, g of sugar, g of acid (as anhydrous
citric acid). Real liquids change their volume a little on mixing; the published contraction for drinks is under 0.3 %
(mixing_contraction.csv), so a comparison of volumes should allow about 1 %, and one of the other columns only rounding.

What is assumed, and from where:
- dash 0.92 ml, bar spoon 5 ml, tsp 5 ml: the `default` rows of units.csv.
- 'few' is three: the program's stated default, common practice, no source.
- a spoonful of sugar weighs its volume times the bulk density of its row; a cube weighs 4 g, the row's piece.
- dissolved sugar takes the volume that it takes in a 50 Bx solution: 1/rho = 0.5/rho_water + 0.5 v gives v in ml/g, with the
  densities of sucrose_density_20C.csv.
- a raw egg white is 33 g, a single shot of espresso 27.5 ml, a lime 67 g: the pieces of their rows.
- topped, floated and rinsed pours, and everything under garnish, are not in the mix.
- 'to taste' adds nothing here, since the list gives no amount. The program assumes a dash or a pinch and says so, so its
  volume of that drink is larger by about 1 ml each. A fact that nobody states for such a pour still leaves its cell empty.
- an empty cell: the table does not state a fact that the sum needs (unknown is not zero), so there is nothing to compare.
"""

import csv
import io
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
REFERENCE = HERE.parent.parent / "reference"
COLUMNS = ["recipe_slug", "sum_ml", "ethanol_ml", "sugar_g", "acid_g", "note"]
FEW = 3

# The published wording on the left, the row of ingredients.csv (or of EXTRA) on the right.
NAMES = {
    "lime juice, fresh": "fresh lime juice",
    "lemon juice, fresh": "fresh lemon juice",
    "superfine sugar": "caster / superfine sugar",
    "tequila, 100 % agave": "tequila blanco",
    "triple sec": "premium dry triple sec",
    "sugar syrup": "simple syrup 1:1 by weight",
    "simple syrup": "simple syrup 1:1 by weight",
    "egg white (optional)": "egg white",
    "raw egg white": "egg white",
    "cognac": "cognac or grape brandy (aged)",
    "white cane sugar": "white granulated sugar",
    "sugar": "white granulated sugar",
    "sparkling wine (prosecco)": "brut sparkling wine",
    "sparkling wine (champagne)": "brut sparkling wine",
    "strong espresso": "espresso",
    "red bitter aperitif": "high strength red bitter aperitif",
    "bourbon or rye whiskey": "bourbon whiskey",
    "plain water": "water",
    "lime, cut in small wedges": "lime",
}

# Ingredients that the table lacks, with the facts and sources of notebook/pantry/what-the-list-adds.yaml.
EXTRA = {
    "white peach puree": {"form": "liquid", "abv": 0.0, "sugar": 12.71, "acid": 0.4, "density": 1.052},
    "worcestershire-type sauce": {"form": "liquid", "abv": 0.0, "sugar": 11.7, "acid": 3.9, "density": 1.162},
    "hot chilli sauce": {"form": "liquid", "abv": 0.0, "sugar": 0.9, "acid": 3.9, "density": None},
    "celery salt": {"form": "solid", "abv": 0.0, "sugar": None, "acid": None, "density": None},
    "pepper": {"form": "solid", "abv": 0.0, "sugar": None, "acid": None, "density": None},
    # Per 100 g; one sprig 1.2 g. No density is published: for a few grams of leaf, which are nine parts water, 1 g/ml is taken.
    "mint": {"form": "piece", "abv": 0.0, "sugar": 0.8, "acid": 0.8, "density": 1.0, "piece": "sprig", "piece_g": 1.2},
}

# Poured in the glass after the shaker, as the method says although the list measures it.
TOPPED = {("French 75", "sparkling wine (champagne)")}


def rows(name):
    with open(REFERENCE / name, encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def number(text):
    return float(text) if text else None


def ingredient_facts():
    facts = {
        row["name"]: {
            "form": row["form"],
            "abv": number(row["abv_pct_vol"]),
            "sugar": number(row["sugar_g_per_100ml"]),
            "acid": number(row["acid_g_per_100ml"]),
            "density": number(row["density_g_ml"]),
            "piece": row["piece"],
            "piece_g": number(row["piece_g"]),
            "piece_ml": number(row["juice_ml_typical"]),
        }
        for row in rows("ingredients.csv")
    }
    return facts | EXTRA


def default_units():
    return {row["word"]: float(row["value"]) for row in rows("units.csv") if row["default"] == "yes" and row["in"] == "ml"}


def dissolved_sugar_ml_per_g():
    density = {row["brix_mass_pct"]: float(row["density_kg_m3"]) / 1000 for row in rows("sucrose_density_20C.csv")}
    return 2 * (1 / density["50"] - 0.5 / density["0"])


def split(pour):
    """'2 bar spoon superfine sugar' to ('2', 'barspoon', 'superfine sugar')."""
    for lead in ("to taste ", "top "):
        if pour.startswith(lead):
            return lead.strip(), "", pour[len(lead):]
    amount, rest = pour.split(" ", 1)
    rest = rest.replace("bar spoon ", "barspoon ", 1)
    unit, name = rest.split(" ", 1)
    return amount, unit, name


def measure(amount, unit, fact, units):
    """Millilitres and grams of a pour; either may be None where nobody states the density."""
    count = FEW if amount == "few" else float(amount)
    density = fact["density"]
    if unit in units:
        ml = count * units[unit]
        return ml, None if density is None else ml * density
    if fact.get("piece_g"):
        grams = count * fact["piece_g"]
        return (None if density is None else grams / density), grams
    ml = count * fact["piece_ml"]
    return ml, None if density is None else ml * density


def sums(recipe, facts, units, sugar_ml):
    total = {"sum_ml": 0.0, "ethanol_ml": 0.0, "sugar_g": 0.0, "acid_g": 0.0}
    notes = []
    for pour in recipe["ingredients_ml"].split("; "):
        amount, unit, name = split(pour)
        if amount == "to taste":
            notes.append(f"{name} to taste left out")
            for column, fact in (("sugar_g", "sugar"), ("acid_g", "acid")):
                if facts[NAMES.get(name, name)][fact] is None:
                    notes.append(f"{column} unknown: not stated for {name}")
                    total[column] = None
            continue
        if amount == "top" or (recipe["name"], name) in TOPPED:
            notes.append(f"{name} is topped")
            continue
        fact = facts[NAMES.get(name, name)]
        ml, grams = measure(amount, unit, fact, units)
        if amount == "few":
            notes.append(f"few {unit} {name} = {FEW}")
        if fact["form"] == "solid":
            # The spoonful's own volume is mostly air; what counts is the room it takes once dissolved.
            ml = grams * sugar_ml
            notes.append(f"{name} {grams:.2f} g, dissolved {ml:.2f} ml")
        elif unit not in units:
            notes.append(f"{name} {grams:.1f} g" if fact.get("piece_g") else f"{name} {ml:.1f} ml")
        per_100 = ml if fact["form"] == "liquid" else grams
        shares = {
            "sum_ml": ml,
            "ethanol_ml": 0.0 if fact["abv"] == 0 else fact["abv"] / 100 * ml,
            "sugar_g": None if fact["sugar"] is None else fact["sugar"] / 100 * per_100,
            "acid_g": None if fact["acid"] is None else fact["acid"] / 100 * per_100,
        }
        for column, share in shares.items():
            if share is None:
                notes.append(f"{column} unknown: not stated for {name}")
                total[column] = None
            elif total[column] is not None:
                total[column] += share
    cells = {column: "" if value is None else f"{value:.3f}" for column, value in total.items()}
    slug = recipe["name"].lower().replace(" ", "-")
    return {"recipe_slug": slug, **cells, "note": "; ".join(notes)}


def text():
    facts, units, sugar_ml = ingredient_facts(), default_units(), dissolved_sugar_ml_per_g()
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, COLUMNS, lineterminator="\n")
    writer.writeheader()
    for recipe in sorted(rows("iba_specs.csv"), key=lambda row: row["name"]):
        writer.writerow(sums(recipe, facts, units, sugar_ml))
    return out.getvalue()


def main():
    path = HERE / "expected.csv"
    if sys.argv[1:] == ["--check"]:
        if path.read_text(encoding="utf-8") != text():
            sys.exit("expected.csv is stale: run sums.py and read the difference before you commit it")
        print("expected.csv is what sums.py computes")
    elif not sys.argv[1:]:
        path.write_text(text(), encoding="utf-8", newline="\n")
    else:
        sys.exit("usage: sums.py [--check]")


if __name__ == "__main__":
    main()
