//! What may be written between braces, and the page that says so.

/// Where something may be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Where {
    /// In a recipe, about itself, and behind `recipe("…").`.
    Recipe,
    /// In a recipe, about one of its pours or processes.
    Own,
    /// In recipes and on pages.
    Anywhere,
}

/// What may be written, with an example of what it prints. The page `templates/PROSE.md` is written from here.
pub(super) const NAMES: &[(&str, &str, Where)] = &[
    ("name", "the recipe's name", Where::Recipe),
    ("abv", "strength where balance is read, with its unit: 14.2 %", Where::Recipe),
    ("sugar", "sugar where balance is read: 8.1 g/100 ml", Where::Recipe),
    ("acid", "acid where balance is read: 0.81 g/100 ml", Where::Recipe),
    ("brix", "dissolved sugar of the batch: 12.0 °Bx", Where::Recipe),
    ("volume", "volume of the batch: 1.55 l", Where::Recipe),
    ("mass", "mass of the batch: 1620 g", Where::Recipe),
    ("freezing", "freezing point of the batch: -6.1 °C", Where::Recipe),
    ("keeps", "how long it keeps, as the recipe claims: 7 d", Where::Recipe),
    ("serves", "whole serves of a drink", Where::Recipe),
    ("serve_volume", "volume in the glass: 95 ml", Where::Recipe),
    ("serve_abv", "strength in the glass: 13.9 %", Where::Recipe),
    ("amount(\"gin\")", "the amount of a pour as written: 700 ml", Where::Own),
    ("ml(\"gin\")", "the volume of a pour: 700 ml", Where::Own),
    ("oz(\"gin\")", "the same in the house's ounces: 23.7 oz", Where::Own),
    ("grams(\"gin\")", "the mass of a pour: 661 g", Where::Own),
    ("time(\"stir\")", "how long a process takes; with several times in it, all of them together: 20 s", Where::Own),
    ("temperature(\"stir\")", "the temperature that a process goes to or is held at: 3 °C", Where::Own),
    (
        "stage(\"stir\").abv",
        "a figure after a process: `abv`, `sugar`, `acid`, `brix`, `volume`, `mass` or `freezing`",
        Where::Own,
    ),
    ("recipe(\"honey syrup\")", "the name of a recipe, with a link to it", Where::Anywhere),
    (
        "recipe(\"honey syrup\").brix",
        "a figure of another recipe: any name of the first list behind a dot",
        Where::Anywhere,
    ),
    ("ingredient(\"gin\")", "the name of an ingredient, with a link to it", Where::Anywhere),
    ("house", "the house's name", Where::Anywhere),
];

/// The page that says what may be written between braces.
#[must_use]
pub fn documentation() -> String {
    let mut page = String::from(
        "# What may be written between braces\n\n\
         This page is written by the program from `src/ask/prose/names.rs`; a test holds it true.\n\n\
         In the body of a recipe or a page `{{ abv }}` prints a computed value. It is put in as text, never as markup, and rounded as\n\
         everywhere else. A name that is not on this page is an error at its place. In the site an amount follows when the reader scales the\n\
         recipe. Names of recipes, ingredients, pours and processes stand in quotes; case, accents and regular plurals do not matter. A text that\n\
         is published can tell the figures of published recipes only, and names only those and what they use.\n",
    );
    for (title, place) in [
        ("In a recipe, of itself", Where::Recipe),
        ("In a recipe, of its pours and processes", Where::Own),
        ("In recipes and on pages", Where::Anywhere),
    ] {
        page.push_str(&format!("\n## {title}\n\n| written | prints |\n|---|---|\n"));
        for (name, prints, _) in NAMES.iter().filter(|(_, _, w)| *w == place) {
            page.push_str(&format!("| `{{{{ {name} }}}}` | {prints} |\n"));
        }
    }
    page
}

/// Names of the list without what follows them: `amount`.
pub(super) fn plain_names(page: bool) -> impl Iterator<Item = &'static str> {
    let list = NAMES.iter().filter(move |(_, _, w)| !page || *w == Where::Anywhere);
    list.map(|(n, _, _)| n.split(['(', '.']).next().unwrap_or(n))
}
