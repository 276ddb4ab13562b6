//! What a house changes about its site: templates, words, colours, fonts. A fault in one of its files is told at its place there.

use std::fs;
use std::path::Path;

use costrel::press::{Content, Edition, Output, site::site};
use costrel::problem::terminal;

fn write(root: &Path, path: &str, text: &str) {
    let file = root.join(path);
    fs::create_dir_all(file.parent().expect("a parent")).expect("a folder");
    fs::write(file, text).expect("a file");
}

/// A notebook with one drink and these files.
fn pressed(files: &[(&str, &str)]) -> Result<Output, String> {
    let folder = tempfile::tempdir().expect("a scratch folder");
    write(folder.path(), "house.yaml", "name: Test House\n");
    write(
        folder.path(),
        "recipes/sours/sour.md",
        "---\nname: Sour\nmix: [60 ml gin, 30 ml lemon juice]\nserve: {glass: coupe}\npublish: true\n---\n\n1. Shake for 12 seconds.\n",
    );
    for (path, text) in files {
        write(folder.path(), path, text);
    }
    let (computed, problems) = costrel::compile(folder.path());
    let errors: Vec<_> = problems.iter().filter(|p| p.is_error()).collect();
    assert!(errors.is_empty(), "{errors:?}");
    site(&computed, Edition::Public).map_err(|problems| {
        let shown =
            |p| anstream::adapter::strip_str(&terminal::render(p, &computed.graph.notes.sources, "")).to_string();
        problems.iter().map(shown).collect::<Vec<_>>().join("\n")
    })
}

fn page(output: &Output, path: &str) -> String {
    match output.get(path) {
        Some(Content::Bytes(bytes)) => String::from_utf8(bytes.clone()).expect("text"),
        other => panic!("{path}: {other:?}"),
    }
}

fn refused(files: &[(&str, &str)], wanted: &[&str]) {
    let said = pressed(files).expect_err("a fault");
    for words in wanted {
        assert!(said.contains(words), "`{words}` is not in:\n{said}");
    }
}

const RECIPE: &str = "recipes/sour.html";

#[test]
fn a_template_of_the_house_wins_and_may_build_on_the_built_in_one() {
    let own = "{% extends \"builtin/site/base.html\" %}\n{% block main %}<h1>Ours: {{ plain.title }}</h1>{% endblock main %}\n";
    let made = pressed(&[("templates/site/page.html", own), ("pages/about.md", "---\ntitle: About us\n---\nWords.\n")]);
    assert!(page(&made.expect("a site"), "pages/about.html").contains("<h1>Ours: About us</h1>"));
}

#[test]
fn a_wrong_template_is_told_at_its_line() {
    refused(
        &[("templates/site/recipe.html", "{% extends \"site/base.html\" %}\n{% block main %}\n  {% if %}\n")],
        &["templates/site/recipe.html:3:", "template-error"],
    );
}

#[test]
fn a_field_that_does_not_exist_is_told_at_its_line() {
    refused(
        &[(
            "templates/site/recipe.html",
            "{% extends \"site/base.html\" %}\n{% block main %}\n<h1>{{ recipe.nam }}</h1>\n{% endblock main %}\n",
        )],
        &["templates/site/recipe.html:3:", "template-error"],
    );
}

#[test]
fn every_wrong_template_is_told_in_one_run() {
    refused(
        &[("templates/site/page.html", "{% if %}\n"), ("templates/site/front.html", "\n{{ ( }}\n")],
        &["templates/site/page.html:1:", "templates/site/front.html:2:"],
    );
}

#[test]
fn a_key_that_nobody_wrote_is_told_where_it_is_said() {
    refused(
        &[(
            "templates/site/404.html",
            "{% extends \"site/base.html\" %}\n{% block main %}{{ \"lost.titel\" | say }}{% endblock main %}\n",
        )],
        &["templates/site/404.html:2:", "lost.titel"],
    );
}

#[test]
fn a_template_of_nearly_a_known_name_is_doubted() {
    refused(
        &[("templates/site/recpie.html", "<p>x</p>\n")],
        &["templates/site/recpie.html:1:1", "did you mean `site/recipe.html`?"],
    );
}

#[test]
fn the_site_speaks_dutch() {
    let made = pressed(&[("house.yaml", "name: Huis\nlanguages: [nl]\n")]).expect("a site");
    let html = page(&made, RECIPE);
    assert!(html.contains("<html lang=\"nl\" dir=\"ltr\">"));
    for words in ["Werkwijze", "Allergenen en dieet", "Sterkte", "drank"] {
        assert!(html.contains(words), "no `{words}`");
    }
    for words in [">Method<", ">Allergens and diet<", ">Keeping<"] {
        assert!(!html.contains(words), "`{words}` is left");
    }
    assert!(page(&made, "manifest.webmanifest").contains("\"lang\": \"nl\""));
}

const HOUSE_IN_DUTCH: (&str, &str) = ("house.yaml", "name: Huis\nlanguages: [nl]\n");

#[test]
fn hazards_are_told_in_dutch_and_what_has_no_dutch_says_so() {
    // A cold ferment is a note without a translation; a siphon is told in Dutch.
    let recipe = "---\nname: Bubbels\nmix: [400 ml tonic water]\nprocess: [{charge: {siphon: 500 ml}}, {ferment: {at: 12 °C}}]\nserve: {pour: 100 ml}\npublish: true\n---\n\n1. Laad de sifon.\n";
    let made = pressed(&[HOUSE_IN_DUTCH, ("recipes/bubbels.md", recipe)]).expect("a site");
    let html = page(&made, "recipes/bubbels.html");
    assert!(html.contains("Wie de kop van een geladen sifon losdraait"), "{html}");
    assert!(!html.contains("Unscrewing a charged head"));
    assert!(html.contains("<p lang=\"en\">Heat favours off-yeasts"), "{html}");
    assert!(html.contains("Bevat kinine."));
    assert!(page(&made, "safety.html").contains("Er is geen veilige hoeveelheid bekend"));
    let own = "ferment-temp: {what: Hitte geeft valse gist., do: Houd het op 20 °C.}\n";
    let made = pressed(&[HOUSE_IN_DUTCH, ("recipes/bubbels.md", recipe), ("templates/hazards/strings/nl.yaml", own)]);
    assert!(page(&made.expect("a site"), "recipes/bubbels.html").contains("Hitte geeft valse gist."));
}

#[test]
fn a_house_talks_no_danger_down_in_another_language() {
    refused(
        &[HOUSE_IN_DUTCH, ("templates/hazards/strings/nl.yaml", "siphon-overfill: {what: Valt mee., do: Niets.}\n")],
        &["templates/hazards/strings/nl.yaml:1:19", "`siphon-overfill` has its words in this language already"],
    );
    refused(
        &[("templates/hazards/strings/en.yaml", "siphon-overfil: {what: It is fine.}\n")],
        &["templates/hazards/strings/en.yaml:1:18", "did you mean `siphon-overfill`?"],
    );
    refused(
        &[HOUSE_IN_DUTCH, ("templates/hazards/strings/nl.yaml", "ferment-temp: {waht: Hitte.}\n")],
        &["templates/hazards/strings/nl.yaml:1:16", "says nothing of a hazard"],
    );
}

#[test]
fn a_house_changes_a_text_and_no_other() {
    let made = pressed(&[("templates/site/strings/en.yaml", "recipe: {method: How we do it}\n")]).expect("a site");
    let html = page(&made, RECIPE);
    assert!(html.contains("How we do it") && html.contains("Allergens and diet"));
}

#[test]
fn faults_in_the_words_of_a_house_are_told_at_their_place() {
    refused(
        &[("templates/site/strings/en.yaml", "recipe:\n  metod: How\n  version: \"v. {versoin}\"\n")],
        &[
            "templates/site/strings/en.yaml:2:3",
            "did you mean `recipe.method`?",
            "templates/site/strings/en.yaml:3:1",
            "use `{version}`",
        ],
    );
}

#[test]
fn a_language_without_all_its_words_is_told_what_is_missing() {
    refused(
        &[
            ("house.yaml", "name: Haus\nlanguages: [de]\n"),
            ("templates/site/strings/de.yaml", "recipe: {method: Zubereitung}\n"),
        ],
        &["templates/site/strings/de.yaml:1:1", "missing-key", "texts are missing"],
    );
    refused(&[("house.yaml", "name: Haus\nlanguages: [de]\n")], &["house.yaml:2:13", "templates/site/strings/de.yaml"]);
}

#[test]
fn a_language_of_its_own_is_used_and_may_run_from_right_to_left() {
    let english = include_str!("../templates/site/strings/en.yaml");
    let own = english.replace("direction: ltr", "direction: rtl").replace("method: Method", "method: طريقة");
    let made = pressed(&[("house.yaml", "name: دار\nlanguages: [ar]\n"), ("templates/site/strings/ar.yaml", &own)]);
    let html = page(&made.expect("a site"), RECIPE);
    assert!(html.contains("<html lang=\"ar\" dir=\"rtl\">") && html.contains("طريقة"));
}

#[test]
fn colours_fonts_and_the_mark_are_the_house_s() {
    let mark = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 8 8\"><path d=\"M0 0h8v8H0z\" fill=\"#123456\"/></svg>";
    let made = pressed(&[
        (
            "templates/site/house.css",
            ":root { --paper: #fff8ee; }\n@font-face { font-family: Own; src: url(fonts/own.woff2); }\n",
        ),
        ("templates/site/fonts/own.woff2", "not really a font"),
        ("templates/site/mark.svg", mark),
    ])
    .expect("a site");
    let sheet = page(&made, "site.css");
    assert!(sheet.rfind("--paper:#fff8ee") > sheet.find("--paper:#eef3ee"), "the house's colours come last");
    assert!(made.contains_key("fonts/own.woff2"));
    assert!(page(&made, "mark.svg").contains("#123456") && page(&made, RECIPE).contains("%23123456"));
    let plain = pressed(&[]).expect("a site");
    assert_ne!(made["icon-192.png"], plain["icon-192.png"]);
    assert_ne!(page(&made, "sw.js"), page(&plain, "sw.js"));
}

#[test]
fn a_style_sheet_asks_no_other_host() {
    refused(
        &[("templates/site/house.css", "body { color: red; }\n@import url(https://fonts.example/a.css);\n")],
        &["templates/site/house.css:2:", "asks another host"],
    );
}

#[test]
fn a_mark_that_is_no_drawing_is_told() {
    refused(&[("templates/site/mark.svg", "<p>no</p>")], &["templates/site/mark.svg:1:1", "cannot be drawn"]);
}

#[test]
fn a_picture_that_is_none_is_told_where_it_is_named() {
    refused(
        &[
            ("media/a.png", "no picture"),
            ("recipes/b.md", "---\nname: B\nmix: [60 ml gin]\npicture: {file: a.png, alt: A}\npublish: true\n---\n"),
        ],
        &["recipes/b.md:4:", "cannot be read"],
    );
}

#[test]
fn a_day_of_publishing_stands_in_the_feed_and_the_site_map() {
    let made = pressed(&[
        ("house.yaml", "name: House\nsite: {address: \"https://bar.example/\"}\n"),
        ("recipes/dated.md", "---\nname: Dated\nmix: [60 ml gin]\npublish: 2026-11-20\n---\n"),
    ])
    .expect("a site");
    let feed = page(&made, "feed.xml");
    assert!(
        feed.contains("<updated>2026-11-20T00:00:00+00:00</updated>") || feed.contains("2026-11-20T00:00:00Z"),
        "{feed}"
    );
    assert!(feed.contains("2000-01-01T00:00:00"), "what has no date keeps its place");
    assert!(page(&made, "sitemap.xml").contains("<lastmod>2026-11-20</lastmod>"));
}

#[test]
fn the_house_edition_tells_machines_nothing() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    write(folder.path(), "house.yaml", "name: H\nsite: {address: \"https://bar.example/\"}\n");
    write(folder.path(), "recipes/a.md", "---\nname: A\nmix: [60 ml gin]\n---\n");
    let (computed, _) = costrel::compile(folder.path());
    let made = site(&computed, Edition::House).expect("a site");
    for file in ["feed.xml", "sitemap.xml", "notebook.json"] {
        assert!(!made.contains_key(file), "{file}");
    }
    assert!(page(&made, "robots.txt").contains("Disallow: /"));
    let html = page(&made, "recipes/a.html");
    assert!(html.contains("noindex") && !html.contains("ld+json") && !html.contains("og:"));
}

#[test]
fn no_published_text_names_what_is_not_published() {
    let secret =
        ("recipes/sours/secret.md", "---\nname: Wreckers Lamp\nmix: [60 ml gin]\nserve: {glass: coupe}\n---\n");
    let page_text = "---\ntitle: About us\npublish: true\n---\nSoon: {{ recipe(\"Wreckers Lamp\") }}.\n";
    for (languages, words) in [("en", "a recipe of the house"), ("nl", "een recept van het huis")] {
        let house = format!("name: House\nlanguages: [{languages}]\n");
        let made = pressed(&[("house.yaml", &house), secret, ("pages/about.md", page_text)]).expect("a site");
        assert!(page(&made, "pages/about.html").contains(&format!("Soon: {words}.")));
        for (path, content) in &made {
            if let Content::Bytes(bytes) = content {
                assert!(!String::from_utf8_lossy(bytes).contains("Wreckers"), "{path} names it");
            }
        }
    }
}

/// What is wrong with a page's template, and where it is told.
#[test]
fn every_kind_of_wrong_template_is_told_where_it_stands() {
    let open = "{% extends \"site/base.html\" %}\n{% block main %}\n";
    let close = "\n{% endblock main %}\n";
    for (inside, place, words) in [
        ("<p>{{ root | shout }}</p>", "3:14", "nknown filter `shout`"),
        ("é {{ <site.nothing /> }}", "3:6", "nknown component `site.nothing`"),
        ("{{ <site.pour q={page} /> }}", "3:4", "unknown argument(s) `q`"),
        ("{% include \"site/nope.html\" %}", "3:12", "nknown template `site/nope.html`"),
        ("{% include \"site/404.html\" %}", "3:13", "leads back to itself"),
        ("{{ page + 1 }}", "3:4", "requires both operands to be numbers"),
        ("{{ \"nope.css\" | asset }}", "3:17", "no file called `nope.css`"),
        ("{% for i in range(end=1000000000) %}x{% endfor %}", "3:13", "exceeds the limit"),
        ("{{ nobody }}", "3:4", "nobody"),
        (
            "{% for i in range(end=100000) %}{% for j in range(end=100000) %}{{ site.policy }}{% endfor %}{% endfor %}",
            "1:1",
            "a page grows beyond 32 MiB",
        ),
    ] {
        let text = format!("{open}{inside}{close}");
        refused(&[("templates/site/404.html", &text)], &[&format!("templates/site/404.html:{place} "), words]);
    }
    refused(
        &[("templates/site/404.html", "{% extends \"site/bse.html\" %}\n")],
        &["templates/site/404.html:1:13 ", "no template `site/bse.html`"],
    );
    refused(&[("templates/site/recipe.html", "\n")], &["templates/site/recipe.html:1:1 ", "this template is empty"]);
    // An empty partial leaves something out, which a house may want.
    let made = pressed(&[("templates/site/scaling.html", "\n")]).expect("a site");
    assert!(!page(&made, RECIPE).contains("id=\"scale\""));
    // Faults of several files that only show together are told together.
    let text = |inside: &str| format!("{open}{inside}{close}");
    refused(
        &[
            ("templates/site/404.html", &text("{{ root | shout }}")),
            ("templates/site/house.html", &text("\n{{ root | whisper }}")),
        ],
        &["templates/site/404.html:3:11 ", "templates/site/house.html:4:11 "],
    );
}

#[test]
fn a_component_without_end_is_told() {
    let text = "{% extends \"site/base.html\" %}\n{% block main %}{{ <site.loop a={1} /> }}{% endblock main %}\n{% component site.loop(a: integer) %}\n{{ <site.loop a={a} /> }}\n{% endcomponent site.loop %}\n";
    refused(
        &[("templates/site/404.html", text), ("templates/site/page.html", "{% extends \"site/base.html\" %}\n")],
        &["templates/site/404.html:", "recursion"],
    );
}
