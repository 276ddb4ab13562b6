// What a site tells machines: the feed and the site map by RELAX NG (jing), the structured data of every page by what its readers ask and by
// the types of the schema.org vocabulary, the web manifest,
// notebook.json by its own published schema (ajv, JSON Schema 2020-12), robots.txt; and that all of them agree with the pages.
//
//     node data.mjs FOLDER

import { execFile } from "node:child_process";
import { readFile, stat } from "node:fs/promises";
import path from "node:path";
import { Ajv2020 } from "ajv/dist/2020.js";
import addFormats from "ajv-formats";
import { Parser } from "htmlparser2";
import { CannotCheck, filesOf, run } from "./site.mjs";
import { vocabulary } from "./vocabulary.mjs";

const HERE = import.meta.dirname;
const there = (file) => stat(file).then(() => true, () => false);
const text = (value) => typeof value === "string" && value.trim() !== "";
const whole = (value) => text(value) && /^https?:\/\/\S+$/.test(value);

function jing(grammar, file) {
  return new Promise((resolve, reject) => {
    execFile("jing", ["-c", path.join(HERE, grammar), file], (error, out) => {
      if (error?.code === "ENOENT") reject(new CannotCheck("jing is not installed"));
      else resolve(out.split("\n").filter((line) => /: (error|fatal|warning):/.test(line)).map((line) => line.slice(line.indexOf(":") + 1).trim()));
    });
  });
}

/** Elements of an XML text with a name: what stands in each, and its attributes. */
function elements(xml, wanted) {
  const found = [];
  let open = null;
  const parser = new Parser({
    onopentag(name, attributes) {
      if (name === wanted) open = { attributes, text: "" };
    },
    ontext(data) {
      if (open) open.text += data;
    },
    onclosetag(name) {
      if (name === wanted && open) {
        found.push(open);
        open = null;
      }
    },
  }, { xmlMode: true });
  parser.end(xml);
  return found;
}

async function feed(folder) {
  const file = path.join(folder, "feed.xml");
  if (!(await there(file))) return [];
  const findings = (await jing("atom.rnc", file)).map((line) => `feed.xml:${line}`);
  const xml = await readFile(file, "utf8");
  const ids = elements(xml, "id").map((id) => id.text);
  if (new Set(ids).size !== ids.length) findings.push("feed.xml  two entries of one id");
  if (elements(xml, "author").length === 0) findings.push("feed.xml  no author");
  if (!elements(xml, "link").some((link) => link.attributes.rel === "self")) findings.push("feed.xml  no link to itself");
  const updated = elements(xml, "updated").map((moment) => moment.text);
  if ([...updated].sort().at(-1) !== updated[0]) findings.push("feed.xml  the feed is older than its newest entry");
  return findings;
}

/** The site's address, as its own pages give it. */
const top = (pages) => (pages.get("index.html")?.canonical?.endsWith("/index.html") ? pages.get("index.html").canonical.slice(0, -"index.html".length) : undefined);

async function sitemap(folder, pages) {
  const file = path.join(folder, "sitemap.xml");
  if (!(await there(file))) return top(pages) ? ["sitemap.xml  is not there, though the site has an address"] : [];
  const findings = (await jing("sitemap.rnc", file)).map((line) => `sitemap.xml:${line}`);
  const listed = elements(await readFile(file, "utf8"), "loc").map((loc) => loc.text);
  const expected = [...pages.values()].map((page) => page.canonical).filter(Boolean);
  for (const address of expected.filter((a) => !listed.includes(a))) findings.push(`sitemap.xml  leaves out ${address}`);
  for (const address of listed.filter((a) => !expected.includes(a))) findings.push(`sitemap.xml  lists ${address}, which is no page`);
  const robots = await readFile(path.join(folder, "robots.txt"), "utf8").catch(() => "");
  if (!/^Sitemap: https?:\/\/\S+\/sitemap\.xml$/m.test(robots)) findings.push("robots.txt  does not name the site map");
  return findings;
}

async function notebook(folder) {
  const file = path.join(folder, "notebook.json");
  if (!(await there(file))) return [];
  const data = JSON.parse(await readFile(file, "utf8"));
  if (!text(data.$schema)) return ["notebook.json  names no schema"];
  const schema = JSON.parse(await readFile(path.join(folder, data.$schema), "utf8"));
  const ajv = new Ajv2020({ allErrors: true, strict: true, allowUnionTypes: true });
  addFormats.default(ajv);
  for (const format of ["uint", "uint32", "uint64", "double"]) ajv.addFormat(format, true);
  if (!ajv.validateSchema(schema)) return [`notebook.schema.json  ${ajv.errorsText(ajv.errors)}`];
  const findings = ajv.validate(schema, data) ? [] : ajv.errors.map((e) => `notebook.json${e.instancePath}  ${e.message}`);
  for (const recipe of data.recipes ?? []) {
    if (!(await there(path.join(folder, recipe.page)))) findings.push(`notebook.json  ${recipe.slug} has no page ${recipe.page}`);
  }
  return findings;
}

async function manifest(folder, pages) {
  const file = path.join(folder, "manifest.webmanifest");
  if (!(await there(file))) return [...pages.values()].some((page) => page.manifest) ? ["manifest.webmanifest  is not there"] : [];
  const data = JSON.parse(await readFile(file, "utf8"));
  const findings = [];
  const want = (right, what) => right || findings.push(`manifest.webmanifest  ${what}`);
  want(text(data.name) || text(data.short_name), "no name");
  want(["standalone", "fullscreen", "minimal-ui"].includes(data.display), "display keeps it from being installed");
  for (const size of ["192x192", "512x512"]) want(data.icons?.some((icon) => icon.sizes === size && icon.type === "image/png"), `no icon of ${size}`);
  for (const address of [data.start_url, data.scope, ...(data.icons ?? []).map((icon) => icon.src)]) {
    want(text(address) && !/^([a-z]+:|\/)/.test(address), `${address} is not relative`);
  }
  for (const icon of data.icons ?? []) want(await there(path.join(folder, icon.src.replace(/\?.*/, ""))), `${icon.src} is not there`);
  return findings;
}

/** What a page's head says. */
function head(html) {
  const said = { blocks: [], meta: new Map(), canonical: undefined, manifest: false, text: "" };
  let block = null;
  let quiet = 0;
  const parser = new Parser({
    onopentag(tag, attributes) {
      if (tag === "script" && attributes.type === "application/ld+json") block = "";
      if (tag === "script" || tag === "style" || tag === "template") quiet += 1;
      if (tag === "link" && attributes.rel === "canonical") said.canonical = attributes.href;
      if (tag === "link" && attributes.rel === "manifest") said.manifest = true;
      if (tag === "meta" && (attributes.property ?? attributes.name)) said.meta.set(attributes.property ?? attributes.name, attributes.content);
    },
    ontext(data) {
      if (block !== null) block += data;
      else if (!quiet) said.text += data;
    },
    onclosetag(tag) {
      if (tag === "script" || tag === "style" || tag === "template") quiet -= 1;
      if (tag === "script" && block !== null) {
        said.blocks.push(block);
        block = null;
      }
    },
  });
  parser.end(html);
  return said;
}

/** What readers of structured data ask of a recipe. What it states must stand on the page. */
function recipe(node, page) {
  const faults = [];
  const want = (right, what) => right || faults.push(what);
  for (const key of ["name", "description", "recipeYield"]) want(text(node[key]), `structured data without ${key}`);
  want([node.image ?? []].flat().length > 0 && [node.image].flat().every(whole), "structured data without an image of a whole address");
  want(node.recipeIngredient?.length > 0 && node.recipeIngredient.every(text), "structured data without recipeIngredient");
  const steps = node.recipeInstructions ?? [];
  want(steps.length > 0 && steps.every((s) => s["@type"] === "HowToStep" && text(s.text)), "structured data without steps");
  want(page.text.includes(node.name), "structured data names what the page does not show");
  return faults;
}

async function pagesOf(folder) {
  const pages = new Map();
  for (const file of await filesOf(folder, ".html")) pages.set(file, head(await readFile(path.join(folder, file), "utf8")));
  return pages;
}

async function structured(folder, pages) {
  const findings = [];
  const nodes = [];
  const local = async (address) => !top(pages) || !address.startsWith(top(pages)) || there(path.join(folder, decodeURIComponent(new URL(address).pathname.slice(new URL(top(pages)).pathname.length))));
  for (const [file, page] of pages) {
    const fault = (what) => findings.push(`${file}  ${what}`);
    for (const block of page.blocks) {
      let node;
      try {
        node = JSON.parse(block);
      } catch (error) {
        fault(`structured data is no JSON: ${error.message}`);
        continue;
      }
      nodes.push([file, node]);
      if (node["@context"] !== "https://schema.org") fault("structured data of no context");
      if (node["@type"] === "Recipe") recipe(node, page).forEach(fault);
      else if (node["@type"] === "ItemList") {
        const right = node.itemListElement?.every((item, i) => item["@type"] === "ListItem" && item.position === i + 1 && whole(item.url));
        if (!right) fault("structured data with a list out of order");
      } else fault(`structured data of type ${node["@type"]}`);
      for (const image of [node.image ?? []].flat()) if (!(await local(image))) fault(`structured data with a picture that is not there: ${image}`);
    }
    if (page.meta.has("og:title")) {
      for (const key of ["og:type", "og:image", "og:url"]) if (!text(page.meta.get(key))) fault(`no ${key}`);
      if (page.meta.get("og:url") !== page.canonical) fault("og:url is not the canonical address");
      if (!(await local(page.meta.get("og:image") ?? ""))) fault(`og:image is not there: ${page.meta.get("og:image")}`);
    }
    if (/^recipes\//.test(file) && page.canonical && page.blocks.length === 0) fault("no structured data");
  }
  // Every property and value by the vocabulary's own types.
  const known = nodes.filter(([, node]) => ["Recipe", "ItemList"].includes(node["@type"]));
  for (const { of, words } of await vocabulary(known, (node) => node["@type"])) findings.push(`${of}  structured data: ${words}`);
  return findings;
}

await run("data", 5, async (folder) => {
  const pages = await pagesOf(folder);
  if (pages.size === 0) throw new CannotCheck(`no page in ${folder}`);
  const findings = [
    ...(await feed(folder)),
    ...(await sitemap(folder, pages)),
    ...(await notebook(folder)),
    ...(await manifest(folder, pages)),
    ...(await structured(folder, pages)),
  ];
  return { findings, checked: `${pages.size} pages and what stands beside them` };
});
