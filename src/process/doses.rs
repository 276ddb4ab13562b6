//! Usual doses of powders: gums, gelling and foaming agents, acids, salts and preservatives, as % of the liquid's mass.
//!
//! In: the name of an ingredient, as a pantry writes it. Out: the range that is usual, with its source. The rows are those of
//! the reference table of additives; a test compares them. A range says what people use, not what is safe or allowed.

/// The usual range of one additive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dose {
    /// Key of the row in the reference table.
    pub id: &'static str,
    /// Its name.
    pub name: &'static str,
    /// Names by which a pantry may know it, in lower case; `id` is one more.
    pub words: &'static [&'static str],
    /// Least that is usual, % of the liquid's mass.
    pub low: f64,
    /// Most that is usual, % of the liquid's mass.
    pub high: f64,
    /// What which dose does.
    pub does: &'static str,
    /// Where the range is from.
    pub source: &'static str,
}

const GUIDE: &str = "supplier usage guide (web, 2020s)";
const TEXTURE: &str = "Lersch (ed.), Texture (2014), dosages from memory";
const CUSTOM: &str = "bar use custom, common practice, no source";
const MEMORY: &str = "from memory";

macro_rules! doses {
    ($($id:literal $name:literal $words:tt $low:literal..$high:literal $does:literal $source:expr;)*) => {
        &[$(Dose { id: $id, name: $name, words: &$words, low: $low, high: $high, does: $does, source: $source },)*]
    };
}

/// Every row.
#[rustfmt::skip]
pub const DOSES: &[Dose] = doses! {
    "xanthan" "xanthan gum" ["xanthan"] 0.05..0.5 "0.05–0.15 suspends pulp, 0.1–0.3 body, 0.3–0.5 foam or thick sauce" GUIDE;
    "guar" "guar gum" ["guar"] 0.1..1.0 "body, paired with xanthan" GUIDE;
    "gum-arabic" "gum arabic" ["gum arabic", "acacia gum", "gum acacia"] 0.5..8.0 "1–5 in gomme syrup, 5–15 in citrus-oil emulsions" "21 CFR 172.780; usage from memory";
    "pectin-hm" "high-methoxyl pectin" ["high methoxyl pectin", "hm pectin", "pectin"] 0.2..1.5 "fluid body and jam gels at pH 2.8–3.5, sugar > 55 %" GUIDE;
    "pectin-lm" "low-methoxyl pectin" ["low methoxyl pectin", "lm pectin"] 0.2..1.0 "low-sugar gels" TEXTURE;
    "gelatin" "gelatin" ["gelatin", "gelatine"] 0.25..2.5 "0.25–0.6 clarify, 0.6–1.7 soft gel, 1.5–2.5 jelly shots" TEXTURE;
    "agar" "agar" ["agar", "agar agar"] 0.1..1.5 "0.2 for clarifying juice, 0.3–0.5 fluid gel, 0.7–1.5 firm" "supplier usage guide (web, 2020s); TTB list citing 21 CFR 184.1115";
    "gellan-low" "low-acyl gellan" ["low acyl gellan", "gellan"] 0.03..0.5 "0.03–0.1 suspend, 0.2–0.5 gel" TEXTURE;
    "gellan-high" "high-acyl gellan" ["high acyl gellan"] 0.02..0.3 "suspends particles, elastic gel" TEXTURE;
    "methylcellulose" "methylcellulose" ["methylcellulose"] 0.25..2.0 "0.25–0.5 light foam, 1–2 heat-setting" TEXTURE;
    "hpmc" "hydroxypropyl methylcellulose" ["hydroxypropyl methylcellulose", "hpmc"] 0.25..1.5 "stable foam" TEXTURE;
    "kappa" "kappa carrageenan" ["kappa carrageenan", "carrageenan"] 0.02..1.5 "0.02–0.05 milk body, 0.5–1.5 brittle gel" GUIDE;
    "iota" "iota carrageenan" ["iota carrageenan"] 0.05..1.5 "0.05–0.15 milk foam body, 0.5–1.5 soft gel" "supplier usage guide (web, 2020s); lower end from memory";
    "lbg" "locust bean gum" ["locust bean gum", "carob gum"] 0.1..0.5 "synergy with xanthan and kappa" GUIDE;
    "alginate" "sodium alginate" ["alginate"] 0.4..1.0 "spheres and pearls" GUIDE;
    "konjac" "konjac" ["konjac", "glucomannan"] 0.1..1.0 "body" "Reg. (EC) 1333/2008, from memory";
    "cmc" "carboxymethyl cellulose" ["carboxymethyl cellulose", "cellulose gum"] 0.1..1.0 "clear body, ice control" TEXTURE;
    "sucrose-ester" "sucrose esters of fatty acids" ["sucrose ester", "sucrose esters", "sugar ester", "sugar esters"] 0.1..1.0 "0.2–1.0 for airs and foam" "Reg. (EC) 1333/2008 Annex II cat. 14.2.7.1; usage from memory";
    "lecithin-soy" "soya lecithin" ["soya lecithin", "soy lecithin", "lecithin"] 0.2..1.0 "0.3–0.6 air" TEXTURE;
    "lecithin-sunflower" "sunflower lecithin" ["sunflower lecithin"] 0.2..1.0 "0.3–0.6 air" TEXTURE;
    "quillaja" "quillaja extract" ["quillaja"] 0.005..0.05 "0.005–0.02 foam in sours" "Codex GSFA category 14.1.4.1; EFSA FAF Panel 2024";
    "yucca" "yucca extract" ["yucca"] 0.01..0.1 "foam" CUSTOM;
    "albumen" "dried egg white" ["dried egg white", "egg white powder", "albumen powder"] 1.0..4.0 "2–3 replaces fresh white at 1:7 with water" CUSTOM;
    "glycerin" "glycerol" ["glycerol", "glycerin", "glycerine"] 0.2..2.0 "0.5–1 for mouthfeel" CUSTOM;
    "propylene" "propylene glycol alginate" ["propylene glycol alginate"] 0.05..0.2 "foam stabiliser" "Codex GSFA category 01.1.4";
    "polysorbate" "polysorbate" ["polysorbate", "polysorbates"] 0.005..0.05 "oil clouds" "Codex GSFA categories 14.1.4 and 14.2.6";
    "citric" "citric acid" ["citric acid"] 0.2..6.0 "0.2–0.6 in a soda, 4–6 solution as lemon" "EU 1333/2008 and Codex GMP (from memory); bar use custom";
    "malic" "malic acid" ["malic acid"] 0.1..4.0 "0.1–0.5 drink; 2–4 with citric as lime stock" CUSTOM;
    "tartaric" "tartaric acid" ["tartaric acid"] 0.05..2.0 "0.05–0.3 drink" MEMORY;
    "lactic" "lactic acid" ["lactic acid"] 0.05..1.5 "0.1–0.5 drink" CUSTOM;
    "phosphoric" "phosphoric acid" ["phosphoric acid"] 0.02..0.1 "0.02–0.07 as acid in cola-type" "Reg. (EC) 1333/2008 Annex II cat. 14.2.7.1; the rest from memory";
    "ascorbic" "ascorbic acid" ["ascorbic acid"] 0.01..0.2 "0.02–0.1 stops browning" CUSTOM;
    "acetic" "acetic acid" ["acetic acid"] 0.1..1.5 "0.3–1 as shrub" "TTB list citing 21 CFR 184.1005";
    "salt" "salt" ["salt"] 0.02..0.3 "2–5 drops of 20 % saline = about 0.05 %" CUSTOM;
    "sodium-citrate" "trisodium citrate" ["sodium citrate", "trisodium citrate"] 0.05..1.0 "0.1–0.5 tames acid, protects milk" MEMORY;
    "bicarb" "sodium bicarbonate" ["sodium bicarbonate", "bicarbonate of soda", "baking soda"] 0.02..0.2 "mineral or softening" MEMORY;
    "msg" "monosodium glutamate" ["monosodium glutamate"] 0.02..0.2 "savoury drinks" MEMORY;
    "potassium-sorbate" "potassium sorbate" ["potassium sorbate"] 0.01..0.05 "0.02–0.05 syrups" "Codex GSFA 14.1.4; Reg. (EC) 1333/2008 14.2.7.1";
    "sodium-benzoate" "sodium benzoate" ["sodium benzoate"] 0.01..0.05 "0.02–0.05 acid drinks" "TTB list citing 21 CFR 184.1021";
    "pectinase" "pectinase enzyme" ["pectinase"] 0.05..0.3 "clears juice in 15–60 min at 20–50 °C" CUSTOM;
    "chitosan-kieselsol" "chitosan and kieselsol" ["chitosan", "kieselsol"] 0.05..0.3 "wine-style fining" CUSTOM;
    "bentonite" "bentonite" ["bentonite"] 0.05..0.3 "protein removal" MEMORY;
    "vegetable-carbon" "vegetable carbon" ["vegetable carbon", "activated charcoal"] 0.01..0.2 "black drinks" "secondary text";
    "quinine" "quinine salts" ["quinine", "quinine sulphate", "quinine sulfate", "quinine hydrochloride"] 0.004..0.0083 "40–83 mg/kg" "21 CFR 172.575; BfR 020/2008";
};

/// The usual dose of an ingredient by its name or tag; the row with the longest name inside it wins.
///
/// - `name`: as a pantry writes it, in any case: `agar powder`, `citric acid`, the tag `xanthan`
/// - returns the row, or `None` where the table has none
#[must_use]
pub fn usual(name: &str) -> Option<&'static Dose> {
    let name = spaced(name);
    let longest = |dose: &Dose| {
        dose.words
            .iter()
            .chain(std::iter::once(&dose.id))
            .map(|word| spaced(word))
            .filter(|word| name.contains(word.as_str()))
            .map(|word| word.len())
            .max()
    };
    DOSES
        .iter()
        .filter_map(|dose| longest(dose).map(|length| (length, dose)))
        .max_by_key(|(length, _)| *length)
        .map(|(_, dose)| dose)
}

/// Lower case, words parted and closed in by single spaces, so that only whole words match.
fn spaced(text: &str) -> String {
    let lower = text.to_lowercase();
    let words = lower.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    let mut out = String::from(" ");
    for word in words {
        out.push_str(word);
        out.push(' ');
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_the_pantry_find_their_row() {
        for (name, id) in [
            ("agar powder", "agar"),
            ("Citric acid", "citric"),
            ("lactic acid solution 80 %", "lactic"),
            ("ascorbic acid powder", "ascorbic"),
            ("soya lecithin powder", "lecithin-soy"),
            ("sunflower lecithin", "lecithin-sunflower"),
            ("high-acyl gellan", "gellan-high"),
            ("gellan gum", "gellan-low"),
            ("xanthan", "xanthan"),
            ("pectin-lm", "pectin-lm"),
            ("pectinase enzyme (liquid)", "pectinase"),
            ("propylene glycol alginate", "propylene"),
        ] {
            assert_eq!(usual(name).map(|d| d.id), Some(id), "{name}");
        }
    }

    #[test]
    fn a_word_inside_another_is_no_name() {
        // `agar` stands in neither, `salt` is no word of the second.
        for name in ["agaric", "salted caramel", "", "gin"] {
            assert_eq!(usual(name), None, "{name}");
        }
    }

    #[test]
    fn every_range_rises() {
        for dose in DOSES {
            assert!(0.0 < dose.low && dose.low < dose.high, "{}", dose.id);
        }
    }
}
