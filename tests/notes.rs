//! Notes: what is published beside a recipe. Folders and files, limits, changes, cards, hostile templates, one figure everywhere.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use costrel::press::notes::{Before, Notes, document, notes};
use costrel::press::{Content, Edition};
use costrel::problem::{Problem, terminal};
use costrel::recipe::run::Computed;

/// A notebook in a folder of its own.
struct Notebook(tempfile::TempDir);

impl Notebook {
    fn new(files: &[(&str, &str)]) -> Self {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let notebook = Self(folder);
        notebook.write("house.yaml", "name: The Lantern Lock\nsite: {address: \"https://lantern-lock.example/\"}\n");
        for (path, text) in files {
            notebook.write(path, text);
        }
        notebook
    }

    fn write(&self, path: &str, text: &str) {
        let path = self.0.path().join(path);
        fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
        fs::write(path, text).expect("written");
    }

    fn compile(&self) -> Computed {
        let (computed, problems) = costrel::compile(self.0.path());
        let errors: Vec<&Problem> = problems.iter().filter(|p| p.is_error()).collect();
        assert!(errors.is_empty(), "{errors:?}");
        computed
    }

    fn press(&self) -> Result<Notes, String> {
        let computed = self.compile();
        notes(&computed, &Before::default()).map_err(|problems| shown(&computed, &problems))
    }

    fn press_after(&self, before: &Notes) -> Notes {
        notes(&self.compile(), &left_by(before)).expect("notes")
    }
}

fn shown(computed: &Computed, problems: &[Problem]) -> String {
    let sources = &computed.graph.notes.sources;
    problems
        .iter()
        .map(|p| anstream::adapter::strip_str(&terminal::render(p, sources, "")).to_string())
        .collect::<Vec<_>>()
        .join("\n")
}

fn bytes(content: &Content) -> &[u8] {
    match content {
        Content::Bytes(bytes) => bytes,
        Content::Copy(path) => panic!("a copy of {}", path.display()),
    }
}

fn text(made: &Notes, path: &str) -> String {
    let content = made.files.get(path).unwrap_or_else(|| panic!("no {path}: {:?}", made.files.keys()));
    String::from_utf8(bytes(content).to_vec()).expect("text")
}

/// What a press would find that stands in the folder that an earlier one wrote.
fn left_by(made: &Notes) -> Before {
    use sha2::Digest as _;
    let hash = |bytes: &[u8]| sha2::Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect::<String>();
    Before {
        files: made.files.iter().map(|(path, content)| (path.clone(), hash(bytes(content)))).collect(),
        changes: Some(text(made, "changes.json")),
    }
}

const WEIR: &str = "---\nname: Weir\nfamily: stirred\nmix: [60 ml gin, 20 ml dry vermouth]\nprocess: [{stir: {dilution: 25 %}}]\nserve: {glass: coupe, ice: none, garnish: lemon peel}\npublish: true\n---\nWords about the weir.\n\n1. Stir for a while.\n2. Strain.\n";
const FILM: &str = "film: {length: \"10:00:00\", chapters: [\"0:00 The drink\", \"0:20 Tea & <milk> --> curd\", \"1:00:00 The end\"], address: \"https://films.example/weir\", date: 2026-11-02}\n";

fn with_film() -> String {
    WEIR.replace("publish: true\n", &format!("publish: true\n{FILM}"))
}

#[test]
fn each_published_recipe_has_a_folder_and_nothing_else_does() {
    let secret = WEIR.replace("name: Weir", "name: Sluice").replace("publish: true\n", "");
    let notebook = Notebook::new(&[("recipes/weir.md", WEIR), ("recipes/sluice.md", &secret)]);
    let made = notebook.press().expect("notes");
    let names: Vec<&str> = made.files.keys().map(String::as_str).collect();
    assert_eq!(
        names,
        [
            "changes.json",
            "index.html",
            "notes.css",
            "weir/alt.txt",
            "weir/card-square.png",
            "weir/card.png",
            "weir/description.txt",
            "weir/newsletter.html",
            "weir/recipe.jsonld",
            "weir/share.html",
            "weir/shots.txt",
        ]
    );
    assert!(made.files.values().all(|c| !String::from_utf8_lossy(bytes(c)).contains("Sluice")));
    assert_eq!(made.problems, []);
    assert!(text(&made, "index.html").contains("Still without a picture and a film."));
    assert!(text(&made, "weir/alt.txt").contains("There is no picture of Weir yet."));
}

#[test]
fn what_only_the_house_sees_reaches_no_note() {
    let house = "name: The Lantern Lock\nmoney: {currency: EUR, labour: 18.75 per h}\nhours: {sat: \"03:07-04:09\"}\nequipment: {SECRET-PRESS: 3}\ntools: {bottles: [333 ml]}\n";
    let pantry = "- name: gin\n  abv: 43\n  price: 77.77\n  supplier: SECRET-QUAY\n  source: SECRET-LABEL\n";
    let recipe = "---\nname: Weir\nmix:\n  - pour: 60 ml gin\n    note: SECRET-POUR\n  - 20 ml secret cordial\nprocess: [{stir: {dilution: 25 %, note: SECRET-STIR, uses: SECRET-SPOON, active: 17 min}}]\nmakes_measured: 98.7 ml\nreadings: [{date: 2026-11-02, abv: 31.31, ph: 3.33}]\ntrials: [{date: 2026-10-12, change: SECRET-TRIAL}]\nsells_at: 66.66\npublish: true\n---\n1. Stir.\n";
    let secret = "---\nname: secret cordial\nmakes: prep\nmix: [500 ml sloe juice, 300 g white sugar]\n---\nHUSH\n";
    let log = "- recipe: Weir\n  lot: SECRET-LOT\n  made: 2026-11-20\n";
    let sloe = "- name: sloe juice\n  abv: 0\n  sugar: 5\n  acid: 1\n  allergens: [sulphite]\n";
    let notebook = Notebook::new(&[
        ("house.yaml", house),
        ("pantry/a.yaml", &format!("{pantry}{sloe}")),
        ("recipes/weir.md", recipe),
        ("recipes/secret.md", secret),
        ("log/a.yaml", log),
    ]);
    let made = notebook.press().expect("notes");
    for (path, content) in &made.files {
        let said = String::from_utf8_lossy(bytes(content));
        for word in [
            "SECRET",
            "HUSH",
            "77.77",
            "66.66",
            "31.3",
            "98.7",
            "3.33",
            "18.75",
            "333 ml",
            "sloe",
            "sugar from",
            "17 min",
            "03:07",
        ] {
            assert!(!said.contains(word), "{path} tells `{word}`");
        }
    }
    // Its name and its allergens are told.
    let description = text(&made, "weir/description.txt");
    assert!(description.contains("secret cordial, which is ours and stays with us"), "{description}");
    assert!(description.contains("Contains sulphites."), "{description}");
}

#[test]
fn chapters_are_the_same_in_every_file() {
    let notebook = Notebook::new(&[("recipes/weir.md", &with_film())]);
    let made = notebook.press().expect("notes");
    let (list, vtt) = (text(&made, "weir/chapters.txt"), text(&made, "weir/chapters.vtt"));
    assert_eq!(list, "0:00 The drink\n0:20 Tea & <milk> --> curd\n1:00:00 The end\n");
    assert!(text(&made, "weir/description.txt").contains(&list));
    assert_eq!(
        vtt,
        "WEBVTT\n\n00:00:00.000 --> 00:00:20.000\nThe drink\n\n00:00:20.000 --> 01:00:00.000\nTea &amp; &lt;milk&gt; --&gt; curd\n\n01:00:00.000 --> 10:00:00.000\nThe end\n"
    );
    let node: serde_json::Value = serde_json::from_str(&text(&made, "weir/recipe.jsonld")).expect("JSON");
    let clips: Vec<(&str, i64, i64)> = node["video"]["hasPart"]
        .as_array()
        .expect("clips")
        .iter()
        .map(|c| (c["name"].as_str().unwrap(), c["startOffset"].as_i64().unwrap(), c["endOffset"].as_i64().unwrap()))
        .collect();
    assert_eq!(clips, [("The drink", 0, 20), ("Tea & <milk> --> curd", 20, 3600), ("The end", 3600, 36_000)]);
    assert_eq!(node["video"]["duration"], "PT10H");
    assert_eq!(node["video"]["hasPart"][1]["url"], "https://films.example/weir#t=20");
    let captions = text(&made, "weir/captions.vtt");
    assert!(captions.starts_with("WEBVTT\n\nNOTE ") && captions.contains("\nStir for a while.\n"), "{captions}");
}

#[test]
fn a_film_without_a_length_has_a_list_but_no_timed_files() {
    let film = with_film().replace("length: \"10:00:00\", ", "");
    let notebook = Notebook::new(&[("recipes/weir.md", &film)]);
    let made = notebook.press().expect("notes");
    assert!(made.files.contains_key("weir/chapters.txt"));
    assert!(!made.files.contains_key("weir/chapters.vtt") && !made.files.contains_key("weir/captions.vtt"));
}

#[test]
fn pressing_twice_changes_nothing_and_a_change_is_told_once() {
    let notebook = Notebook::new(&[("recipes/weir.md", WEIR), ("recipes/b.md", &WEIR.replace("Weir", "Brink"))]);
    let first = notebook.press().expect("notes");
    assert!(text(&first, "index.html").contains("This is the first press"));
    let again = notebook.press_after(&first);
    assert_eq!(first.files, again.files);
    notebook.write("recipes/weir.md", &WEIR.replace("20 ml dry vermouth", "25 ml dry vermouth"));
    notebook.write("recipes/b.md", &WEIR.replace("Weir", "Basin"));
    let third = notebook.press_after(&again);
    assert_eq!(
        (third.changes.new.as_slice(), third.changes.gone.as_slice()),
        (&["Basin".into()][..], &["brink".into()][..])
    );
    let changed: Vec<(&str, bool)> = third
        .changes
        .changed
        .iter()
        .map(|c| {
            (c.name.as_str(), c.files.contains(&"description.txt".into()) && c.files.contains(&"recipe.jsonld".into()))
        })
        .collect();
    assert_eq!(changed, [("Weir", true)]);
    let index = text(&third, "index.html");
    assert!(index.contains("New: Basin.") && index.contains("Gone: brink.") && index.contains("<li>Weir: "), "{index}");
    let fourth = notebook.press_after(&third);
    assert_eq!(third.files, fourth.files, "the list of the last change stays until the next");
}

#[test]
fn a_house_adds_a_note_replaces_one_and_limits_one() {
    let notebook = Notebook::new(&[
        ("recipes/weir.md", WEIR),
        ("templates/notes/post.txt", "{{ recipe.name }}: {{ recipe.strength }} % vol\n"),
        ("templates/notes/alt.txt", "{{ recipe.alt.card }}"),
        (
            "templates/notes/badge.svg",
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"40\" height=\"20\"><text y=\"18\">{{ recipe.name }}</text></svg>",
        ),
        ("templates/notes/swaps.txt", "{# nothing #}"),
        ("templates/notes/data.json", "{\"name\": {{ recipe.name }}}"),
    ]);
    let made = notebook.press().expect("notes");
    let abv = costrel::ask::taste::taste(&notebook.compile(), 0).stages.last().expect("serve").abv_pct.expect("known");
    assert_eq!(text(&made, "weir/post.txt"), format!("Weir: {abv:.1} % vol\n"));
    assert!(text(&made, "weir/alt.txt").starts_with("Weir: a stirred drink"));
    assert!(bytes(&made.files["weir/badge.png"]).starts_with(b"\x89PNG"));
    assert!(!made.files.contains_key("weir/swaps.txt"), "an empty note is not written");
    assert_eq!(text(&made, "weir/data.json"), "{\"name\": \"Weir\"}");
}

#[test]
fn a_note_that_is_too_long_loses_its_steps_before_its_allergens() {
    let steps: String =
        (1..60).map(|i| format!("{i}. Stir and look at the light on the water, for the {i}th time.\n")).collect();
    let long = WEIR.replace("1. Stir for a while.\n2. Strain.\n", &steps);
    let house = |limit: usize| {
        format!(
            "name: The Lantern Lock\nsite: {{address: \"https://lantern-lock.example/\"}}\nnotes: {{limits: {{description: {limit}, post: 120}}}}\n"
        )
    };
    let short_post = ("templates/notes/post.txt", "{{ recipe.name }}\n");
    let notebook = Notebook::new(&[("house.yaml", &house(2000)), ("recipes/weir.md", &long), short_post]);
    let whole = notebook.press().expect("notes");
    let description = text(&whole, "weir/description.txt");
    assert!(description.chars().count() <= 2000 && !description.contains("How we make it"), "{description}");
    assert!(
        description.contains("Allergens: ") && description.contains("This is the short form. The whole recipe: https")
    );
    assert_eq!(whole.problems.len(), 1);
    assert_eq!(whole.problems[0].code.name(), "note-cut");
    assert!(whole.problems[0].message.contains("its steps are left out"), "{}", whole.problems[0].message);
    // Nothing that a reader must know is cut as long as there is room for it.
    notebook.write("house.yaml", &house(900));
    let short = text(&notebook.press().expect("notes"), "weir/description.txt");
    assert!(
        short.chars().count() <= 900 && short.contains("Allergens: ") && short.contains("It holds alcohol"),
        "{short}"
    );
    // A template that does not ask what to leave out is cut at its end, which then says so.
    notebook.write("templates/notes/post.txt", &"One two three four.\n\n".repeat(40));
    let post = text(&notebook.press().expect("notes"), "weir/post.txt");
    assert!(post.chars().count() <= 200 && post.contains("… cut here"), "{post}");
}

#[test]
fn a_limit_for_what_is_no_text_is_an_error_at_its_place() {
    for (name, help) in [("descripton", "did you mean `description`?"), ("newsletter", "a limit may be set for: ")] {
        let house = format!("name: The Lantern Lock\nnotes:\n  limits:\n    {name}: 500\n");
        let notebook = Notebook::new(&[("house.yaml", &house), ("recipes/weir.md", WEIR)]);
        let said = notebook.press().expect_err(name);
        assert!(said.starts_with("house.yaml:4:5  error  wrong-value") && said.contains(help), "{said}");
    }
}

#[test]
fn names_of_any_kind_make_a_card() {
    for (name, letters) in [
        ("梅酒の夜", "card-letters"),
        ("Café à la crème brûlée № 9", ""),
        ("\u{1f378}", "card-letters"),
        ("<script> & \"co\"", ""),
        ("Donaudampfschifffahrtsgesellschaftskapitänswitwenpunschbecherhalter", ""),
        ("مشروب", ""),
        ("เครื่องดื่ม", "card-letters"),
    ] {
        let recipe = WEIR.replace("name: Weir", &format!("name: {}", serde_json::to_string(name).expect("JSON")));
        let notebook = Notebook::new(&[("recipes/one.md", &recipe)]);
        let made = notebook.press().expect("notes");
        let codes: Vec<&str> = made.problems.iter().map(|p| p.code.name()).collect();
        assert_eq!(codes.join(" "), letters, "{name}");
        let card = made.files.iter().find(|(p, _)| p.ends_with("/card.png")).expect("a card").1;
        let picture = image::load_from_memory(bytes(card)).expect("a picture").to_rgb8();
        assert_eq!(picture.dimensions(), (1200, 630));
        // Something is written where the name stands.
        let ground = *picture.get_pixel(5, 5);
        assert!((70..680).any(|x| (150..400).any(|y| *picture.get_pixel(x, y) != ground)), "{name} left no ink");
        assert!((0..60).all(|x| (0..630).all(|y| *picture.get_pixel(x, y) == ground)), "{name} runs out at the left");
        assert!((690..716).all(|x| (0..630).all(|y| *picture.get_pixel(x, y) == ground)), "{name} runs into the side");
    }
    let long = WEIR.replace("name: Weir", &format!("name: {}", "Long name ".repeat(11)));
    let made = Notebook::new(&[("recipes/one.md", &long)]).press().expect("notes");
    assert!(made.files.keys().any(|p| p.ends_with("/card-square.png")));
}

/// A hostile template is stopped quickly, and the message points into its file.
fn refused(template: &str) -> String {
    let notebook = Notebook::new(&[("recipes/weir.md", WEIR), ("templates/notes/post.txt", template)]);
    let start = Instant::now();
    let said = notebook.press().expect_err(template);
    // A bound on what would otherwise never end, not a measurement.
    assert!(start.elapsed() < Duration::from_secs(60), "{template}");
    assert!(said.starts_with("templates/notes/post.txt:"), "{template}: {said}");
    assert!(said.len() < 3000, "{template}: {} bytes", said.len());
    said
}

#[test]
fn hostile_templates_are_stopped_where_they_stand() {
    // Loops in loops over data.
    let loops = "{% for a in recipe.shots %}".repeat(12) + "x" + &"{% endfor %}".repeat(12);
    assert!(refused(&loops).contains("too many steps"));
    // Strings that double, in each way that the language has.
    let doubled = "{% set x = 'abcdefgh' %}\n".to_owned() + &"{% set x = x ~ x %}\n".repeat(60);
    assert!(refused(&doubled).contains("too many steps"));
    let captured =
        "{% set x %}abcdefgh{% endset %}\n".to_owned() + &"{% set x %}{{ x }}{{ x }}{% endset %}\n".repeat(60);
    assert!(refused(&captured).contains("too many steps"));
    assert!(refused("{{ 'a' * 100000000 }}").contains("too many steps"));
    assert!(refused("{{ ([0] * 100000000) | join('x') }}").contains("too many steps"));
    assert!(
        refused("{{ 'aaaaaaaaaa' | replace('a', 'b' * 10000) | replace('b', 'c' * 10000) }}")
            .contains("too many steps")
    );
    // Recursion.
    let said = refused("\n\n{% macro m() %}{{ m() }}{% endmacro %}{{ m() }}");
    assert!(said.starts_with("templates/notes/post.txt:3:"), "{said}");
    refused("{% include 'post.txt' %}");
    refused(&format!("{{{{ {}1{} }}}}", "(".repeat(5000), ")".repeat(5000)));
    refused(&("{% if true %}".repeat(5000) + &"{% endif %}".repeat(5000)));
    refused(&format!("{{{{ {}1 }}}}", "not ".repeat(100_000)));
    // Other files.
    for other in ["/etc/passwd", "../../house.yaml", "description.txt", "index.html"] {
        for way in ["include", "extends", "import"] {
            let tail = if way == "import" { " as x" } else { "" };
            let said = refused(&format!("a\n{{% {way} '{other}'{tail} %}}"));
            assert!(said.starts_with("templates/notes/post.txt:2:"), "{said}");
            assert!(said.contains("it can include or extend no other file"), "{said}");
        }
    }
    // Names, filters and functions that are not there.
    let said = refused("{{ recipe.name }}\n{{ recipe.prize }}");
    assert!(said.starts_with("templates/notes/post.txt:2:"), "{said}");
    for nothing in
        ["{{ range(9) }}", "{{ recipe.name | tojson | pprint }}", "{{ namespace() }}", "{{ debug() }}", "{{ x() }}"]
    {
        refused(nothing);
    }
    refused("{{ unclosed");
    refused("{% for %}");
    refused(&"x".repeat(300 * 1024));
}

#[test]
fn a_hostile_drawing_is_refused_in_its_own_file() {
    let draw = |inside: &str| {
        let svg = format!("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"90\" height=\"90\">{inside}</svg>");
        let notebook = Notebook::new(&[("recipes/weir.md", WEIR), ("templates/notes/card.svg", &svg)]);
        notebook.press()
    };
    assert!(draw("<circle r=\"9\"/>").is_ok());
    for inside in [
        "<image href=\"../../secret.png\" width=\"9\" height=\"9\"/>",
        "<image href=\"data:image/svg+xml;base64,AAAA\" width=\"9\" height=\"9\"/>",
        "<g id=\"a\"><use href=\"#a\"/></g>",
        "<filter id=\"f\"/>",
        "<rect",
    ] {
        let said = draw(inside).expect_err(inside);
        assert!(said.starts_with("templates/notes/card.svg:1:1  error  template-error"), "{said}");
    }
}

#[test]
fn a_template_of_a_wrong_name_or_kind_is_an_error() {
    for (path, bytes) in [
        ("templates/notes/Post.TXT", &b"x"[..]),
        ("templates/notes/noending", b"x"),
        ("templates/notes/below/post.txt", b"x"),
        ("templates/notes/fonts/no-font.ttf", b"x"),
    ] {
        let notebook = Notebook::new(&[("recipes/weir.md", WEIR)]);
        let place = notebook.0.path().join(path);
        fs::create_dir_all(place.parent().expect("a folder")).expect("a folder");
        fs::write(place, bytes).expect("written");
        let said = notebook.press().expect_err(path);
        assert!(said.contains("template-error") && said.contains(path), "{path}: {said}");
    }
}

#[test]
fn the_page_on_the_data_is_what_the_types_say() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("templates/notes/DATA.md");
    let page = document::data_page();
    if std::env::var_os("UPDATE").is_some_and(|v| v == "1") {
        fs::write(&path, &page).expect("written");
    }
    let kept = fs::read_to_string(&path).unwrap_or_default();
    assert!(kept == page, "templates/notes/DATA.md is stale: UPDATE=1 cargo test --test notes");
    for word in ["`recipe`", "`strength_line`", "[Recipe](#recipe)", "optional text", "list of [Step](#step)"] {
        assert!(page.contains(word), "{word}");
    }
    assert!(!page.contains("| any |") && !page.contains("|  |"), "a field without a type or a meaning");
}

fn demo() -> (PathBuf, Computed) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebook");
    let (computed, _) = costrel::compile(&root);
    (root, computed)
}

/// The text between two marks.
fn between<'a>(text: &'a str, open: &str, close: &str) -> Option<&'a str> {
    let rest = &text[text.find(open)? + open.len()..];
    rest.find(close).map(|end| &rest[..end])
}

/// The pages of the public spec book that a recipe has, as text, by its slug; `None` where what reads a PDF is not installed and
/// nobody requires it.
#[cfg(feature = "pdf")]
fn book_of(computed: &Computed) -> Option<BTreeMap<String, String>> {
    let settings = costrel::press::print::Settings::default();
    let read = |asset: &costrel::notebook::walk::Asset| asset.read().ok();
    let printed = costrel::press::print::book(computed, Edition::Public, &settings, &read).expect("a book");
    let dir = tempfile::tempdir().expect("a scratch folder");
    let file = dir.path().join("book.pdf");
    fs::write(&file, &printed.pdf).expect("a file");
    let run = |name: &str, arguments: &[&str], end: &[&str]| match std::process::Command::new(name)
        .args(arguments)
        .arg(&file)
        .args(end)
        .output()
    {
        Ok(done) => Some(String::from_utf8_lossy(&done.stdout).into_owned()),
        Err(_) if std::env::var("COSTREL_TOOLS").is_ok_and(|t| t == "required") => panic!("{name} is not installed"),
        Err(_) => None,
    };
    let text = run("pdftotext", &["-raw"], &["-"])?.replace('\u{a0}', " ");
    let pages: Vec<&str> = text.split('\u{c}').collect();
    // Where each place of the document stands: `12 [ XYZ … ] "recipes/towpath"`.
    let mut places: Vec<(usize, String)> = run("pdfinfo", &["-dests"], &[])?
        .lines()
        .filter_map(|line| {
            Some((line.split_whitespace().next()?.parse().ok()?, between(line, "] \"", "\"")?.to_owned()))
        })
        .collect();
    places.sort();
    let starts: Vec<usize> = places.iter().map(|(page, _)| *page).collect();
    let mut book = BTreeMap::new();
    for (page, name) in &places {
        if let Some(slug) = name.strip_prefix("recipes/") {
            let end = starts.iter().copied().find(|start| start > page).unwrap_or(pages.len());
            book.insert(slug.to_owned(), pages[page - 1..end - 1].join("\n"));
        }
    }
    Some(book)
}

#[cfg(not(feature = "pdf"))]
fn book_of(_: &Computed) -> Option<BTreeMap<String, String>> {
    None
}

#[test]
fn one_figure_stands_everywhere_in_the_whole_demo() {
    let (_, computed) = demo();
    let made = notes(&computed, &Before::default()).expect("notes");
    let site = costrel::press::site::site(&computed, Edition::Public).expect("a site");
    let public = costrel::recipe::run::for_guests(&computed).expect("the demo has readings");
    let book = book_of(&computed);
    let regime = public.graph.notes.house.drinks_regime.clone();
    let mut compared: BTreeMap<&str, usize> = BTreeMap::new();
    for (index, recipe) in public.graph.notes.recipes.iter().enumerate().filter(|(_, r)| r.publish) {
        let slug = &public.graph.nodes[index].slug;
        let taste = costrel::ask::taste::taste(&public, index);
        let page = String::from_utf8(bytes(&site[&format!("recipes/{slug}.html")]).to_vec()).expect("text");
        let page = page.replace("&nbsp;", " ").replace('\u{a0}', " ");
        let description = text(&made, &format!("{slug}/description.txt"));
        let newsletter = text(&made, &format!("{slug}/newsletter.html"));
        let node: serde_json::Value =
            serde_json::from_str(&text(&made, &format!("{slug}/recipe.jsonld"))).expect("JSON");
        let printed = book.as_ref().map(|book| book.get(slug).unwrap_or_else(|| panic!("{slug} is not in the book")));
        // A row of the book's figures: its name, the figure, and maybe how far that can be off before its unit.
        let row = |name: &str, figure: &str, unit: &str| {
            printed.is_none_or(|p| {
                p.lines().any(|l| {
                    let told = l.strip_prefix(name).and_then(|l| l.trim_start().strip_prefix(figure));
                    told.is_some_and(|rest| rest.starts_with([' ', '±']) && rest.ends_with(unit))
                })
            })
        };
        let mut check = |what: &'static str, figure: String, places: &[(&str, bool)]| {
            *compared.entry(what).or_default() += 1;
            for (place, there) in places {
                assert!(
                    there,
                    "{}: {what} {figure} is not in {place}:\n{}",
                    recipe.name.value,
                    if *place == "the book" { printed.map_or("", |p| p.as_str()) } else { "" }
                );
            }
        };
        let last = taste.stages.last().expect("a stage");
        let stage = if taste.serve.is_some() { last } else { &taste.stages[public.made[index].batch] };
        if let Some(abv) = stage.abv_pct {
            let figure = format!("{abv:.1} % vol");
            let value = format!("<b>{abv:.1}</b>");
            check(
                "strength",
                figure.clone(),
                &[
                    ("the description", description.contains(&figure)),
                    ("the newsletter", newsletter.contains(&figure)),
                    ("the structured data", node["description"].as_str().is_some_and(|d| d.contains(&figure))),
                    ("the site", page.contains(&value)),
                    ("the book", row("Strength", &format!("{abv:.1}"), "% vol")),
                ],
            );
        }
        if let Some(serve) = &taste.serve {
            if let Some(Some(drinks)) = serve.standard_drinks.get(regime.as_str())
                && stage.abv_pct.is_some_and(|a| a > 0.0)
            {
                let figure = format!("{drinks:.1}");
                let words = format!("{figure} {} units", regime.to_uppercase());
                let site = between(&page, "class=\"plates\"", "</ul>").is_some_and(|p| p.contains(&figure));
                let book = row("Standard drinks", &figure, "UK units");
                check(
                    "standard drinks",
                    figure,
                    &[("the description", description.contains(&words)), ("the site", site), ("the book", book)],
                );
            }
            if let Some(kcal) = serve.energy_kcal {
                let figure = format!("{kcal:.0}");
                let calories = node["nutrition"]["calories"] == format!("{figure} kcal");
                let site = page.contains(&format!("<b>{figure}</b> <span class=\"unit\">kcal</span>"));
                let book = row("Energy", &figure, "kcal");
                check("energy", figure, &[("the structured data", calories), ("the site", site), ("the book", book)]);
            }
        }
        for tag in &taste.allergens {
            let word = costrel::ask::diet::word(tag);
            check(
                "allergens",
                word.to_owned(),
                &[
                    ("the description", description.contains(word)),
                    ("the newsletter", newsletter.contains(word)),
                    ("the site", page.contains(word)),
                    ("the book", printed.is_none_or(|p| p.contains(word))),
                ],
            );
        }
        for line in node["recipeIngredient"].as_array().expect("ingredients") {
            let words = line.as_str().expect("text");
            let amount = words.split(' ').take(2).collect::<Vec<_>>().join(" ");
            // The book has the amount in columns of its own, and `float` beside the name.
            let number = words.find(|c: char| c.is_numeric()).map_or("", |at| &words[at..]);
            let number = number.split(' ').take(2).collect::<Vec<_>>().join(" ");
            let book = printed.is_none_or(|p| p.contains(&number));
            check(
                "amounts",
                words.to_owned(),
                &[("the description", description.contains(&amount)), ("the book", book)],
            );
        }
    }
    for (what, least) in
        [("strength", 55), ("standard drinks", 25), ("energy", 30), ("allergens", 20), ("amounts", 200)]
    {
        assert!(compared.get(what).is_some_and(|n| *n >= least), "{what}: {compared:?}");
    }
}

#[test]
fn what_a_process_works_out_is_listed_with_what_goes_in() {
    // Without the water nobody could make a bottled highball, nor the sour juice without its acid.
    let water = "---\nname: Highball\nmix: [600 ml gin, 400 ml grapefruit juice]\nprocess: [water: {to: 15 %}]\npublish: true\n---\n1. Pour.\n";
    let sour = "---\nname: sharp juice\nmakes: prep\nmix: [1 l pineapple juice]\nprocess: [acid-adjust: {to: 5 %, with: {citric acid: 2, malic acid: 1}}]\npublish: true\n---\n1. Stir.\n";
    let notebook = Notebook::new(&[("recipes/water.md", water), ("recipes/sour.md", sour)]);
    let computed = notebook.compile();
    let made = notebook.press().expect("notes");
    for (slug, stage, word) in [("highball", "water", "to dilute"), ("sharp-juice", "acid-adjust", "for the sourness")]
    {
        let recipe = computed.graph.recipe(slug).expect("a recipe");
        let taste = costrel::ask::taste::taste(&computed, recipe);
        let added = &taste.stages.iter().find(|s| s.stage == stage).expect("the process").added;
        assert!(!added.is_empty());
        for taken in added {
            // Water is poured; a litre of it weighs 998.2 g at 20 °C (IAPWS, in tests/reference).
            let (amount, unit) =
                if taken.what == "water" { (taken.mass_g / 0.998_2, "ml") } else { (taken.mass_g, "g") };
            let description = text(&made, &format!("{slug}/description.txt"));
            let line = description.lines().find(|l| l.contains(&format!(" {}, {word}", taken.what)));
            let line = line.unwrap_or_else(|| panic!("{slug}: no line for {}:\n{description}", taken.what));
            let told: f64 = line.split(' ').next().and_then(|n| n.parse().ok()).expect("an amount");
            assert!((told - amount).abs() < 0.06 && line.split(' ').nth(1) == Some(unit), "{line}, {amount}");
            let data = text(&made, &format!("{slug}/recipe.jsonld"));
            assert!(data.contains(&format!("{told} {unit} {}\"", taken.what)), "{data}");
        }
    }
}

#[test]
fn the_demo_makes_notes_without_a_word_of_warning() {
    let (_, computed) = demo();
    let made = notes(&computed, &Before::default()).expect("notes");
    assert!(made.problems.is_empty(), "{}", shown(&computed, &made.problems));
    let again = notes(&computed, &Before::default()).expect("notes");
    assert_eq!(made.files, again.files, "the same notebook gives the same bytes");
    for (path, content) in made.files.iter().filter(|(p, _)| p.ends_with("description.txt")) {
        let said = String::from_utf8(bytes(content).to_vec()).expect("text");
        assert!(said.chars().count() <= 4900 && !said.contains("\n\n\n") && !said.contains("None"), "{path}");
    }
    for (path, content) in made.files.iter().filter(|(p, _)| p.ends_with(".png")) {
        assert!(bytes(content).len() < 1_000_000, "{path} is larger than a megabyte");
    }
}

const SYRUP: &str = "---\nname: honey syrup\nmakes: prep\nmix: [300 g honey, 100 g water]\nkeeps: [21 d at 4 °C]\npublish: true\n---\n1. Stir.\n";
const SOUR: &str = "---\nname: Sour\nfamily: shaken\nmix:\n  - 60 ml gin\n  - 25 ml lemon juice\n  - pour: 20 ml honey syrup\n    or: [20 ml agave syrup, 1 barspoon sugar]\nprocess: [{stir: {dilution: 25 %, for: 20 s}}, {chill: {to: 3 °C, for: 4 h}}]\nkeeps: [1 d at 4 °C]\nserve: {glass: coupe, ice: none}\npublish: true\n---\n";

/// What an expression prints in the recipe `SOUR`, or why it does not.
fn said(body: &str) -> (String, String) {
    let notebook = Notebook::new(&[("recipes/syrup.md", SYRUP), ("recipes/sour.md", &format!("{SOUR}{body}\n"))]);
    let (computed, problems) = costrel::compile(notebook.0.path());
    if problems.iter().any(Problem::is_error) {
        return (String::new(), shown(&computed, &problems));
    }
    let site = costrel::press::site::site(&computed, Edition::Public).expect("a site");
    let page = String::from_utf8(bytes(&site["recipes/sour.html"]).to_vec()).expect("text");
    (page, shown(&computed, &problems))
}

#[test]
fn the_page_on_prose_says_what_may_be_written_and_all_of_it_may() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("templates/PROSE.md");
    let page = costrel::ask::prose::documentation();
    if std::env::var_os("UPDATE").is_some_and(|v| v == "1") {
        fs::write(&path, &page).expect("written");
    }
    assert!(
        fs::read_to_string(&path).unwrap_or_default() == page,
        "templates/PROSE.md is stale: UPDATE=1 cargo test --test notes"
    );
    let written: Vec<&str> = page.split("| `").skip(1).filter_map(|row| row.split('`').next()).collect();
    assert!(written.len() >= 20, "{written:?}");
    let body: String = written.iter().map(|e| format!("- {e};\n")).collect();
    let (html, problems) = said(&body.replace("temperature(\"stir\")", "temperature(\"chill\")"));
    assert!(!html.is_empty(), "{problems}");
    assert!(!html.contains("{{") && !html.contains("<li>;"), "an expression prints nothing");
    assert!(!html.contains("unknown, because"), "an example is not known");
}

#[test]
fn values_are_marked_so_that_a_page_can_scale_them() {
    let (html, problems) = said(
        "Pour {{ amount(\"gin\") }} and {{ grams(\"honey syrup\") }}; stir {{ time(\"stir\") }}. See {{ recipe(\"honey syrup\") }} and {{ ingredient(\"gin\") }}: {{ abv }}.",
    );
    for mark in [
        "<data class=\"amount\" value=\"60\" data-unit=\"ml\">60 ml</data>",
        "data-unit=\"g\">",
        "<time datetime=\"PT20S\">20 s</time>",
        "<a href=\"../recipes/honey-syrup.html\">honey syrup</a>",
        "<a href=\"../ingredients/gin.html\">gin</a>",
        " %</data>",
    ] {
        assert!(html.contains(mark), "{mark} is not there: {problems}");
    }
}

#[test]
fn what_cannot_be_written_is_located_with_the_nearest_name() {
    for (text, place, words) in [
        ("a {{ abw }}", "14:6", "did you mean `abv`?"),
        ("{{ 1 if serve_volum else 2 }}", "14:9", "did you mean `serve_volume`?"),
        ("{{ amount(\"gni\") }}", "14:1", "did you mean \"gin\""),
        ("{{ time(\"sitr\") }}", "14:1", "did you mean \"stir\""),
        ("{{ recipe(\"honey sirup\") }}", "14:1", "did you mean \"honey syrup\""),
        ("{{ recipe(\"honey syrup\").birx }}", "14:1", "did you mean `.brix`?"),
        ("{{ stage(\"shake\").abv }}", "14:1", "this recipe has no stage"),
        ("{{ temperature(\"stir\") }}", "14:1", "is not known"),
        ("{{ [1, 2] }}", "14:1", "prose takes one value"),
        ("{{ 'a' * 100000000 }}", "14:1", "too many steps, or makes too long a text"),
        ("{{ ('a' * 100000) * 100000 }}", "14:1", "too many steps, or makes too long a text"),
        ("{{ abv.__class__ }}", "14:1", "nothing is called"),
    ] {
        let (html, problems) = said(text);
        assert!(html.is_empty(), "{text} was taken");
        assert!(problems.contains(&format!("recipes/sour.md:{place}  error  method-expression")), "{text}: {problems}");
        assert!(problems.contains(words), "{text}: {problems}");
    }
    let deep = format!("{{{{ {}1{} }}}}", "(".repeat(190), ")".repeat(190));
    assert!(said(&deep).1.contains("method-expression"));
}

#[test]
fn a_published_text_tells_nothing_of_what_is_not_published() {
    let hidden = SYRUP.replace("publish: true\n", "");
    let page = "---\ntitle: About\n---\nWe use {{ recipe(\"honey syrup\") }}.\n";
    let notebook = Notebook::new(&[("recipes/syrup.md", &hidden), ("recipes/sour.md", SOUR), ("pages/about.md", page)]);
    let site = costrel::press::site::site(&notebook.compile(), Edition::Public).expect("a site");
    let html = String::from_utf8(bytes(&site["pages/about.html"]).to_vec()).expect("text");
    assert!(html.contains("We use honey syrup."), "its name may be told, without a link");
    // What no published recipe uses has no name for readers, and the writer is told.
    let alone = Notebook::new(&[("recipes/syrup.md", &hidden), ("pages/about.md", page)]);
    let site = costrel::press::site::site(&alone.compile(), Edition::Public).expect("a site");
    let html = String::from_utf8(bytes(&site["pages/about.html"]).to_vec()).expect("text");
    assert!(html.contains("We use a recipe of the house."), "{html}");
    notebook.write("pages/about.md", &page.replace("syrup\")", "syrup\").brix"));
    let (computed, problems) = costrel::compile(notebook.0.path());
    let said = shown(&computed, &problems);
    assert!(said.contains("a published text tells figures of published recipes only"), "{said}");
    // On a page of the house they may be told; figures of a recipe have no meaning there by themselves.
    notebook.write(
        "pages/about.md",
        "---\ntitle: About\npublish: false\n---\n{{ recipe(\"honey syrup\").brix }} {{ abv }}\n",
    );
    let (computed, problems) = costrel::compile(notebook.0.path());
    let said = shown(&computed, &problems);
    assert!(said.contains("`abv` is said of a recipe, and this is a page") && !said.contains("brix`"), "{said}");
}

#[test]
fn a_substitute_is_computed_by_making_the_recipe_again() {
    let notebook = Notebook::new(&[("recipes/syrup.md", SYRUP), ("recipes/sour.md", SOUR)]);
    let computed = notebook.compile();
    let sour = computed.graph.recipe("Sour").expect("there");
    let swaps = costrel::ask::swap::swaps(&computed, sour);
    assert_eq!(swaps.len(), 2);
    // The same recipe written with the substitute in the first place.
    let with = SOUR.replace(
        "  - pour: 20 ml honey syrup\n    or: [20 ml agave syrup, 1 barspoon sugar]\n",
        "  - 20 ml agave syrup\n",
    );
    let other = Notebook::new(&[("recipes/sour.md", &with)]);
    let written = costrel::ask::taste::taste(&other.compile(), 0);
    let serve = written.stages.last().expect("a stage");
    for (change, expected) in
        swaps[0].figures.iter().zip([serve.abv_pct, serve.sugar_g_per_100ml, serve.acid_g_per_100ml])
    {
        let (a, b) = (change.after.expect("known"), expected.expect("known"));
        assert!((a - b).abs() < 1e-9 * b.abs().max(1.0), "{}: {a} is not {b}", change.figure);
    }
    assert_eq!(swaps[0].vegan, (Some(false), Some(true)));
    let note = text(&notebook.press().expect("notes"), "sour/swaps.txt");
    assert!(
        note.starts_with("20 ml (0.68 oz) agave syrup in place of the honey syrup: ") && note.contains("vegan."),
        "{note}"
    );
    // Only what goes in the mix, measured.
    for (or, words) in [
        ("    or: [2 limes]\n", "a substitute is measured by volume or weight"),
        ("    or: [20 ml agve syrup]\n", "nothing is called `agve syrup`"),
    ] {
        let wrong = SOUR.replace("    or: [20 ml agave syrup, 1 barspoon sugar]\n", or);
        notebook.write("recipes/sour.md", &wrong);
        let (computed, problems) = costrel::compile(notebook.0.path());
        assert!(shown(&computed, &problems).contains(words), "{}", shown(&computed, &problems));
    }
}
