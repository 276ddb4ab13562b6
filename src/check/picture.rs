//! Pictures: each one that a recipe names is a file in `media/`.

use super::Asked;
use crate::notebook::fields::nearest;
use crate::problem::{Problem, code};

/// Kinds of picture that every browser shows.
const KINDS: &[&str] = &["jpg", "jpeg", "png", "webp", "svg", "gif", "avif"];

pub(super) fn check(asked: &Asked<'_>, problems: &mut Vec<Problem>) {
    let notes = &asked.computed.graph.notes;
    for (_, recipe) in asked.notes() {
        let Some(picture) = &recipe.picture else { continue };
        let file = picture.file.value.replace('\\', "/");
        let outside = file.starts_with('/') || file.split('/').any(|p| p == "..") || file.contains(':');
        if outside {
            problems.push(
                Problem::new(code::PICTURE_OUTSIDE, picture.file.span, format!("`{file}` lies outside the notebook"))
                    .help("copy the picture into `media/` and write its name there"),
            );
            continue;
        }
        let refused = format!("media/{file}");
        if notes.sources.iter().any(|(_, source)| source.path == refused) {
            // Only what could not be used stands among the sources: a link that leads out of the notebook, for example.
            problems.push(
                Problem::new(
                    code::PICTURE_MISSING,
                    picture.file.span,
                    format!("the picture `{refused}` cannot be used"),
                )
                .help(format!("mend what is said about `{refused}`")),
            );
        } else if !notes.media.iter().any(|m| m.path == file) {
            let near = nearest(&file, notes.media.iter().map(|m| m.path.as_str()));
            let help = match near.first() {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("put the picture at `media/{file}`, or take `picture` out"),
            };
            problems.push(
                Problem::new(code::PICTURE_MISSING, picture.file.span, format!("there is no picture `media/{file}`"))
                    .help(help),
            );
        } else if !KINDS.contains(&file.rsplit('.').next().unwrap_or("").to_lowercase().as_str()) {
            problems.push(
                Problem::new(
                    code::WRONG_VALUE,
                    picture.file.span,
                    format!("`{file}` is not a picture that a browser shows"),
                )
                .help(format!("use one of: {}", KINDS.join(", "))),
            );
        }
    }
}
