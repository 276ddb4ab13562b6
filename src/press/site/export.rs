//! `notebook.json`: the published recipes and their figures for other programs, and the JSON Schema that says what it holds.
//!
//! Field names end in their unit, figures are not rounded, a figure that cannot be computed is null.

use schemars::{JsonSchema, SchemaGenerator, generate::SchemaSettings};
use serde::Serialize;

use crate::ask::taste::taste;
use crate::press::publication::Publication;
use crate::press::structured;

/// Where the data lies.
pub(super) const DATA: &str = "notebook.json";
/// Where its schema lies.
pub(super) const SCHEMA: &str = "notebook.schema.json";
/// The form of the document. It changes when a field changes its meaning or goes.
const FORM: u32 = 1;

/// The recipes of a notebook and their computed figures.
#[derive(Serialize, JsonSchema)]
#[schemars(title = "A notebook of drink recipes", deny_unknown_fields)]
struct Document {
    /// Path of the schema.
    #[serde(rename = "$schema")]
    schema: &'static str,
    /// Version of this form.
    form: u32,
    /// Who publishes it.
    house: String,
    /// Language of names and texts, a BCP 47 tag.
    language: String,
    /// Address of the site that shows the recipes.
    #[schemars(url)]
    address: Option<String>,
    /// Recipes, by address.
    recipes: Vec<Recipe>,
}

/// One recipe.
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Recipe {
    /// Its address: lower-case words joined by hyphens, unique.
    slug: String,
    /// Its name.
    name: String,
    /// Path of its page, from this file.
    page: String,
    /// `drink`, which is served, or `prep`, which others use.
    makes: &'static str,
    /// Balance family.
    family: Option<String>,
    /// Version as written.
    version: Option<String>,
    /// The day on which it came out.
    #[schemars(extend("format" = "date"))]
    published: Option<String>,
    /// Tags.
    tags: Vec<String>,
    /// The pours in order, in the house's first unit.
    pours: Vec<String>,
    /// The steps in order.
    steps: Vec<String>,
    /// The glass.
    glass: Option<String>,
    /// Ice in the glass.
    ice: Option<String>,
    /// The garnish.
    garnish: Option<String>,
    /// The mixture after each process.
    stages: Vec<Stage>,
    /// One serve; null for a prep.
    serve: Option<Serve>,
    /// Allergens that it contains, as tags of the declared list.
    allergens: Vec<String>,
    /// Allergens of which there may be traces.
    may_contain: Vec<String>,
    /// Ingredients whose allergens nobody stated.
    allergens_unknown: Vec<String>,
    /// Whether it is vegan; null is not known.
    vegan: Option<bool>,
    /// Why figures are null.
    unknown: Vec<Unknown>,
}

/// The mixture after a process. Volumes are at 20 °C.
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Stage {
    /// `mix`, the process, `top` or `serve`.
    stage: String,
    /// Volume, ml.
    #[schemars(range(min = 0.0))]
    volume_ml: Option<f64>,
    /// Mass, g.
    #[schemars(range(min = 0.0))]
    mass_g: Option<f64>,
    /// Strength, % vol.
    #[schemars(range(min = 0.0, max = 100.0))]
    abv_pct: Option<f64>,
    /// Sugar, g/100 ml.
    #[schemars(range(min = 0.0))]
    sugar_g_per_100ml: Option<f64>,
    /// Mass share of dissolved sugar, %.
    #[schemars(range(min = 0.0, max = 100.0))]
    brix: Option<f64>,
    /// Titratable acid as anhydrous citric acid, g/100 ml.
    #[schemars(range(min = 0.0))]
    acid_g_per_100ml: Option<f64>,
    /// Temperature, °C.
    temperature_c: Option<f64>,
    /// Freezing point, °C.
    freezing_point_c: Option<f64>,
    /// Water added, % of the volume before.
    #[serde(skip_serializing_if = "Option::is_none")]
    dilution_pct: Option<f64>,
}

/// One serve.
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Serve {
    /// Whole serves in the batch.
    count: Option<u64>,
    /// Volume of one, ml.
    volume_ml: Option<f64>,
    /// Ethanol in one, g.
    ethanol_g: Option<f64>,
    /// Sugar in one, g.
    sugar_g: Option<f64>,
    /// Energy of one, kJ.
    energy_kj: Option<f64>,
    /// Energy of one, kcal.
    energy_kcal: Option<f64>,
    /// Standard drinks in one by country: ISO code in lower case.
    standard_drinks: std::collections::BTreeMap<&'static str, Option<f64>>,
}

/// A figure that could not be computed.
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Unknown {
    /// Which.
    figure: String,
    /// At which stage; null for the whole.
    stage: Option<String>,
    /// Why.
    because: String,
}

fn recipe(site: &Publication<'_>, recipe: usize) -> Recipe {
    let note = site.note(recipe);
    let told = taste(site.computed, recipe);
    let held = site.safety.diet(recipe);
    let node = structured::recipe(site.computed, recipe, &site.words);
    let texts = |key: &str| -> Vec<String> {
        node[key].as_array().into_iter().flatten().filter_map(|t| t.as_str()).map(str::to_owned).collect()
    };
    Recipe {
        slug: told.recipe,
        name: told.name,
        page: site.recipe_href(recipe),
        makes: told.makes,
        family: told.family,
        version: note.version.clone(),
        published: note.published.map(|d| d.to_string()),
        tags: note.tags.iter().map(|t| t.value.clone()).collect(),
        pours: texts("recipeIngredient"),
        steps: structured::steps(site.computed, recipe, &site.words),
        glass: note.serve.glass.as_ref().map(|g| g.value.clone()),
        ice: note.serve.ice.as_ref().map(|i| i.value.clone()),
        garnish: note.serve.garnish.as_ref().map(|g| g.value.clone()),
        stages: told
            .stages
            .into_iter()
            .map(|s| Stage {
                stage: s.stage,
                volume_ml: s.volume_ml,
                mass_g: s.mass_g,
                abv_pct: s.abv_pct,
                sugar_g_per_100ml: s.sugar_g_per_100ml,
                brix: s.brix,
                acid_g_per_100ml: s.acid_g_per_100ml,
                temperature_c: s.temperature_c,
                freezing_point_c: s.freezing_point_c,
                dilution_pct: s.dilution_pct,
            })
            .collect(),
        serve: told.serve.map(|s| Serve {
            count: s.count,
            volume_ml: s.volume_ml,
            ethanol_g: s.ethanol_g,
            sugar_g: s.sugar_g,
            energy_kj: s.energy_kj,
            energy_kcal: s.energy_kcal,
            standard_drinks: s.standard_drinks,
        }),
        allergens: held.contains.into_keys().collect(),
        may_contain: held.may_contain.into_iter().collect(),
        allergens_unknown: held.unknown.into_iter().collect(),
        vegan: held.vegan,
        unknown: told
            .unknown
            .into_iter()
            .map(|u| Unknown { figure: u.figure, stage: u.stage, because: u.because })
            .collect(),
    }
}

fn text(value: &impl Serialize) -> Vec<u8> {
    let mut out = serde_json::to_vec_pretty(value).unwrap_or_default();
    out.push(b'\n');
    out
}

/// The data of an edition.
pub(super) fn data(site: &Publication<'_>) -> Vec<u8> {
    let mut recipes: Vec<Recipe> = site.recipes().map(|r| recipe(site, r)).collect();
    recipes.sort_by(|a, b| a.slug.cmp(&b.slug));
    text(&Document {
        schema: SCHEMA,
        form: FORM,
        house: site.house().name.clone(),
        language: site.words.language.clone(),
        address: site.house().site_address.as_ref().map(|a| a.value.clone()),
        recipes,
    })
}

/// The schema of the data, JSON Schema 2020-12.
pub(super) fn schema() -> Vec<u8> {
    let generator: SchemaGenerator = SchemaSettings::draft2020_12().for_serialize().into_generator();
    text(&generator.into_root_schema_for::<Document>())
}
