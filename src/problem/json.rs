//! Problems as data: the form of `check --json` and of every answer's `"problems"`.

use serde_json::{Value, json};

use super::Problem;
use crate::source::Sources;

/// One problem as `{"code","severity","message","file","line","column","help"?}`; `file` is the path inside the notebook.
#[must_use]
pub fn problem(problem: &Problem, sources: &Sources) -> Value {
    let file = sources.get(problem.at.span.file);
    let (line, column) = file.line_column(problem.at.span.start);
    let mut value = json!({
        "code": problem.code.name(),
        "severity": problem.severity.word(),
        "message": problem.message,
        "file": file.path,
        "line": line,
        "column": column,
    });
    if let (Some(help), Some(map)) = (&problem.help, value.as_object_mut()) {
        map.insert("help".into(), json!(help));
    }
    value
}

/// Many problems, in the order given.
#[must_use]
pub fn problems(list: &[Problem], sources: &Sources) -> Value {
    Value::Array(list.iter().map(|p| problem(p, sources)).collect())
}
