// Every page of a site in a real browser: the accessibility rules of WCAG 2.0 to 2.2, levels A and AA, and axe's best
// practice, in light and dark, on a phone and on a desk; no sideways scrolling at 320 CSS pixels (WCAG 2.2, 1.4.10); nothing in
// the console; no request that leaves the site; four fifths of the text there without scripts; a page that is light to load.
//
//     node axe.mjs FOLDER [--sample N]      N pages, spread over the site, instead of all
//
// CHROMIUM names the browser where it is not /usr/bin/chromium.

import { readFile, stat } from "node:fs/promises";
import { createRequire } from "node:module";
import path from "node:path";
import { chromium } from "playwright-core";
import { addressOf, CannotCheck, filesOf, run, serve } from "./site.mjs";

const AXE = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa", "best-practice"];
const LOOKS = ["light", "dark"].flatMap((scheme) => [390, 1280].map((width) => ({ scheme, width })));
const NARROW = 320;
// Share of the text in `main` that must be there without scripts.
const WITHOUT_SCRIPTS = 0.8;
// What a page may weigh and ask for when first opened, photographs left out.
const MOST_KB = 300;
const MOST_REQUESTS = 15;
const PHOTO = /\.(jpe?g|png|webp|avif)$/;
// A page that has not loaded by then hangs.
const PATIENCE_MS = 20_000;
const BROWSER_FLAGS = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
  // Whatever a page asks of another host is refused here as well as reported.
  "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
];

/** Findings by what is wrong, so that a fault of a template is one line and not one line a page. */
class Findings {
  #places = new Map();

  add(what, page, look) {
    const places = this.#places.get(what) ?? new Map();
    places.set(page, [...(places.get(page) ?? []), look]);
    this.#places.set(what, places);
  }

  lines() {
    return [...this.#places]
      .map(([what, places]) => {
        const [page, looks] = [...places].sort(([a], [b]) => (a < b ? -1 : 1))[0];
        const others = places.size > 1 ? ` and ${places.size - 1} more` : "";
        return `${page}${others}  [${looks.sort().join(", ")}]  ${what}`;
      })
      .sort();
  }
}

/** A tab that goes from page to page and notes what a page does that it should not. */
class Tab {
  #site;
  #findings;
  file = "";
  look = "";
  asked = [];

  static async open(browser, site, findings, settings) {
    const context = await browser.newContext({ reducedMotion: "reduce", serviceWorkers: "block", ...settings });
    // Put there from outside, so the page's own security policy stays in force.
    if (settings.javaScriptEnabled !== false) await context.addInitScript(AXE);
    const tab = new Tab();
    tab.#site = site;
    tab.#findings = findings;
    tab.page = await context.newPage();
    tab.page.on("console", (message) => {
      // A request that was refused shows in the console too, and is reported below.
      const text = message.text();
      if (message.type() === "error" && !text.startsWith("Failed to load resource")) tab.fault(`console: ${text}`);
    });
    tab.page.on("pageerror", (error) => tab.fault(`script failed: ${error.message}`));
    tab.page.on("request", (request) => {
      tab.asked.push(request);
      const { protocol, origin } = new URL(request.url());
      const within = origin === site.origin || ["data:", "blob:", "about:"].includes(protocol);
      if (!within) tab.fault(`leaves the site: ${request.url()}`);
    });
    tab.page.on("response", (response) => {
      if (response.status() >= 400) tab.fault(`${response.status()} for ${response.url().replace(site.url, "")}`);
    });
    return tab;
  }

  fault(what) {
    this.#findings.add(what, this.file, this.look);
  }

  /** Whether the page opened. */
  async goto(file, look) {
    Object.assign(this, { file, look, asked: [] });
    try {
      const response = await this.page.goto(addressOf(this.#site, file), { waitUntil: "load", timeout: PATIENCE_MS });
      return response.ok();
    } catch (error) {
      this.fault(`did not open: ${error.message.split("\n")[0]}`);
      return false;
    }
  }

  /** Lets the page take another colour scheme and width; what moves on the way there is moved to its end. */
  async turn({ scheme, width }) {
    this.look = `${scheme} ${width}`;
    await this.page.emulateMedia({ colorScheme: scheme, reducedMotion: "reduce" });
    await this.page.setViewportSize({ width, height: 844 });
    await this.page.evaluate(async () => {
      await new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve)));
      for (const animation of document.getAnimations()) animation.finish();
    });
  }
}

/** The accessibility rules that a page breaks. */
async function rules(page) {
  const { violations, passes } = await page.evaluate(
    (values) => window.axe.run(document, { runOnly: { type: "tag", values }, resultTypes: ["violations"] }),
    TAGS,
  );
  if (violations.length + passes.length === 0) throw new CannotCheck("no accessibility rule applied to a page");
  return violations.flatMap(({ id, impact, help, nodes }) =>
    nodes.map(({ target, any }) => {
      const detail = id.startsWith("color-contrast") && any[0]?.data ? ` (${any[0].data.contrastRatio}:1)` : "";
      return `${id}, ${impact}: ${help}${detail}: ${target.join(" ")}`;
    }),
  );
}

/** What sticks out of a narrow screen; empty where the page does not scroll sideways. */
function tooWide(page) {
  return page.evaluate(() => {
    const width = document.documentElement.clientWidth;
    if (document.documentElement.scrollWidth <= width) return [];
    const held = (element) => {
      for (let e = element.parentElement; e && e !== document.body; e = e.parentElement) {
        if (getComputedStyle(e).overflowX !== "visible") return true;
      }
      return false;
    };
    const name = (e) => e.tagName.toLowerCase() + (e.id ? `#${e.id}` : [...e.classList].map((c) => `.${c}`).join(""));
    const out = [...document.body.querySelectorAll("*")].filter((e) => e.getBoundingClientRect().right > width + 1 && !held(e));
    return [`${document.documentElement.scrollWidth} px wide at ${width} px: ${out.slice(0, 3).map(name).join(", ")}`];
  });
}

/** Letters of the page's own text. */
function textOf(page) {
  return page.evaluate(() => (document.querySelector("main") ?? document.body).innerText.replace(/\s+/g, "").length);
}

/** What a first visit costs. A request that a page leaves open is not waited for: it counts with what has come. */
async function weight(asked) {
  const counted = asked.filter((request) => !PHOTO.test(new URL(request.url()).pathname));
  const size = async (request) => {
    const done = (await request.response())?.finished().then(() => request.sizes());
    const sizes = await Promise.race([done, new Promise((resolve) => setTimeout(resolve, 1000))]);
    return sizes?.responseBodySize ?? 0;
  };
  const bytes = (await Promise.all(counted.map((request) => size(request).catch(() => 0)))).reduce((a, b) => a + b, 0);
  const faults = [];
  if (bytes > MOST_KB * 1000) faults.push(`heavy: ${Math.round(bytes / 1000)} kB, at most ${MOST_KB}`);
  if (counted.length > MOST_REQUESTS) faults.push(`heavy: ${counted.length} requests, at most ${MOST_REQUESTS}`);
  return faults;
}

/** N pages: the front page, the largest of each folder, and the rest spread evenly. The same folder gives the same pages. */
async function sample(folder, pages, n) {
  if (pages.length <= n) return pages;
  const largest = new Map();
  for (const page of pages) {
    const { size } = await stat(path.join(folder, page));
    const kind = path.dirname(page);
    if (size > (largest.get(kind)?.size ?? -1)) largest.set(kind, { page, size });
  }
  const front = pages.filter((page) => page === "index.html");
  const chosen = new Set([...front, ...[...largest.values()].map(({ page }) => page)]);
  for (let i = 0; chosen.size < n && i < n; i += 1) chosen.add(pages[Math.floor((i * pages.length) / n)]);
  return [...chosen].slice(0, n).sort();
}

/** Everything about one page. */
async function check(file, tab, scriptless) {
  if (!(await tab.goto(file, "first visit"))) return;
  const text = await textOf(tab.page);
  for (const fault of await weight(tab.asked)) tab.fault(fault);
  for (const look of LOOKS) {
    await tab.turn(look);
    for (const fault of await rules(tab.page)) tab.fault(fault);
  }
  await tab.turn({ scheme: "light", width: NARROW });
  for (const fault of await tooWide(tab.page)) tab.fault(fault);
  if (!(await scriptless.goto(file, "no scripts"))) return;
  const left = await textOf(scriptless.page);
  const share = Math.round((100 * left) / text);
  if (left < WITHOUT_SCRIPTS * text) scriptless.fault(`only ${share} % of the text is there without scripts`);
}

async function checkAll(browser, site, pages, findings) {
  const waiting = [...pages];
  const worker = async () => {
    const phone = { colorScheme: "light", viewport: { width: 390, height: 844 } };
    const tab = await Tab.open(browser, site, findings, phone);
    const scriptless = await Tab.open(browser, site, findings, { ...phone, javaScriptEnabled: false });
    for (let file = waiting.shift(); file; file = waiting.shift()) await check(file, tab, scriptless);
  };
  // Two at a time: more would only wait for each other on a small machine.
  await Promise.all([worker(), worker()]);
}

await run("axe", 25, async (folder, options) => {
  const all = await filesOf(folder, ".html");
  if (all.length === 0) throw new CannotCheck(`no page in ${folder}`);
  const at = options.indexOf("--sample");
  const pages = at < 0 ? all : await sample(folder, all, Number(options[at + 1]) || all.length);
  const site = await serve(folder);
  const findings = new Findings();
  // The driver starts the browser headless and with a fresh profile that it removes afterwards.
  const browser = await chromium
    .launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", headless: true, args: BROWSER_FLAGS })
    .catch((error) => {
      throw new CannotCheck(`the browser did not start: ${error.message}`);
    });
  try {
    await checkAll(browser, site, pages, findings);
  } finally {
    await browser.close();
  }
  const looks = LOOKS.map(({ scheme, width }) => `${scheme} ${width}`).join(", ");
  const checked = `${pages.length} of ${all.length} pages in ${looks}, ${NARROW} and without scripts`;
  return { findings: findings.lines(), checked };
});
