//! The one table of problem codes. A code never changes its meaning; its doc is the manual's text on it.

use super::Severity;

/// A readable kebab-case name for one kind of problem.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Code(usize);

impl Code {
    /// The name as printed and as in JSON.
    #[must_use]
    pub fn name(self) -> &'static str {
        TABLE[self.0].0
    }

    /// The weight it has unless a check says otherwise.
    #[must_use]
    pub fn severity(self) -> Severity {
        TABLE[self.0].1
    }

    /// What it means, for the manual.
    #[must_use]
    pub fn meaning(self) -> &'static str {
        TABLE[self.0].2
    }

    /// Every code, in the table's order.
    pub fn all() -> impl Iterator<Item = Code> {
        (0..TABLE.len()).map(Code)
    }
}

macro_rules! codes {
    ($($id:ident $name:literal $severity:ident $meaning:literal;)*) => {
        #[allow(non_camel_case_types, clippy::upper_case_acronyms)]
        enum Index { $($id,)* }
        $(#[doc = $meaning] pub const $id: Code = Code(Index::$id as usize);)*
        const TABLE: &[(&str, Severity, &str)] = &[$(($name, Severity::$severity, $meaning),)*];
    };
}

codes! {
    // Files and folders.
    UNREADABLE_FILE "unreadable-file" Error "A file or folder of the notebook could not be read.";
    FILE_TOO_LARGE "file-too-large" Error "A source file is larger than 4 MiB, which no recipe needs.";
    NOT_UTF8 "not-utf8" Error "A source file is not UTF-8 text.";
    NUL_BYTE "nul-byte" Error "A source file holds a NUL byte, so it is not text.";
    EMPTY_FILE "empty-file" Error "A file of the notebook holds nothing.";
    SYMLINK_OUTSIDE "symlink-outside" Error "A symbolic link leads out of the notebook or round in a circle.";
    NO_NOTEBOOK "no-notebook" Error "The folder is not a notebook: it has no house.yaml.";
    UNEXPECTED_FILE "unexpected-file" Note "A file in the notebook is of a kind that Costrel does not read.";
    // YAML.
    FRONT_MATTER_MISSING "front-matter-missing" Error "A recipe does not open with `---` and its front matter.";
    FRONT_MATTER_UNCLOSED "front-matter-unclosed" Error "The front matter has no closing `---`.";
    YAML_SYNTAX "yaml-syntax" Error "The text is not YAML.";
    YAML_TOO_DEEP "yaml-too-large" Error "YAML nests too deep, or grows too large through its aliases.";
    YAML_FEATURE "yaml-feature" Error "A YAML feature that a notebook has no use for: tags, merge keys or several documents.";
    UNKNOWN_KEY "unknown-key" Error "A key that Costrel does not know.";
    DUPLICATE_KEY "duplicate-key" Error "One key stands twice in the same mapping.";
    MISSING_KEY "missing-key" Error "A key that is required is not there.";
    WRONG_TYPE "wrong-type" Error "A value is of another kind than the key takes: text, list or mapping.";
    WRONG_VALUE "wrong-value" Error "A value is not one of those that the key takes.";
    // Numbers and amounts.
    DECIMAL_COMMA "decimal-comma" Error "A decimal comma; numbers are written with a point.";
    BAD_NUMBER "bad-number" Error "A number that cannot be read, or is out of any sensible range.";
    BAD_AMOUNT "bad-amount" Error "An amount that cannot be read.";
    UNKNOWN_UNIT "unknown-unit" Error "A unit that Costrel does not know.";
    MISSING_UNIT "missing-unit" Error "A number stands without its unit.";
    WRONG_UNIT "wrong-unit" Error "A unit of another kind than the value takes.";
    NEGATIVE "negative-amount" Error "An amount below zero.";
    BAD_RANGE "bad-range" Error "A range whose ends are the wrong way round.";
    BAD_DATE "bad-date" Error "A date or time that cannot be read.";
    // Facts.
    STRENGTH_OUT_OF_RANGE "strength-out-of-range" Error "Alcoholic strength outside 0 to 100 % vol.";
    FACT_OUT_OF_RANGE "fact-out-of-range" Error "A fact outside what nature allows.";
    FACTS_CONTRADICT "facts-contradict" Error "Facts of one ingredient that cannot all be true.";
    PARTS_OVER_WHOLE "parts-over-whole" Error "The parts of a fruit add up to more than the fruit.";
    DENSITY_UNKNOWN "density-unknown" Error "A mass is needed from a volume, or the reverse, of something whose density nobody stated.";
    PIECE_UNKNOWN "piece-unknown" Error "A piece or pack whose size the pantry does not know.";
    VEGAN_CONTRADICTED "vegan-contradicted" Warning "An ingredient is called vegan, and its allergens or tags say that it comes of an animal.";
    UNKNOWN_ALLERGEN "unknown-allergen" Error "An allergen tag that is not in the list.";
    TAG_MISSING "tag-missing" Warning "A name or a method speaks of something that the safety rules know by a tag, and the tag is not there.";
    TAG_DENIED "tag-denied" Error "A tag under `is_not` that is no tag of the safety rules, or is also given.";
    NEAR_TAG "near-tag" Note "A tag that nearly spells one the safety rules use.";
    FAMILY_WITHOUT_WINDOW "family-without-window" Note "A balance family for which neither the published ranges nor the house has a window.";
    // Names.
    UNKNOWN_NAME "unknown-name" Error "An ingredient or recipe that neither the notebook nor the built-in pantry knows.";
    DUPLICATE_NAME "duplicate-name" Error "Two things of one name; case, accents and plurals do not tell names apart.";
    DUPLICATE_SLUG "duplicate-slug" Error "Two recipes, chapters or pages whose names give the same address.";
    AMBIGUOUS_ALIAS "ambiguous-alias" Error "One other name is claimed by two ingredients.";
    CYCLE "cycle" Error "A recipe that needs itself, directly or through others.";
    // Recipe content.
    EMPTY_MIX "empty-mix" Error "A recipe without pours.";
    PARTS_WITHOUT_SIZE "parts-without-size" Error "Pours in parts need `size`.";
    POUR_ROLE "pour-role" Error "A pour that cannot stand where it stands.";
    FILL_BELOW "fill-below" Error "A fill-up to a volume that the mixture has already passed.";
    SERVE_TOO_LARGE "serve-too-large" Error "A serve larger than the batch.";
    PREP_SERVED "prep-served" Note "A prep has `serve` settings, which only drinks use.";
    PICTURE_MISSING "picture-missing" Error "A picture that is not in the notebook's media folder.";
    PICTURE_OUTSIDE "picture-outside" Error "A picture outside the notebook.";
    GLASS_OVERFULL "glass-overfull" Warning "A serve that does not fit its glass.";
    READING_REFUSED "reading-refused" Warning "A reading that cannot be taken as evidence for the mixture it was made on.";
    READING_DOUBTFUL "reading-doubtful" Warning "A reading of more than went in, which nothing in the recipe explains.";
    READING_STAGE "reading-stage" Error "A reading after a process that the recipe does not have.";
    FILM_CHAPTERS "film-chapters" Error "Film chapters out of order, past the end or not readable.";
    FILM_LIST "film-list" Warning "Chapters that hosts of films do not show as a list: fewer than three, shorter than ten seconds, or with a long title.";
    FILM_UNSEEN "film-unseen" Note "A film of a published recipe that structured data leaves out, because something that its readers ask for is not written.";
    FILM_LENGTH "film-length" Note "A film whose length nobody wrote, so that its last chapter has no end.";
    FAINT_COLOUR "faint-colour" Warning "Colours of the house that can hardly be told apart.";
    CARD_LETTERS "card-letters" Warning "Letters that the font of the picture cards does not have.";
    NOTE_CUT "note-cut" Note "A note that is longer than the house allows, and was cut.";
    NAME_UNPUBLISHED "name-unpublished" Warning "A published text names a recipe that is not published, nor used by one that is; its readers are told no name.";
    METHOD_EXPRESSION "method-expression" Error "An expression in the prose that cannot be computed.";
    // Processes.
    UNKNOWN_PROCESS "unknown-process" Error "A process that Costrel does not know.";
    UNKNOWN_PARAMETER "unknown-parameter" Error "A parameter that the process does not take.";
    MISSING_PARAMETER "missing-parameter" Error "A parameter that the process needs.";
    BAD_PARAMETER "bad-parameter" Error "A parameter outside what is possible.";
    PROCESS_ORDER "process-order" Error "A process that cannot follow what went before.";
    PROCESS_IMPOSSIBLE "process-impossible" Error "A process that cannot do what it is asked to.";
    PROCESS_DOUBT "process-doubt" Warning "A process outside its usual range, or whose result is doubtful.";
    GRAVITY_MISMATCH "gravity-mismatch" Warning "A starting gravity that does not agree with the pours.";
    OUTSIDE_MODEL "outside-model" Note "A published relation was asked outside the range it was fitted for.";
    OVERFULL_SIPHON "overfull-siphon" Error "A siphon filled above its stated maximum.";
    SIPHON_PRESSURE "siphon-pressure" Error "A siphon charged beyond its usual pressure.";
    SEALED_PRESSURE "sealed-pressure" Error "A closed bottle in which pressure would build.";
    DOSE_UNUSUAL "dose-unusual" Warning "A powder dose outside its usual range.";
    DOSE_TOO_SMALL "dose-too-small" Warning "A scaled amount that the house's tools cannot measure well: less than a drop, or a dose that the scale cannot weigh to 2 %.";
    ROUNDING_DRIFT "rounding-drift" Warning "A scaled batch that rounding to the tools moves further than the house's `tolerance`, and no tool of the house measures more finely.";
    FREEZES "freezes" Warning "A drink that would freeze where it is kept.";
    // Safety.
    SUPERSATURATED "supersaturated" Note "More sugar than its water dissolves at room temperature, so it crystallises.";
    NOTHING_KNOWN "nothing-known" Note "No figure of a recipe can be computed.";
    HAZARD "hazard" Error "What is written shows a hazard of the safety rules; its name stands in the message.";
    UNKNOWN_HAZARD "unknown-hazard" Error "An acknowledgement of a hazard that no rule is about.";
    IDLE_ACKNOWLEDGEMENT "idle-acknowledgement" Note "An acknowledgement of a hazard that does not occur there.";
    HAZARD_RULE "hazard-rule" Error "A hazard rule of the house that cannot be used.";
    DOSE_OVER "dose-over" Warning "A dose above a maximum of the law, where the drink may fall under it.";
    KEEPS_LONGER "keeps-longer" Warning "A keeping claim that is longer than a part or a published rule allows.";
    KEEPS_UNPROVED "keeps-unproved" Warning "A claim to keep warm that needs a pH reading nobody took.";
    // Asking.
    NO_SUCH_CHAPTER "no-such-chapter" Error "No chapter of that name or folder.";
    CODE_TOO_LARGE "code-too-large" Warning "An address too long for a code that phones read on a label of this size.";
    FONT_LACKS "font-lacks" Warning "No font for print has a character that the notebook uses.";
    REFUSED_QUESTION "refused-question" Error "A question that makes no sense for the recipe, or an argument that cannot be read: wrong usage. It stands in no file; `argument` names what it is about where that is one thing.";
    NO_SUCH_RECIPE "no-such-recipe" Error "No recipe of that name, address or file.";
    OUTPUT_OCCUPIED "output-occupied" Error "The output folder holds files that Costrel did not write.";
    OUTPUT_IS_FILE "output-is-file" Error "The output path is a file.";
    TEMPLATE_ERROR "template-error" Error "A template of the house cannot be used.";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_kebab_case() {
        let mut seen = std::collections::BTreeSet::new();
        for code in Code::all() {
            assert!(seen.insert(code.name()), "{} stands twice", code.name());
            assert!(code.name().bytes().all(|b| b.is_ascii_lowercase() || b == b'-' || b.is_ascii_digit()));
            assert!(code.meaning().ends_with('.'));
        }
    }
}
