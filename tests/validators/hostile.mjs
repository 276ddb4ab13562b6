// A site made of words that try to break it: nothing in them runs or leaves the site, nothing is wider than a phone of 320 pixels or
// a desk of 1440, no letter is cut off, and each page still has its parts.
//
//     node hostile.mjs FOLDER

import { chromium } from "playwright-core";
import { addressOf, CannotCheck, filesOf, run, serve } from "./site.mjs";

const WIDTHS = [320, 1440];
const FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update", "--disable-sync", "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"];

/** What is wrong with the page as it stands, at its present width. */
function look() {
  const faults = [];
  const width = document.documentElement.clientWidth;
  const name = (e) => e.tagName.toLowerCase() + (e.id ? `#${e.id}` : [...e.classList].map((c) => `.${c}`).join(""));
  if (self.ran) faults.push("something ran");
  if (document.querySelectorAll("main").length !== 1 || document.querySelectorAll("h1").length !== 1) faults.push("its parts are broken");
  const scrolls = (e) => ["auto", "scroll", "hidden", "clip"].includes(getComputedStyle(e).overflowX);
  const held = (element) => {
    for (let e = element.parentElement; e && e !== document.body; e = e.parentElement) if (scrolls(e)) return true;
    return false;
  };
  if (document.documentElement.scrollWidth > width) {
    const out = [...document.body.querySelectorAll("*")].filter((e) => e.getBoundingClientRect().right > width + 1 && !held(e));
    faults.push(`${document.documentElement.scrollWidth} px wide: ${out.slice(0, 3).map(name).join(", ")}`);
  }
  // Text that runs out of its own box lies over its neighbours.
  for (const e of document.body.querySelectorAll("*")) {
    if (!e.checkVisibility() || e.closest("svg, .vh, pre, option, select") || scrolls(e)) continue;
    const own = [...e.childNodes].some((n) => n.nodeType === 3 && n.data.trim());
    const box = getComputedStyle(e).display;
    if (own && box !== "inline" && box !== "contents" && e.scrollWidth > e.clientWidth + 2 && e.clientWidth > 0) {
      faults.push(`text runs out of ${name(e)} by ${e.scrollWidth - e.clientWidth} px`);
    }
  }
  return [...new Set(faults)].slice(0, 5);
}

await run("hostile", 10, async (folder) => {
  const pages = await filesOf(folder, ".html");
  if (pages.length === 0) throw new CannotCheck(`no page in ${folder}`);
  const site = await serve(folder);
  const browser = await chromium
    .launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", headless: true, args: FLAGS })
    .catch((error) => {
      throw new CannotCheck(`the browser did not start: ${error.message}`);
    });
  const findings = new Map();
  const add = (what, page) => findings.set(what, [...(findings.get(what) ?? []), page]);
  try {
    const context = await browser.newContext({ serviceWorkers: "block", reducedMotion: "reduce" });
    const page = await context.newPage();
    let file = "";
    page.on("dialog", (dialog) => {
      add("opened a dialog", file);
      dialog.dismiss();
    });
    page.on("pageerror", (error) => add(`script failed: ${error.message}`, file));
    page.on("request", (request) => {
      const { protocol, origin } = new URL(request.url());
      if (origin !== site.origin && !["data:", "blob:", "about:"].includes(protocol)) add(`leaves the site: ${request.url()}`, file);
    });
    for (file of pages) {
      await page.goto(addressOf(site, file), { waitUntil: "load", timeout: 20_000 });
      for (const width of WIDTHS) {
        await page.setViewportSize({ width, height: 800 });
        for (const fault of await page.evaluate(look)) add(`[${width}] ${fault}`, file);
      }
      // Words that a script takes up are text there too.
      const box = page.locator("#quick-q, #find-q").first();
      if (await box.count()) {
        await box.fill("gin");
        for (const fault of await page.evaluate(look)) add(`[search] ${fault}`, file);
      }
      const work = page.locator("#work");
      if (await work.count()) {
        await work.click();
        await page.locator("dialog[open]").waitFor();
        for (let i = 0; i < 3; i += 1) {
          await page.locator("dialog .next").click();
          for (const fault of await page.evaluate(look)) add(`[work] ${fault}`, file);
          if (!(await page.locator("dialog").isVisible())) break;
        }
      }
    }
  } finally {
    await browser.close();
  }
  const lines = [...findings].map(([what, where]) => {
    const all = [...new Set(where)];
    return `${all[0]}${all.length > 1 ? ` and ${all.length - 1} more` : ""}  ${what}`;
  });
  return { findings: lines.sort(), checked: `${pages.length} pages at ${WIDTHS.join(" and ")} pixels` };
});
