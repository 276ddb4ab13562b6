// The notes beside recipes, each by the checker of its kind: chapters and captions by the WebVTT parser, structured data as
// typed constants of the schema.org vocabulary, fragments of HTML inside a page by the Nu Html Checker, cards by pngcheck.
//
//     node notes.mjs FOLDER

import { execFile } from "node:child_process";
import { mkdtemp, readFile, rm, writeFile, mkdir } from "node:fs/promises";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import path from "node:path";
import { CannotCheck, filesOf, run } from "./site.mjs";
import { vocabulary } from "./vocabulary.mjs";

const HERE = import.meta.dirname;
const require = createRequire(import.meta.url);
const { WebVTTParser } = require("webvtt-parser");

/** A tool's exit status and words. */
function tool(command, args, options = {}) {
  return new Promise((resolve) => {
    execFile(command, args, { maxBuffer: 1 << 28, ...options }, (error, out, err) => {
      resolve({ status: error ? (error.code ?? 1) : 0, said: out + err });
    });
  });
}

async function webvtt(folder, file) {
  const kind = path.basename(file).startsWith("chapters") ? "chapters" : "captions";
  const text = await readFile(path.join(folder, file), "utf8");
  const { cues, errors } = new WebVTTParser().parse(text, kind);
  const findings = errors.map(({ message, line, col }) => `${file}:${line}:${col ?? 1}  ${message}`);
  if (cues.length === 0) findings.push(`${file}:1:1  no cue`);
  for (const [i, cue] of cues.entries()) {
    const next = cues[i + 1];
    if (kind === "chapters" && i === 0 && cue.startTime !== 0) findings.push(`${file}:1:1  the first chapter does not start at 0`);
    if (kind === "chapters" && next && next.startTime !== cue.endTime) findings.push(`${file}:1:1  chapters leave a gap at ${cue.endTime}`);
    if (next && next.startTime < cue.endTime) findings.push(`${file}:1:1  cues overlap at ${next.startTime}`);
  }
  return findings;
}

/** What readers of structured data ask of a recipe, beyond its vocabulary. */
function asked(file, node) {
  const findings = [];
  const want = (there, what) => there || findings.push(`${file}:1:1  ${what}`);
  const text = (value) => typeof value === "string" && value.trim() !== "";
  want(node["@context"] === "https://schema.org" && node["@type"] === "Recipe", "not a Recipe of schema.org");
  for (const key of ["name", "description", "recipeYield"]) want(text(node[key]), `no ${key}`);
  want(Array.isArray(node.recipeIngredient) && node.recipeIngredient.length > 0 && node.recipeIngredient.every(text), "no recipeIngredient");
  want(node.image?.length > 0 && [node.image].flat().every((url) => /^https:\/\//.test(url)), "no image with a whole address");
  const steps = node.recipeInstructions ?? [];
  want(steps.length > 0 && steps.every((s) => s["@type"] === "HowToStep" && text(s.text)), "no recipeInstructions of HowToStep");
  if (node.nutrition) want(text(node.nutrition.servingSize) && /^\d+ kcal$/.test(node.nutrition.calories), "nutrition without servingSize");
  for (const key of ["totalTime"]) if (key in node) want(/^P(\d+D)?(T(\d+H)?(\d+M)?(\d+S)?)?$/.test(node[key]) && node[key] !== "P", `${key} is no duration`);
  if (node.video) {
    for (const key of ["name", "thumbnailUrl", "uploadDate", "contentUrl"]) want(node.video[key]?.length > 0, `video without ${key}`);
    for (const clip of node.video.hasPart ?? []) {
      want(text(clip.name) && Number.isInteger(clip.startOffset) && clip.url.endsWith(`#t=${clip.startOffset}`), "a clip without name, startOffset or url");
    }
  }
  return findings;
}

/** Structured data of recipes: its vocabulary, and what its readers ask beyond it. */
async function recipes(folder, files) {
  const findings = [];
  const nodes = new Map();
  for (const file of files) {
    try {
      const node = JSON.parse(await readFile(path.join(folder, file), "utf8"));
      findings.push(...asked(file, node));
      nodes.set(file, node);
    } catch (error) {
      findings.push(`${file}:1:1  ${error.message}`);
    }
  }
  const wrong = await vocabulary([...nodes], () => "Recipe");
  return [...findings, ...wrong.map(({ of, line, column, words }) => `${of}:${line}:${column}  ${words}`)];
}

/** Pieces of HTML stand in pages of others: a page is put around them and checked. */
async function fragments(folder, files) {
  if (files.length === 0) return [];
  const scratch = await mkdtemp(path.join(tmpdir(), "costrel-notes-"));
  try {
    for (const file of files) {
      const piece = await readFile(path.join(folder, file), "utf8");
      const head = /^\s*<meta /.test(piece);
      const page = piece.startsWith("<!doctype") ? piece : `<!doctype html><html lang="en"><head><meta charset="utf-8"><title>${file}</title>${head ? piece : ""}</head><body><h1>A page</h1>${head ? "" : piece}</body></html>`;
      const to = path.join(scratch, file);
      await mkdir(path.dirname(to), { recursive: true });
      await writeFile(to, page);
    }
    const { status, said } = await tool(process.execPath, [path.join(HERE, "html.mjs"), scratch]);
    if (status === 2) throw new CannotCheck(said);
    return said.split("\n").filter((line) => line.startsWith("fault ")).map((line) => line.replace(/^fault\s+/, ""));
  } finally {
    await rm(scratch, { recursive: true, force: true });
  }
}

async function pictures(folder, files) {
  const findings = [];
  for (const file of files) {
    const { status, said } = await tool("pngcheck", ["-q", path.join(folder, file)]);
    if (status === "ENOENT") throw new CannotCheck("pngcheck is not installed");
    if (status !== 0) findings.push(`${file}:1:1  ${said.trim().split("\n")[0].replace(folder + path.sep, "")}`);
  }
  return findings;
}

await run("notes", 10, async (folder) => {
  const files = await filesOf(folder, ".vtt", ".jsonld", ".html", ".png");
  const of = (ending) => files.filter((file) => file.endsWith(ending));
  if (of(".vtt").length + of(".jsonld").length === 0) throw new CannotCheck(`no notes in ${folder}`);
  const findings = [];
  for (const file of of(".vtt")) findings.push(...(await webvtt(folder, file)));
  findings.push(...(await recipes(folder, of(".jsonld"))));
  findings.push(...(await fragments(folder, of(".html"))));
  findings.push(...(await pictures(folder, of(".png"))));
  return { findings, checked: `${files.length} files` };
});
