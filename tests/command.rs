//! The command line: exit status, streams, the shapes of JSON, and files that git cannot keep.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;

const ONE: &str = "---\nname: One\nmix:\n  - 60 ml gin\n  - 30 ml dry vermouth\nprocess: [stir]\nserve: {glass: coupe}\npublish: true\n---\n\n1. Stir.\n";

fn notebook() -> tempfile::TempDir {
    let dir = tempfile::tempdir().expect("a scratch folder");
    write(dir.path(), "house.yaml", "name: The Test Lock\n");
    write(dir.path(), "recipes/one.md", ONE);
    dir
}

fn write(root: &Path, path: &str, bytes: impl AsRef<[u8]>) {
    let to = root.join(path);
    fs::create_dir_all(to.parent().expect("a parent")).expect("a folder");
    fs::write(to, bytes).expect("a file");
}

fn costrel(root: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_costrel"))
        .args(arguments)
        .args(["--notebook"])
        .arg(root)
        .output()
        .expect("the program runs")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("UTF-8")
}

fn check(root: &Path) -> Value {
    let done = costrel(root, &["check", "--json"]);
    serde_json::from_slice(&done.stdout).unwrap_or_else(|e| panic!("{e}: {}", text(&done.stdout)))
}

/// Code, file, line and column of each problem.
fn problems(root: &Path) -> Vec<(String, String, u64, u64)> {
    let of = |p: &Value, key: &str| p[key].as_str().expect("text").to_owned();
    let list = check(root)["problems"].as_array().expect("a list").clone();
    list.iter()
        .map(|p| {
            (of(p, "code"), of(p, "file"), p["line"].as_u64().expect("a line"), p["column"].as_u64().expect("a column"))
        })
        .collect()
}

fn one(code: &str, file: &str, line: u64, column: u64) -> Vec<(String, String, u64, u64)> {
    vec![(code.into(), file.into(), line, column)]
}

#[test]
fn files_that_are_not_text_are_located_errors() {
    for (bytes, code, line, column) in [
        (b"---\nname: A\0b\n---\n".to_vec(), "nul-byte", 2, 8),
        (b"---\nname: A\xffb\n---\n".to_vec(), "not-utf8", 2, 8),
        (vec![b'x'; 4 * 1024 * 1024 + 1], "file-too-large", 1, 1),
    ] {
        let dir = notebook();
        write(dir.path(), "recipes/bad.md", &bytes);
        assert_eq!(problems(dir.path()), one(code, "recipes/bad.md", line, column));
        let done = costrel(dir.path(), &["check"]);
        assert_eq!(done.status.code(), Some(1));
        assert!(text(&done.stderr).contains(&format!("recipes/bad.md:{line}:{column}  error  {code}")));
    }
    // Just inside the limit, and read: what is wrong is something else.
    let dir = notebook();
    write(dir.path(), "recipes/big.md", vec![b'x'; 4 * 1024 * 1024]);
    assert_eq!(problems(dir.path())[0].0, "front-matter-missing");
}

#[cfg(unix)]
#[test]
fn links_are_followed_inside_the_notebook_and_nowhere_else() {
    use std::os::unix::fs::symlink;
    let outside = tempfile::tempdir().expect("a scratch folder");
    write(outside.path(), "secret.md", ONE.replace("One", "Two"));
    write(outside.path(), "secret.png", "x");

    let dir = notebook();
    symlink(outside.path().join("secret.md"), dir.path().join("recipes/two.md")).expect("a link");
    assert_eq!(problems(dir.path()), one("symlink-outside", "recipes/two.md", 1, 1));

    let dir = notebook();
    symlink(dir.path().join("recipes"), dir.path().join("recipes/again")).expect("a link");
    assert_eq!(problems(dir.path()), one("symlink-outside", "recipes/again", 1, 1));

    let dir = notebook();
    symlink(dir.path().join("nowhere"), dir.path().join("recipes/two.md")).expect("a link");
    assert_eq!(problems(dir.path()), one("unreadable-file", "recipes/two.md", 1, 1));

    let dir = notebook();
    fs::create_dir_all(dir.path().join("media")).expect("a folder");
    symlink(outside.path().join("secret.png"), dir.path().join("media/a.png")).expect("a link");
    write(dir.path(), "recipes/one.md", ONE.replace("publish: true", "publish: true\npicture: {file: a.png, alt: A}"));
    let codes: Vec<String> = problems(dir.path()).into_iter().map(|p| p.0).collect();
    assert_eq!(codes, ["symlink-outside", "picture-missing"]);
    // The recipe's own message does not say that the picture is not there.
    let list = check(dir.path())["problems"].clone();
    assert_eq!(list[1]["message"], "the picture `media/a.png` cannot be used");
    assert_eq!(
        (&list[1]["file"], &list[1]["line"], &list[1]["column"]),
        (&"recipes/one.md".into(), &9.into(), &17.into())
    );

    let dir = notebook();
    write(dir.path(), "kept/two.md", ONE.replace("One", "Two"));
    symlink(dir.path().join("kept"), dir.path().join("recipes/linked")).expect("a link");
    assert!(problems(dir.path()).is_empty());
    assert_eq!(check(dir.path())["recipes"], 2);

    // A folder, and even house.yaml, may not come from elsewhere; what is there is neither read nor named.
    let dir = notebook();
    symlink(outside.path(), dir.path().join("recipes/elsewhere")).expect("a link");
    assert_eq!(problems(dir.path()), one("symlink-outside", "recipes/elsewhere", 1, 1));
    let dir = notebook();
    symlink(outside.path(), dir.path().join("pantry")).expect("a link");
    assert_eq!(problems(dir.path()), one("symlink-outside", "pantry", 1, 1));
    let dir = notebook();
    write(outside.path(), "house.yaml", "name: Secret\n");
    fs::remove_file(dir.path().join("house.yaml")).expect("removed");
    symlink(outside.path().join("house.yaml"), dir.path().join("house.yaml")).expect("a link");
    assert_eq!(problems(dir.path()), one("symlink-outside", "house.yaml", 1, 1));
    assert!(!text(&costrel(dir.path(), &["check"]).stderr).contains("Secret"));

    // A notebook that is itself reached through a link is a notebook like any other.
    let dir = notebook();
    let link = outside.path().join("the bar");
    symlink(dir.path(), &link).expect("a link");
    assert!(problems(&link).is_empty());
}

#[cfg(unix)]
#[test]
fn what_is_no_file_is_said_and_never_waited_for() {
    let pipe = |path: &Path| Command::new("mkfifo").arg(path).status().is_ok_and(|s| s.success());
    let dir = notebook();
    if !pipe(&dir.path().join("recipes/pipe.md")) {
        return;
    }
    assert_eq!(problems(dir.path()), one("unreadable-file", "recipes/pipe.md", 1, 1));
    let dir = notebook();
    fs::remove_file(dir.path().join("house.yaml")).expect("removed");
    assert!(pipe(&dir.path().join("house.yaml")));
    assert_eq!(problems(dir.path()), one("no-notebook", "house.yaml", 1, 1));
}

#[cfg(unix)]
#[test]
fn a_file_without_permission_is_a_located_error() {
    use std::os::unix::fs::PermissionsExt as _;
    let dir = notebook();
    let path = dir.path().join("recipes/locked.md");
    write(dir.path(), "recipes/locked.md", ONE);
    fs::set_permissions(&path, fs::Permissions::from_mode(0o000)).expect("locked");
    if fs::read(&path).is_ok() {
        // Whoever may read everything has nothing to be told.
        return;
    }
    assert_eq!(problems(dir.path()), one("unreadable-file", "recipes/locked.md", 1, 1));
}

#[test]
fn a_byte_order_mark_and_either_line_end_are_accepted_and_places_stay_true() {
    for end in ["\n", "\r\n"] {
        let dir = notebook();
        let recipe = "---\nname: Two\nmix:\n  - 60 ml gni\n---\n".replace('\n', end);
        write(dir.path(), "recipes/two.md", format!("\u{feff}{recipe}"));
        write(dir.path(), "pantry/a.yaml", format!("\u{feff}- name: lock gin{end}  abv: 400{end}"));
        write(dir.path(), "house.yaml", format!("\u{feff}name: The Test Lock{end}"));
        let found = problems(dir.path());
        assert_eq!(found[0], ("strength-out-of-range".into(), "pantry/a.yaml".into(), 2, 8));
        assert_eq!(found[1], ("unknown-name".into(), "recipes/two.md".into(), 4, 11));
        assert_eq!(found.len(), 2);
    }
}

#[test]
fn every_bad_amount_is_located_to_the_character() {
    // What stands in a pour line, the code, and the column inside the line, counted from its first character.
    for (pour, code, column) in [
        ("300", "missing-unit", 1),
        ("3/0 oz gin", "bad-number", 1),
        ("-2 ml gin", "negative-amount", 1),
        ("1e400 ml gin", "bad-number", 1),
        ("½½ oz gin", "bad-number", 1),
        ("6 x 1,5 oz gin", "decimal-comma", 5),
        ("2–1,5 oz gin", "decimal-comma", 3),
        ("juice of 3/0 limes", "bad-number", 10),
        ("to 1,5 l water", "decimal-comma", 4),
        ("to 3 furlongs water", "unknown-unit", 6),
        ("3 furlongs gin", "unknown-unit", 3),
        ("30 ml nothing known", "unknown-name", 7),
        ("½ oz nothing known", "unknown-name", 6),
        ("top 1,5 ml gin", "decimal-comma", 5),
        ("2 bottles gin", "piece-unknown", 3),
        ("5 g sealing wax", "unknown-name", 5),
    ] {
        let dir = notebook();
        write(dir.path(), "recipes/two.md", format!("---\nname: Two\nmix:\n  - {pour}\n---\n"));
        assert_eq!(problems(dir.path()), one(code, "recipes/two.md", 4, 4 + column), "{pour}");
        let done = costrel(dir.path(), &["check"]);
        assert_eq!((done.status.code(), text(&done.stdout).as_str()), (Some(1), ""), "{pour}");
    }
}

#[test]
fn a_recipe_is_found_by_name_address_or_file() {
    let dir = notebook();
    write(dir.path(), "recipes/sours/creme.md", ONE.replace("One", "Crème № 5"));
    for wanted in ["Crème № 5", "creme № 5", "CRÈME № 5", "creme-no-5", "recipes/sours/creme.md", "sours/creme.md"]
    {
        let done = costrel(dir.path(), &["taste", wanted, "--json"]);
        assert_eq!(done.status.code(), Some(0), "{wanted}: {}", text(&done.stderr));
        let answer: Value = serde_json::from_slice(&done.stdout).expect("a document");
        assert_eq!(answer["recipe"], "creme-no-5");
    }
    let done = costrel(dir.path(), &["taste", "creme no 6", "--json"]);
    assert_eq!(done.status.code(), Some(1));
    let answer: Value = serde_json::from_slice(&done.stdout).expect("a document");
    assert_eq!(answer["recipe"], Value::Null);
    assert_eq!(answer["problems"][0]["code"], "no-such-recipe");
    // A recipe whose file cannot be read is answered with what is wrong with it.
    write(dir.path(), "recipes/broken.md", "---\nname: Broken\n");
    let done = costrel(dir.path(), &["taste", "broken"]);
    assert_eq!(done.status.code(), Some(1));
    assert!(text(&done.stderr).contains("front-matter-unclosed"), "{}", text(&done.stderr));
}

#[test]
fn json_is_one_document_and_stderr_stays_empty() {
    let dir = notebook();
    write(dir.path(), "recipes/two.md", "---\nname: Two\nmix:\n  - 60 ml gni\n---\n");
    for arguments in
        [&["check", "--json"][..], &["taste", "two", "--json"], &["taste", "three", "--json"], &["press", "--json"]]
    {
        let done = costrel(dir.path(), arguments);
        assert_eq!(done.status.code(), Some(1), "{arguments:?}");
        assert_eq!(text(&done.stderr), "", "{arguments:?}");
        let document: Value = serde_json::from_slice(&done.stdout).expect("one document");
        assert_eq!(document["problems"].as_array().map(Vec::len), Some(1), "{arguments:?}");
    }
    let counts = check(dir.path());
    assert_eq!((&counts["errors"], &counts["warnings"], &counts["notes"]), (&1.into(), &0.into(), &0.into()));
}

#[test]
fn a_template_of_the_house_that_cannot_be_used_stops_the_press() {
    let dir = notebook();
    write(dir.path(), "templates/site/recipe.html", "{% if %}");
    let done = costrel(dir.path(), &["press", "--json"]);
    assert_eq!(done.status.code(), Some(1));
    let document: Value = serde_json::from_slice(&done.stdout).expect("a document");
    assert_eq!(document["problems"][0]["code"], "template-error");
    assert!(!dir.path().join("out").exists());
}

#[test]
fn a_megabyte_of_braces_is_read_in_no_time() {
    let dir = notebook();
    write(dir.path(), "recipes/two.md", format!("{}{}", ONE.replace("One", "Two"), "{{".repeat(500_000)));
    let start = std::time::Instant::now();
    assert_eq!(problems(dir.path()), one("method-expression", "recipes/two.md", 12, 1));
    // Milliseconds; hours when every brace looked for its end through all that follow.
    assert!(start.elapsed().as_secs() < 20);
}

#[test]
fn a_long_chain_of_recipes_is_no_depth() {
    let dir = notebook();
    for i in 1..400 {
        let of = if i == 1 { "gin".to_owned() } else { format!("prep number {} of many", i - 1) };
        let text = format!("---\nname: prep number {i} of many\nmakes: prep\nmix:\n  - 50 ml {of}\n---\n");
        write(dir.path(), &format!("recipes/{i}.md"), text);
    }
    assert!(problems(dir.path()).is_empty());
    // And the same as a circle of 399.
    write(
        dir.path(),
        "recipes/1.md",
        "---\nname: prep number 1 of many\nmakes: prep\nmix:\n  - 50 ml prep number 399 of many\n---\n",
    );
    let found = problems(dir.path());
    assert_eq!((found.len(), found[0].0.as_str()), (1, "cycle"));
}

#[test]
fn a_folder_called_like_a_recipe_is_a_chapter() {
    let dir = notebook();
    write(dir.path(), "recipes/odd.md/two.md", ONE.replace("One", "Two"));
    assert!(problems(dir.path()).is_empty());
}

#[test]
fn the_exit_status_says_how_it_ended() {
    let dir = notebook();
    let status = |arguments: &[&str]| costrel(dir.path(), arguments).status.code();
    assert_eq!(status(&["check"]), Some(0));
    assert_eq!(status(&["check", "--strict"]), Some(0));
    assert_eq!(status(&["taste", "one"]), Some(0));
    assert_eq!(status(&["taste", "recipes/one.md"]), Some(0));
    assert_eq!(status(&["taste", "two"]), Some(1));
    assert_eq!(status(&["tast", "one"]), Some(2));
    assert_eq!(status(&["press", "--to"]), Some(2));
    let missing = costrel(&dir.path().join("none"), &["check"]);
    assert_eq!(missing.status.code(), Some(2));
    // A warning fails a strict check only.
    write(dir.path(), "house.yaml", "name: X\nglasses: {coupe: 10 ml}\n");
    assert_eq!(status(&["check"]), Some(0));
    assert_eq!(status(&["check", "--strict"]), Some(1));
}

#[test]
fn a_folder_without_a_house_is_not_a_notebook() {
    let dir = tempfile::tempdir().expect("a scratch folder");
    write(dir.path(), "recipes/one.md", ONE);
    assert_eq!(problems(dir.path()), one("no-notebook", "house.yaml", 1, 1));
    write(dir.path(), "house.yml", "name: X\n");
    assert_eq!(check(dir.path())["problems"][0]["help"], "rename `house.yml` to `house.yaml`");
    // Nor is a file, and above a folder without one there is none either.
    assert_eq!(costrel(&dir.path().join("house.yml"), &["check"]).status.code(), Some(2));
    let done = Command::new(env!("CARGO_BIN_EXE_costrel")).arg("check").current_dir(dir.path()).output();
    assert_eq!(done.expect("the program runs").status.code(), Some(2));
}

#[test]
fn a_question_fails_only_for_what_it_needs() {
    let dir = notebook();
    write(dir.path(), "recipes/broken.md", "---\nname: Broken\nmix:\n  - 30 ml nothing known\n---\n");
    write(dir.path(), "recipes/user.md", "---\nname: User\nmix:\n  - 30 ml broken\n---\n");
    assert_eq!(costrel(dir.path(), &["check"]).status.code(), Some(1));
    assert_eq!(costrel(dir.path(), &["taste", "one"]).status.code(), Some(0));
    for name in ["broken", "user"] {
        let done = costrel(dir.path(), &["taste", name, "--json"]);
        assert_eq!(done.status.code(), Some(1));
        let answer: Value = serde_json::from_slice(&done.stdout).expect("a document all the same");
        assert_eq!(answer["problems"][0]["code"], "unknown-name");
        assert!(answer["stages"][0]["abv_pct"].is_null(), "unknown is null, never zero");
        assert!(answer["unknown"].as_array().is_some_and(|u| !u.is_empty()));
    }
}

#[test]
fn json_has_the_fixed_shape() {
    let dir = notebook();
    let check = check(dir.path());
    let keys: Vec<&String> = check.as_object().expect("a document").keys().collect();
    assert_eq!(keys, ["recipes", "pantry", "errors", "warnings", "notes", "problems"]);
    let done = costrel(dir.path(), &["taste", "one", "--json"]);
    let taste: Value = serde_json::from_slice(&done.stdout).expect("a document");
    for key in [
        "recipe",
        "name",
        "makes",
        "family",
        "stages",
        "serve",
        "balance",
        "allergens",
        "may_contain",
        "allergens_unknown",
        "hazards",
        "keeps",
        "unknown",
        "problems",
    ] {
        assert!(taste.get(key).is_some(), "{key} is missing");
    }
    let names: Vec<&str> =
        taste["stages"].as_array().expect("stages").iter().map(|s| s["stage"].as_str().expect("a name")).collect();
    assert_eq!(names, ["mix", "stir", "serve"]);
    for key in [
        "volume_ml",
        "mass_g",
        "density_g_ml",
        "abv_pct",
        "ethanol_g",
        "sugar_g_per_100ml",
        "brix",
        "acid_g_per_100ml",
        "temperature_c",
        "freezing_point_c",
    ] {
        assert!(taste["stages"][1][key].is_f64(), "{key} is no number");
    }
    assert!(taste["stages"][1]["dilution_pct"].is_f64());
    assert_eq!(taste["serve"]["count"], 1);
    for code in ["us", "uk", "au"] {
        assert!(taste["serve"]["standard_drinks"][code].is_f64());
    }
    assert_eq!(taste["allergens"], serde_json::json!(["sulphite"]));
}

#[test]
fn nothing_is_written_over_what_costrel_did_not_write() {
    let dir = notebook();
    let out = tempfile::tempdir().expect("a scratch folder");
    let target = out.path().join("site");
    let press = || costrel(dir.path(), &["press", "site", "--to", target.to_str().expect("a path")]);

    let refused = || {
        let done = costrel(dir.path(), &["press", "site", "--json", "--to", target.to_str().expect("a path")]);
        let document: Value = serde_json::from_slice(&done.stdout).expect("a document");
        let problem = &document["problems"][0];
        assert!(!problem["message"].as_str().expect("words").contains('\n') && problem["help"].is_string());
        problem["code"].as_str().expect("a code").to_owned()
    };

    fs::write(&target, "mine").expect("a file");
    assert_eq!(press().status.code(), Some(1), "a file stands there");
    assert_eq!(refused(), "output-is-file");
    assert_eq!(fs::read_to_string(&target).expect("still there"), "mine");
    fs::remove_file(&target).expect("removed");

    write(&target, "notes/mine.txt", "mine");
    let done = press();
    assert_eq!(done.status.code(), Some(1), "a stranger's file stands there");
    assert!(text(&done.stderr).contains("notes/mine.txt"));
    assert_eq!(refused(), "output-occupied");
    assert!(!target.join("index.html").exists());
    fs::remove_dir_all(&target).expect("removed");

    assert_eq!(press().status.code(), Some(0));
    assert_eq!(press().status.code(), Some(0), "its own files it may replace");
    fs::write(target.join("index.html"), "edited by hand").expect("edited");
    assert_eq!(press().status.code(), Some(1), "an edited file is the user's work");
    assert_eq!(fs::read_to_string(target.join("index.html")).expect("still there"), "edited by hand");
}

#[test]
fn a_failed_press_leaves_the_last_good_output() {
    let dir = notebook();
    let target = dir.path().join("out/site");
    assert_eq!(costrel(dir.path(), &["press"]).status.code(), Some(0));
    let before = fs::read(target.join("recipes/one.html")).expect("a page");
    write(dir.path(), "recipes/two.md", "---\nname: Two\n");
    let done = costrel(dir.path(), &["press"]);
    assert_eq!(done.status.code(), Some(1));
    assert!(text(&done.stderr).contains("nothing was made"));
    assert_eq!(fs::read(target.join("recipes/one.html")).expect("still there"), before);
}

#[test]
fn house_output_has_a_folder_of_its_own() {
    let dir = notebook();
    write(dir.path(), "recipes/two.md", ONE.replace("One", "Two").replace("publish: true", "sells_at: 11.50"));
    assert_eq!(costrel(dir.path(), &["press"]).status.code(), Some(0));
    assert_eq!(costrel(dir.path(), &["press", "--edition", "house"]).status.code(), Some(0));
    assert!(!dir.path().join("out/site/recipes/two.html").exists());
    let page = fs::read_to_string(dir.path().join("out/site-house/recipes/two.html")).expect("a page");
    assert!(page.contains("11.50"));
    for entry in
        walkdir::WalkDir::new(dir.path().join("out/site")).into_iter().flatten().filter(|e| e.file_type().is_file())
    {
        let bytes = fs::read(entry.path()).expect("a file");
        assert!(!String::from_utf8_lossy(&bytes).contains("11.50"), "{} shows a price", entry.path().display());
    }
}

#[test]
fn what_is_in_an_unpublished_part_stays_in_the_house() {
    let dir = notebook();
    write(dir.path(), "pantry/secret.yaml", "- name: reedroot\n- name: sedgeleaf\n  abv: 20\n  allergens: [celery]\n");
    let part = "name: Hushed cordial\nmakes: prep\nmix: [500 ml reedroot, 100 ml deeper cordial]";
    write(dir.path(), "recipes/part.md", format!("---\n{part}\n---\n\n1. Stir.\n"));
    let inner = "name: Deeper cordial\nmakes: prep\nmix: [500 ml sedgeleaf]";
    write(dir.path(), "recipes/inner.md", format!("---\n{inner}\n---\n\n1. Stir.\n"));
    write(dir.path(), "recipes/one.md", ONE.replace("  - 60 ml gin", "  - 60 ml gin\n  - 20 ml hushed cordial"));
    assert_eq!(costrel(dir.path(), &["press", "site", "--edition", "public"]).status.code(), Some(0));
    assert_eq!(costrel(dir.path(), &["press", "notes"]).status.code(), Some(0));
    let told = |word: &str| {
        let files = walkdir::WalkDir::new(dir.path().join("out")).into_iter().flatten();
        let mut files = files.filter(|e| e.file_type().is_file());
        files.any(|e| String::from_utf8_lossy(&fs::read(e.path()).expect("a file")).to_lowercase().contains(word))
    };
    assert!(told("hushed cordial") && told("celery"), "a part shows its name and its allergens");
    for secret in ["reedroot", "sedgeleaf", "deeper cordial"] {
        assert!(!told(secret), "readers see {secret}");
    }
    // And at the terminal.
    let taste = costrel(dir.path(), &["taste", "one", "--edition", "public", "--json"]);
    assert!(!String::from_utf8_lossy(&taste.stdout).to_lowercase().contains("reedroot"));
    assert_eq!(costrel(dir.path(), &["taste", "hushed cordial", "--edition", "public"]).status.code(), Some(2));
}

#[test]
fn what_was_measured_stays_in_the_house() {
    let dir = notebook();
    let measured =
        "publish: true\nmakes_measured: 77.7 ml\nreadings: [{date: 2026-11-02, after: mix, abv: 31.4 %, ph: 3.87}]";
    write(dir.path(), "recipes/one.md", ONE.replace("publish: true", measured));
    for edition in ["public", "house"] {
        assert_eq!(costrel(dir.path(), &["press", "--edition", edition]).status.code(), Some(0));
    }
    let holds = |folder: &str, figure: &str| {
        let root = dir.path().join("out").join(folder);
        let mut files = walkdir::WalkDir::new(root).into_iter().flatten().filter(|e| e.file_type().is_file());
        files.any(|e| String::from_utf8_lossy(&fs::read(e.path()).expect("a file")).contains(figure))
    };
    for figure in ["77.7", "31.4", "3.87"] {
        assert!(holds("site-house", figure), "the house does not see {figure}");
        assert!(!holds("site", figure), "readers see {figure}");
    }
}

#[test]
fn begin_starts_a_notebook_that_compiles_and_never_in_a_full_folder() {
    let dir = tempfile::tempdir().expect("a scratch folder");
    let run = |arguments: &[&str]| {
        Command::new(env!("CARGO_BIN_EXE_costrel"))
            .args(arguments)
            .current_dir(dir.path())
            .output()
            .expect("the program runs")
    };
    assert_eq!(run(&["begin", "bar"]).status.code(), Some(0));
    assert_eq!(run(&["check", "--strict", "--notebook", "bar"]).status.code(), Some(0));
    let before = fs::read(dir.path().join("bar/house.yaml")).expect("a file");
    assert_eq!(run(&["begin", "bar"]).status.code(), Some(2));
    fs::write(dir.path().join("note.txt"), "mine").expect("a file");
    assert_eq!(run(&["begin", "note.txt"]).status.code(), Some(2));
    assert_eq!(fs::read_to_string(dir.path().join("note.txt")).expect("still there"), "mine");
    write(dir.path(), "hidden/.keep", "");
    assert_eq!(run(&["begin", "hidden"]).status.code(), Some(2), "a hidden file is a file");
    assert_eq!(fs::read(dir.path().join("bar/house.yaml")).expect("a file"), before);
    // From inside the notebook no option is needed.
    let inside = Command::new(env!("CARGO_BIN_EXE_costrel"))
        .arg("check")
        .current_dir(dir.path().join("bar/recipes/sours"))
        .output()
        .expect("the program runs");
    assert_eq!(inside.status.code(), Some(0));
}

#[test]
fn alone_it_prints_a_map_of_its_commands() {
    let done = Command::new(env!("CARGO_BIN_EXE_costrel")).output().expect("the program runs");
    assert_eq!(done.status.code(), Some(0));
    let map = text(&done.stdout);
    for command in ["begin", "check", "taste", "press"] {
        assert!(map.contains(&format!("costrel {command}")), "{map}");
    }
}

#[test]
fn nothing_is_pressed_into_the_sources_of_a_notebook() {
    let dir = notebook();
    for to in ["recipes/site", "media", "pantry/deep/er"] {
        let path = dir.path().join(to);
        let done = costrel(dir.path(), &["press", "site", "--to", path.to_str().expect("a path"), "--json"]);
        let answer: Value = serde_json::from_slice(&done.stdout).expect("a document");
        assert_eq!(
            (done.status.code(), &answer["problems"][0]["code"]),
            (Some(1), &Value::from("output-occupied")),
            "{to}"
        );
        assert!(!path.exists(), "{to} was made");
    }
}

#[test]
fn what_only_the_house_sees_never_lands_on_the_public_edition() {
    let dir = notebook();
    let (shown, kept) = (dir.path().join("out/shown"), dir.path().join("out/kept"));
    let (shown, kept) = (shown.to_str().expect("a path"), kept.to_str().expect("a path"));
    assert_eq!(costrel(dir.path(), &["press", "site", "--to", shown]).status.code(), Some(0));
    let before = fs::read_to_string(Path::new(shown).join("index.html")).expect("a page");
    let done = costrel(dir.path(), &["press", "site", "--edition", "house", "--to", shown]);
    assert_eq!(done.status.code(), Some(1));
    assert!(text(&done.stderr).contains("holds the public edition"), "{}", text(&done.stderr));
    assert_eq!(fs::read_to_string(Path::new(shown).join("index.html")).expect("a page"), before);
    // The other way round shows nothing to anyone, and a house folder is written again like any other.
    for edition in ["house", "house", "public"] {
        let done = costrel(dir.path(), &["press", "site", "--edition", edition, "--to", kept]);
        assert_eq!(done.status.code(), Some(0), "{edition}: {}", text(&done.stderr));
    }
}
