//! Scaling in the page: the same numbers as `batch`, in a real browser, for every recipe of the demo and many sizes.
//!
//! Run by `tests/run scaling`, which brings the browser; by itself: `cargo test --test scaling -- --ignored`.

// As in the tests themselves, which the lint lets be: here too a test says what it expects in the shortest way.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

use costrel::ask::batch::document::{Amount, Answer, Pieces};
use costrel::ask::batch::limit::{Count, nameable};
use costrel::ask::batch::{Have, Request, Scaling, Size, Stock};
use costrel::measure::tool::View;
use costrel::measure::{Amount as Written, Exact, Unit};
use costrel::press::{Content, Edition};
use costrel::recipe::run::{Computed, for_guests};
use rust_decimal::Decimal;
use serde_json::{Value, json};

fn decimal(text: &str) -> Decimal {
    text.parse().unwrap()
}

fn text(exact: &Option<Exact>) -> Value {
    exact.as_ref().map_or(Value::Null, |e| json!(e.digits()))
}

fn amount(amount: &Amount) -> Value {
    json!({ "amount": amount.amount.digits(), "unit": amount.unit })
}

fn pieces(take: &Pieces) -> Value {
    json!({ "unit": take.unit, "exact": take.exact.digits(), "count": take.count.digits() })
}

/// What the page must show of an answer, numbers as text with all their digits.
fn shown(answer: &Answer) -> Value {
    let pours: Vec<Value> = answer
        .pours
        .iter()
        .map(|p| {
            json!({
                "name": p.name, "exact": amount(&p.exact), "measure": amount(&p.measure), "tool": p.tool, "at": p.at,
                "perGlass": p.per_glass.as_ref().map(|g| json!({ "exact": amount(&g.exact), "measure": amount(&g.measure) })),
                "start": p.start.as_ref().map(amount), "take": p.take.as_ref().map(pieces),
                "surplus": p.surplus.as_ref().map(amount), "fillsTo": p.fills_to.as_ref().map(amount),
                "loads": p.loads.unwrap_or(1).to_string(),
            })
        })
        .collect();
    let bottles: Vec<Value> = answer
        .bottles
        .iter()
        .map(|b| json!({ "size": b.size_ml.digits(), "count": b.count.to_string(), "fill": b.fill_ml.digits() }))
        .collect();
    let mut value = json!({
        "recipe": answer.recipe, "factor": text(&answer.factor), "makes": text(&answer.makes_ml),
        "serves": answer.serves.map(|n| n.to_string()), "needed": text(&answer.needed_ml),
        "fromStock": text(&answer.from_stock_ml), "pours": pours, "bottles": bottles, "left": text(&answer.left_ml),
        "preps": answer.preps.iter().map(shown).collect::<Vec<_>>(),
        "beyond": answer.drift_beyond.iter().map(|b| b.figure).collect::<Vec<_>>(),
    });
    if answer.needed_ml.is_none() {
        value["limitedBy"] = json!(answer.limited_by);
        value["fruit"] = answer
            .fruit
            .iter()
            .map(|f| json!({ "name": f.name, "count": f.count.digits(), "sides": f.sides }))
            .collect();
    }
    value
}

/// A question to the page, in its own words, and to the program.
struct Question {
    asked: Value,
    state: Option<String>,
    request: Request,
}

fn questions(computed: &Computed, scaling: &Scaling<'_>) -> Vec<Question> {
    let mut list = Vec::new();
    let mut push = |mut asked: Value, state: Option<String>, request: Request| {
        for view in [View::Metric, View::Ounces] {
            let ounces = view == View::Ounces;
            asked["ounces"] = json!(ounces);
            let unit = if ounces { "oz" } else { "ml" };
            // Half of the sizes in ounces too, and one link to each page of those.
            if ounces && list.len() % 4 != 1 {
                continue;
            }
            // What is in stock stands before the unit in the address, and what is ready behind it.
            let state = state.as_ref().map(|s| match s.strip_suffix("&ready=1") {
                Some(s) => format!("#scale?{s}&in={unit}&ready=1"),
                None => format!("#scale?{s}&in={unit}"),
            });
            let request = Request { view, public: true, amounts_only: true, ..request.clone() };
            list.push(Question { asked: asked.clone(), state, request });
        }
    };
    let plan = &scaling.tree.plans[&scaling.tree.top];
    if plan.drink && plan.melt().next().is_some() {
        for n in [2, 12, 250] {
            let state = (n == 12).then(|| format!("by=serves&serves={n}&ready=1"));
            push(
                json!({ "serves": n.to_string(), "ready": true }),
                state,
                Request { size: Size::Serves(Exact::whole(n)), ready: true, ..Request::default() },
            );
        }
    }
    if plan.drink {
        for n in [1, 3, 7, 40, 333, 1000] {
            let state = [3, 40].contains(&n).then(|| format!("by=serves&serves={n}"));
            push(
                json!({ "serves": n.to_string() }),
                state,
                Request { size: Size::Serves(Exact::whole(n)), ..Request::default() },
            );
        }
    }
    if plan.volume.is_some() {
        for ml in ["50", "333.3", "1234.56", "20000"] {
            let state = (ml == "1234.56").then(|| format!("by=volume&makes={ml}&unit=ml"));
            push(
                json!({ "makes": ml }),
                state,
                Request { size: Size::Makes(Exact::decimal(decimal(ml))), ..Request::default() },
            );
        }
        for (n, size) in [(1, "700"), (12, "700"), (7, "200"), (3, "1000")] {
            let state = (n == 7).then(|| format!("by=bottles&bottles={n}&size={size}"));
            let asked = json!({ "bottles": { "count": n.to_string(), "size": size } });
            push(
                asked,
                state,
                Request { size: Size::Bottles(vec![(Exact::decimal(decimal(size)), n)]), ..Request::default() },
            );
        }
    }
    let names = nameable(computed, &scaling.tree);
    let have = |name: &str, count: Count, most: &str| {
        let value = decimal(most);
        let stock = match count {
            Count::Ml => Stock::Measured(Written { value, unit: Unit::Ml }),
            Count::Grams => Stock::Measured(Written { value, unit: Unit::G }),
            Count::Pieces => Stock::Counted(value, None),
        };
        let word =
            ["ml", "g", "piece"][[Count::Ml, Count::Grams, Count::Pieces].iter().position(|c| *c == count).unwrap()];
        (json!({ "name": name, "count": word, "most": most }), Have { name: name.to_owned(), stock })
    };
    for (i, name) in names.iter().enumerate() {
        for (count, _) in &name.takes {
            // Just beside what the tools measure: the rest is measured more finely, or all of it goes in.
            for most in ["7", "640", "639.3"].into_iter().skip(i % 2) {
                let (asked, have) = have(&name.name, *count, most);
                let linked = i == 0 && most == "640" && *count == Count::Ml;
                let state = linked.then(|| format!("by=stock&name={}&have={most}&count=ml", in_address(&name.name)));
                push(json!({ "haves": [asked] }), state, Request { haves: vec![have], ..Request::default() });
            }
        }
    }
    // Pairs: the scarcest decides, and stock of a part is used before more is made.
    for pair in names.chunks(2).take(3) {
        let [a, b] = pair else { continue };
        let ((first, one), (second, two)) = (have(&a.name, a.takes[0].0, "120"), have(&b.name, b.takes[0].0, "300"));
        let haves = vec![one, two];
        let words = |asked: &Value| {
            let of = |key: &str| asked[key].as_str().unwrap().to_owned();
            format!("name={}&have={}&count={}", in_address(&of("name")), of("most"), of("count"))
        };
        let ready = plan.drink && plan.melt().next().is_some();
        let end = if ready { "&ready=1" } else { "" };
        push(
            json!({ "haves": [first.clone(), second.clone()], "ready": ready }),
            Some(format!("by=stock&{}&{}{end}", words(&first), words(&second))),
            Request { haves: haves.clone(), ready, ..Request::default() },
        );
        if plan.volume.is_some() {
            let size = Size::Makes(Exact::whole(1500));
            push(
                json!({ "makes": "1500", "haves": [first, second] }),
                None,
                Request { size, haves, ..Request::default() },
            );
        }
    }
    list
}

/// A name as the browser writes it into an address.
fn in_address(name: &str) -> String {
    name.replace('’', "%E2%80%99").replace('\'', "%27").replace(' ', "+")
}

fn demo() -> (Computed, std::path::PathBuf) {
    let notebook = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebook");
    let (computed, _) = costrel::compile(&notebook);
    let computed = for_guests(&computed).unwrap_or(computed);
    (computed, notebook)
}

#[test]
#[ignore = "needs a browser; `tests/run scaling` brings it"]
fn the_page_says_what_batch_says() {
    let (computed, _) = demo();
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("scaling");
    let _ = fs::remove_dir_all(&folder);
    for (path, content) in costrel::press::site::site(&computed, Edition::Public).unwrap() {
        if let Content::Bytes(bytes) = content {
            let to = folder.join("site").join(path);
            fs::create_dir_all(to.parent().unwrap()).unwrap();
            fs::write(to, bytes).unwrap();
        }
    }
    let facts = BTreeMap::new();
    let mut answers = Vec::new();
    let mut pages = 0;
    for (recipe, note) in computed.graph.notes.recipes.iter().enumerate().filter(|(_, n)| n.publish) {
        let page = format!("recipes/{}.html", computed.graph.nodes[recipe].slug);
        let html = fs::read_to_string(folder.join("site").join(&page)).unwrap();
        assert!(html.contains(".scale.js?v="), "{}: the page does not scale", note.name.value);
        assert!(html.contains("t-scale-ml"), "{}: no table of usual sizes", note.name.value);
        pages += 1;
        let scaling = Scaling::new(&computed, recipe, &facts, true);
        for question in questions(&computed, &scaling) {
            let mut one = json!({ "page": page, "asked": question.asked, "state": question.state });
            match scaling.ask(&question.request) {
                Ok((answer, _)) => one["answer"] = shown(&answer),
                Err(refusal) => one["refused"] = json!(refusal.message),
            }
            answers.push(one);
        }
    }
    assert!(pages > 50 && answers.len() > 1200, "{pages} pages, {} sizes", answers.len());
    let list = folder.join("answers.json");
    fs::write(&list, serde_json::to_string(&answers).unwrap()).unwrap();
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/validators/scaling.mjs");
    let done = Command::new("node").arg(script).arg(folder.join("site")).arg(&list).output().expect("node");
    let said = String::from_utf8_lossy(&done.stdout).into_owned() + &String::from_utf8_lossy(&done.stderr);
    println!("{said}");
    assert!(done.status.success(), "{}", said.chars().take(4000).collect::<String>());
}

/// What the page is compared with is what the command prints.
#[test]
fn the_command_prints_the_same_answer() {
    let (computed, notebook) = demo();
    for (name, arguments, size) in [
        ("lock-keepers-lantern", ["--serves", "37"], Size::Serves(Exact::whole(37))),
        ("number-nine", ["--makes", "1234.56 ml"], Size::Makes(Exact::decimal(decimal("1234.56")))),
        ("still-water", ["--bottles", "7x200ml"], Size::Bottles(vec![(Exact::whole(200), 7)])),
    ] {
        let recipe = computed.graph.recipe(name).unwrap();
        let facts = BTreeMap::new();
        let (answer, _) = Scaling::new(&computed, recipe, &facts, true)
            .ask(&Request { size, public: true, ..Request::default() })
            .unwrap();
        let done = Command::new(env!("CARGO_BIN_EXE_costrel"))
            .args(["batch", name, "--json", "--edition", "public", "--notebook"])
            .arg(&notebook)
            .args(arguments)
            .output()
            .unwrap();
        let mut printed: Value = serde_json::from_slice(&done.stdout).unwrap();
        printed.as_object_mut().unwrap().remove("problems");
        assert_eq!(printed, serde_json::to_value(&answer).unwrap(), "{name}");
    }
}
