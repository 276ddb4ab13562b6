// The demo's site in a real browser: what a reader does with it. Each check is a function of a site's folder, so that the end of this
// file can prove on spoilt copies that it notices.
//
//     node --test browser.mjs            SITE names another folder than the repository's site/

import assert from "node:assert/strict";
import { randomBytes } from "node:crypto";
import { cp, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { pathToFileURL } from "node:url";
import { gzipSync } from "node:zlib";
import { after, before, test } from "node:test";
import { chromium } from "playwright-core";
import { filesOf, serve } from "./site.mjs";

const SITE = path.resolve(process.env.SITE ?? path.join(import.meta.dirname, "../../site"));
const RECIPE = "recipes/lock-keepers-lantern.html";
const PHONE = { width: 390, height: 844 };
// What a recipe's page may cost, for every recipe, without pictures. Counted are the page and every style sheet and script that it asks for
// when it is opened, not what is fetched only when somebody scales or works through. `sent`: each file compressed as a server does
// (gzip, level 6), summed. `page`: the HTML alone as it lies on the disk, its drawings and structured data included. `lying`: all of them
// as they lie on the disk, which is what a server that does not compress sends, or a plain folder.
const MOST = { sent: 25_000, page: 60_000, lying: 85_000 };
// How many requests a page makes until it has been read to its end, pictures included.
const MOST_REQUESTS = 5;
const PICTURE = /\.(jpe?g|png|webp|gif|svg)(\?|$)/;

let browser;
before(async () => {
  const args = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update", "--disable-sync", "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"];
  browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", headless: true, args });
});
after(() => browser.close());

/** Opens a page of a site and hands it over; whatever goes wrong in its scripts fails the check. */
async function open(site, file, use, settings = {}) {
  const context = await browser.newContext({ viewport: PHONE, reducedMotion: "reduce", serviceWorkers: "block", ...settings });
  const page = await context.newPage();
  page.setDefaultTimeout(10_000);
  const faults = [];
  page.on("pageerror", (error) => faults.push(error.message));
  try {
    await page.goto(site + file);
    await use(page, context);
    assert.deepEqual(faults, []);
  } finally {
    await context.close();
  }
}

const served = async (folder) => (await serve(folder)).url;
const plain = (folder) => pathToFileURL(folder + path.sep).href;
const names = (page, list) => page.locator(`${list} .title`).allInnerTexts();

// ---- What a reader does ----

async function quickFind(folder) {
  // From a plain folder, as from a server.
  for (const site of [await served(folder), plain(folder)]) {
    await open(site, "index.html", async (page) => {
      const box = page.getByRole("searchbox");
      await box.fill("lantren"); // two letters swapped
      assert.equal((await names(page, "#quick-found"))[0], "Lock-keeper's Lantern");
      await box.fill("quinc");
      assert.ok((await names(page, "#quick-found")).includes("quince cordial"));
      await box.fill("lockkeeper"); // without its hyphen
      assert.equal((await names(page, "#quick-found"))[0], "Lock-keeper's Lantern");
      await box.fill("gin lemon"); // whole words before the beginnings of others: gin before ginger
      assert.notEqual((await names(page, "#quick-found"))[0], "ginger syrup");
      await box.fill("xyzzyx");
      assert.equal(await page.locator("#quick-found li").count(), 0);
      assert.notEqual(await page.locator("#quick [role=status]").innerText(), "");
      await box.fill("lantern lock-keeper");
      await box.press("Enter");
      await page.waitForURL(/lock-keepers-lantern\.html/);
    });
  }
}

async function filters(folder) {
  const index = JSON.parse((await readFile(path.join(folder, "index.js"), "utf8")).replace(/^self\.costrelIndex = |;\s*$/g, ""));
  const expected = (test) => index.recipes.filter(test).map((r) => r.name).sort();
  for (const site of [await served(folder), plain(folder)]) {
    await open(site, "find.html", async (page) => {
      const shown = async () => (await names(page, "#found")).sort();
      assert.equal((await shown()).length, index.recipes.length);
      await page.getByText("Filters").click();
      await page.locator("[name=without][value=milk]").setChecked(true, { force: true });
      assert.deepEqual(await shown(), expected((r) => !r.unsure && !r.contains.includes("milk")));
      await page.locator("[name=below]").fill("10");
      assert.deepEqual(await shown(), expected((r) => !r.unsure && !r.contains.includes("milk") && r.abv !== null && r.abv < 10));
      // What is set is counted where it may be folded away.
      assert.match(await page.locator(".more-asks summary").innerText(), /\(2\)/);
      // The address holds the filters: a copy of it shows the same.
      const kept = await shown();
      const address = page.url();
      assert.match(address, /#.*without=milk/);
      await page.goto("about:blank");
      await page.goto(address);
      assert.deepEqual(await shown(), kept);
      await page.getByRole("button", { name: "Clear all" }).click();
      await page.waitForFunction((n) => document.querySelectorAll("#found > li").length === n, index.recipes.length);
      // What can we make with what is open?
      const drink = index.recipes.find((r) => r.kind === "drink" && r.needs.length === 3);
      for (const need of drink.needs) {
        await page.getByRole("combobox", { name: "What is open or made" }).fill(index.things[need].name);
        await page.keyboard.press("Enter");
      }
      assert.equal((await names(page, "#found")).includes(drink.name), true);
      assert.equal(await page.locator("#found > li", { hasText: drink.name }).locator(".missing").count(), 0);
    });
  }
}

async function units(folder) {
  await open(await served(folder), RECIPE, async (page) => {
    const amounts = async (view) => (await page.locator(`.spec .view-${view} .n`).allInnerTexts()).filter(Boolean).length;
    const shown = (view) => page.locator(`.spec .view-${view} .n`).first().isVisible();
    assert.ok((await shown(1)) && !(await shown(2)));
    await page.getByText("oz", { exact: true }).first().click();
    assert.ok(!(await shown(1)) && (await shown(2)));
    await page.getByText("both", { exact: true }).click();
    assert.ok((await shown(1)) && (await shown(2)));
    assert.equal(await amounts(1), await amounts(2));
    // Decimal points stand under each other: whole digits end at one place, within what tabular digits round to.
    const ends = await page.locator(".spec .view-1 .n data").evaluateAll((list) => list.map((data) => {
      const range = document.createRange();
      range.setStart(data.firstChild, 0);
      range.setEnd(data.firstChild, data.textContent.split(".")[0].length);
      return range.getBoundingClientRect().right;
    }));
    assert.ok(ends.length > 4 && Math.max(...ends) - Math.min(...ends) < 1.5, ends.join(" "));
  });
}

async function workThrough(folder) {
  for (const site of [await served(folder), plain(folder)]) {
    await open(site, RECIPE, async (page) => {
      await page.clock.install();
      const opener = page.getByRole("button", { name: "Work through" });
      await opener.focus();
      await page.keyboard.press("Enter");
      const dialog = page.getByRole("dialog");
      await dialog.waitFor();
      const steps = await page.locator(".steps > li").count();
      assert.match(await dialog.innerText(), /gin/);
      await page.keyboard.press("ArrowRight");
      assert.match(await dialog.locator(".place").innerText(), new RegExp(`1 of ${steps}`));
      // The first step says four minutes: its timer rings then and not before.
      await dialog.locator(".clocks button").first().click();
      await page.clock.runFor(3 * 60_000);
      assert.match(await dialog.locator(".clocks").innerText(), /1:0\d|0:5\d/);
      assert.equal(await dialog.locator(".told").textContent(), "");
      await dialog.getByRole("button", { name: "Next" }).click();
      await page.clock.runFor(61_000);
      assert.match(await dialog.locator(".told").textContent(), /four minutes/);
      assert.match(await dialog.locator(".clocks").innerText(), /1\. four minutes/);
      // The text is large, and the buttons can be hit with a wet hand.
      const size = await dialog.locator(".now").evaluate((now) => parseFloat(getComputedStyle(now).fontSize));
      assert.ok(size >= 24, `${size} px`);
      const box = await dialog.getByRole("button", { name: "Next" }).boundingBox();
      assert.ok(box.height >= 44 && box.width >= 44);
      await page.keyboard.press("Escape");
      assert.equal(await dialog.isVisible(), false);
      assert.equal(await opener.evaluate((button) => button === document.activeElement), true);
    });
  }
}

async function workThroughWhatWasScaled(folder) {
  // Steps tell scaled amounts, so what is set out is scaled too.
  await open(await served(folder), `${RECIPE}#scale?by=serves&serves=32&in=ml`, async (page) => {
    const table = page.locator(".scaled-spec table").first();
    await table.waitFor();
    await page.getByRole("button", { name: "Work through" }).click();
    const shown = page.getByRole("dialog").locator(".now table").first();
    assert.equal(await shown.innerText(), await table.innerText());
    await page.getByRole("button", { name: "Next" }).click();
    assert.equal(await page.getByRole("dialog").locator(".now table").count(), 0);
  });
}

async function keepsAwake(folder) {
  await open(await served(folder), RECIPE, async (page) => {
    await page.evaluate(() => {
      self.asked = [];
      const lock = new EventTarget();
      lock.release = async () => self.asked.push("release");
      Object.defineProperty(navigator, "wakeLock", { value: { request: async (kind) => (self.asked.push(kind), lock) } });
    });
    await page.getByRole("button", { name: "Work through" }).click();
    await page.locator(".awake:not([hidden])").waitFor();
    await page.getByRole("button", { name: "Close" }).click();
    assert.deepEqual(await page.evaluate(() => self.asked), ["screen", "release"]);
  });
}

async function offline(folder) {
  const copy = await mkdtemp(path.join(tmpdir(), "edition-"));
  await cp(folder, copy, { recursive: true });
  const site = await served(copy);
  const pages = (await filesOf(copy, ".html")).filter((page) => page !== "404.html");
  const use = async (page, context) => {
    // One visit, then the signal goes.
    await page.locator("#kept:not([hidden])").waitFor({ timeout: 20_000, state: "attached" });
    await page.waitForFunction(() => navigator.serviceWorker.ready.then((r) => r.active?.state === "activated"));
    await page.reload();
    await context.setOffline(true);
    for (const file of [...pages.filter((_, i) => i % 12 === 0), "find.html", RECIPE]) {
      const response = await page.goto(site + file);
      assert.equal(response.status(), 200, file);
      assert.notEqual((await page.locator("h1").innerText()).trim(), "", file);
      const dressed = await page.evaluate(() => getComputedStyle(document.body).backgroundColor !== "rgba(0, 0, 0, 0)");
      assert.ok(dressed, `${file} has no style`);
    }
    await page.goto(`${site}recipes/no-such-page.html`);
    assert.match(page.url(), /404\.html$/);
    await page.goto(site + "find.html#q=quince");
    assert.ok((await page.locator("#found > li").count()) > 0);
    // A newer edition is offered and taken when the reader says so.
    await context.setOffline(false);
    const old = await readFile(path.join(copy, RECIPE), "utf8");
    await writeFile(path.join(copy, RECIPE), old.replace("</h1>", " renewed</h1>"));
    const worker = await readFile(path.join(copy, "sw.js"), "utf8");
    const entry = new RegExp(`(\\["${RECIPE}",")[0-9a-f]+`);
    assert.match(worker, entry);
    await writeFile(path.join(copy, "sw.js"), worker.replace(entry, "$100000000"));
    await page.goto(site + RECIPE);
    await page.evaluate(() => navigator.serviceWorker.getRegistration().then((r) => r.update()));
    const notice = page.locator("#newer:not([hidden]) button");
    await notice.waitFor({ timeout: 30_000 });
    assert.doesNotMatch(await page.locator("h1").innerText(), /renewed/, "an edition changed under its reader");
    await notice.click();
    await page.locator("h1", { hasText: "renewed" }).waitFor({ timeout: 30_000 });
  };
  try {
    await open(site, "index.html", use, { serviceWorkers: "allow" });
  } finally {
    await rm(copy, { recursive: true });
  }
}

async function nothingFromAPlainFolder(folder) {
  await open(plain(folder), "index.html", async (page) => {
    const workers = await page.evaluate(() => navigator.serviceWorker?.getRegistrations?.().then((r) => r.length).catch(() => 0));
    assert.equal(workers ?? 0, 0);
    assert.equal(await page.locator("#kept").isVisible(), false);
  });
}

async function keyboardTour(folder) {
  await open(await served(folder), RECIPE, async (page) => {
    await page.keyboard.press("Tab");
    assert.equal(await page.evaluate(() => document.activeElement.className), "skip");
    await page.keyboard.press("Enter");
    assert.equal(await page.evaluate(() => document.activeElement.id), "main");
    const seen = new Set();
    for (let i = 0; i < 200; i += 1) {
      await page.keyboard.press("Tab");
      const now = await page.evaluate(() => {
        const element = document.activeElement;
        if (element === document.body) return null;
        const shown = element.matches(".vh") ? element.nextElementSibling ?? element : element;
        const style = getComputedStyle(shown);
        const box = shown.getBoundingClientRect();
        const name = element.getAttribute("aria-label") || element.innerText || element.labels?.[0]?.innerText || element.getAttribute("aria-labelledby");
        return { name, ring: style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2, visible: box.width > 0 && box.bottom > 0 && box.top < innerHeight, html: element.outerHTML.slice(0, 90) };
      });
      if (now === null) break;
      assert.ok(now.name, `no name: ${now.html}`);
      assert.ok(now.ring, `no focus ring: ${now.html}`);
      assert.ok(now.visible, `out of sight: ${now.html}`);
      seen.add(now.html);
    }
    assert.ok(seen.size > 25, `only ${seen.size} stops`);
    // A figure opens by key and says where it comes from.
    const figure = page.locator(".numbers summary.pair").first();
    await figure.focus();
    await page.keyboard.press("Enter");
    assert.ok(await page.locator(".numbers .why").first().isVisible());
  });
}

async function printed(folder) {
  await open(await served(folder), RECIPE, async (page) => {
    await page.emulateMedia({ media: "print" });
    for (const hidden of [".top", ".tip", ".bottom", ".handles", "#newer", ".skip"]) {
      for (const element of await page.locator(hidden).all()) assert.equal(await element.isVisible(), false, hidden);
    }
    assert.ok(await page.locator(".spec .pours").first().isVisible());
    const pdf = await page.pdf({ preferCSSPageSize: true });
    const pages = pdf.toString("latin1").match(/\/Type\s*\/Page\b/g).length;
    assert.ok(pages >= 1 && pages <= 6, `${pages} pages`);
    assert.match(pdf.toString("latin1"), /MediaBox \[0 0 59[45][.\d]* 84[12]/);
  });
}

async function light(folder) {
  const site = await served(folder);
  for (const file of (await filesOf(folder, ".html")).filter((f) => f.startsWith("recipes/"))) {
    const html = await readFile(path.join(folder, file));
    const parts = [...html.toString().matchAll(/(?:<script src|rel="stylesheet" href)="\.\.\/([^"?]+)/g)].map((m) => m[1]);
    assert.ok(parts.includes("site.css") && parts.includes("site.js"), parts.join());
    const files = [html, ...(await Promise.all(parts.map((part) => readFile(path.join(folder, part)))))];
    const sum = (size) => files.reduce((all, bytes) => all + size(bytes), 0);
    const weighs = { sent: sum((b) => gzipSync(b, { level: 6 }).length), page: html.length, lying: sum((b) => b.length) };
    for (const [what, most] of Object.entries(MOST)) assert.ok(weighs[what] <= most, `${file}: ${what} ${weighs[what]} bytes`);
  }
  const context = await browser.newContext({ viewport: PHONE, serviceWorkers: "block" });
  const page = await context.newPage();
  const asked = [];
  page.on("request", (request) => asked.push(request.url()));
  await page.addInitScript(() => {
    self.shift = 0;
    new PerformanceObserver((list) => {
      for (const entry of list.getEntries()) if (!entry.hadRecentInput) self.shift += entry.value;
    }).observe({ type: "layout-shift", buffered: true });
  });
  await page.goto(site + RECIPE, { waitUntil: "networkidle" });
  await page.evaluate(async () => {
    for (let y = 0; y < document.body.scrollHeight; y += 400) {
      scrollTo(0, y);
      await new Promise((resolve) => setTimeout(resolve, 30));
    }
  });
  assert.equal(await page.evaluate(() => self.shift), 0, "the layout shifted");
  assert.ok(asked.length <= MOST_REQUESTS, asked.join("\n"));
  assert.ok(asked.every((url) => url.startsWith(site)), asked.join("\n"));
  await context.close();
}

async function scalesAtFirstTouch(folder) {
  // Neither the script nor its data is asked for until somebody scales; then both come, from a plain folder too.
  for (const site of [await served(folder), plain(folder)]) {
    const scripts = async (page) => (await page.evaluate(() => performance.getEntriesByType("resource").map((r) => r.name))).filter((n) => /scale\.js/.test(n)).length;
    const added = (page) => page.locator("script[src*='scale.js']").count();
    await open(site, RECIPE, async (page) => {
      assert.equal(await added(page), 0);
      assert.equal(await scripts(page), 0);
      // Who types faster than they come is answered all the same.
      if (site.startsWith("http")) {
        await page.route(/scale\.js/, async (route) => {
          await new Promise((resolve) => setTimeout(resolve, 300));
          await route.continue();
        });
      }
      const asked = page.locator("#scale [name=serves]");
      await asked.fill("16");
      await asked.press("Enter");
      await page.locator(".scaled-spec tbody tr").first().waitFor();
      assert.equal(await added(page), 2);
      assert.match(await page.locator("#scale output").innerText(), /16 serves/);
    });
    // A link to a size needs no touch.
    await open(site, `${RECIPE}#scale?by=serves&serves=32&in=ml`, async (page) => {
      await page.locator(".scaled-spec tbody tr").first().waitFor();
      assert.match(await page.locator("#scale output").innerText(), /32 serves/);
    });
  }
}

async function paintedWithoutScripts(folder) {
  // Scripts that never come must not keep the text back.
  const context = await browser.newContext({ viewport: PHONE, serviceWorkers: "block" });
  const page = await context.newPage();
  await page.route(/\.js(\?|$)/, () => undefined);
  await page.goto((await served(folder)) + RECIPE, { waitUntil: "commit" });
  await page.locator(".spec .pours li").first().waitFor({ timeout: 5000 });
  await page.waitForFunction(() => performance.getEntriesByName("first-contentful-paint").length > 0, null, { timeout: 5000, polling: 100 });
  await context.close();
}

async function policy(folder) {
  const pages = await filesOf(folder, ".html");
  for (const file of pages) {
    const html = await readFile(path.join(folder, file), "utf8");
    const said = html.match(/http-equiv="Content-Security-Policy" content="([^"]+)"/)?.[1] ?? "";
    assert.match(said, /default-src 'none'/, file);
    assert.doesNotMatch(said, /unsafe|\*|https?:/, file);
    for (const [tag] of html.matchAll(/<script\b[^>]*>/g)) assert.match(tag, /src=|type="application\/(ld\+)?json"/, `${file}: ${tag}`);
    assert.doesNotMatch(html, /<style\b|\sstyle="|\son[a-z]+="|javascript:/i, file);
  }
  // What somebody smuggles in does not run.
  await open(await served(folder), "index.html", async (page) => {
    const ran = await page.evaluate(async () => {
      const script = document.createElement("script");
      script.textContent = "self.ran = true";
      document.head.append(script);
      const image = document.createElement("img");
      image.setAttribute("onerror", "self.ran = true");
      image.src = "data:,";
      document.body.append(image);
      await new Promise((resolve) => setTimeout(resolve, 200));
      return Boolean(self.ran);
    });
    assert.equal(ran, false);
  });
}

async function contrast(folder) {
  // 7:1 for text on its ground, by WCAG's luminance, in both schemes: the pairs of colours that the style sheet uses.
  for (const colorScheme of ["light", "dark"]) {
    await open(await served(folder), RECIPE, async (page) => {
      const low = await page.evaluate(() => {
        const lin = (v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
        const lum = (c) => c.reduce((sum, v, i) => sum + [0.2126, 0.7152, 0.0722][i] * lin(v / 255), 0);
        const read = (text) => text.match(/[\d.]+/g).map(Number);
        const ground = (element) => {
          for (let e = element; e; e = e.parentElement) {
            const c = read(getComputedStyle(e).backgroundColor);
            if (c.length < 4 || c[3] > 0) return c.slice(0, 3);
          }
          return [255, 255, 255];
        };
        const faults = [];
        for (const element of document.querySelectorAll("body *")) {
          const own = [...element.childNodes].some((n) => n.nodeType === 3 && n.data.trim());
          if (!own || !element.checkVisibility() || element.closest("svg, :disabled")) continue;
          const [a, b] = [lum(read(getComputedStyle(element).color).slice(0, 3)), lum(ground(element))].sort((x, y) => y - x);
          const ratio = (a + 0.05) / (b + 0.05);
          if (ratio < 7) faults.push(`${ratio.toFixed(2)} ${element.tagName}.${element.className}: ${element.innerText.slice(0, 30)}`);
        }
        return faults;
      });
      assert.deepEqual(low, []);
    }, { colorScheme });
  }
}

async function targets(folder) {
  // 44 by 44 CSS pixels for what stands alone (WCAG 2.2, 2.5.5); words in a sentence are excepted there.
  for (const file of ["index.html", "find.html", RECIPE, "allergens.html"]) {
    await open(await served(folder), file, async (page) => {
      const small = await page.evaluate(() => {
        const faults = [];
        for (const element of document.querySelectorAll("button, summary, select, input:not(.vh), .beam a, .bottom a, .title a, .views label, .chips span, .crumb a")) {
          if (!element.checkVisibility() || element.closest("dialog")) continue;
          const box = element.getBoundingClientRect();
          if (box.height < 43.5) faults.push(`${Math.round(box.width)}×${Math.round(box.height)} ${element.outerHTML.slice(0, 80)}`);
        }
        return faults;
      });
      assert.deepEqual(small, []);
    });
  }
}

async function map(folder) {
  await open(await served(folder), "balance-map.html", async (page) => {
    const said = page.locator(".pointed");
    const idle = await said.innerText();
    const mark = page.locator(".is-narrow [data-point]").first();
    const box = await mark.boundingBox();
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
    assert.notEqual(await said.innerText(), idle);
    // By key: the row's link lights its mark.
    await page.mouse.move(0, 0);
    const row = page.locator("tr[data-point]").nth(2);
    await row.locator("a").focus();
    assert.ok((await said.innerText()).startsWith(await row.locator("a").innerText()));
    assert.equal(await page.locator(".is-narrow .point.is-lit").count(), 1);
    // No two families have one mark, and a chosen family stands alone.
    const keys = await page.locator(".key use").evaluateAll((list) => list.map((u) => u.getAttribute("class") + u.getAttribute("href")));
    assert.equal(new Set(keys).size, keys.length);
    const entry = page.locator(".key [data-families]").first();
    await entry.getByRole("button").click();
    const family = await entry.getAttribute("data-families");
    const left = await page.locator(".is-narrow .point:not(.is-aside)").evaluateAll((list) => list.map((m) => m.dataset.family));
    assert.ok(left.length > 0 && left.every((f) => f === family), left.join());
    await entry.getByRole("button").click();
    assert.equal(await page.locator(".is-aside").count(), 0);
    // Words are legible on a small phone: as large as the smallest of the page.
    await page.setViewportSize({ width: 320, height: 640 });
    const words = await page.locator(".is-narrow text").evaluateAll((list) => list.map((t) => parseFloat(getComputedStyle(t).fontSize) * t.getScreenCTM().a));
    assert.ok(Math.min(...words) >= 12, `${Math.min(...words)} px`);
  });
}

async function matrix(folder) {
  await open(await served(folder), "allergens.html", async (page) => {
    const rows = page.locator("#t-matrix-table tbody tr");
    const all = await rows.count();
    await page.locator(".sieve input").first().setChecked(true, { force: true });
    const left = await rows.evaluateAll((list) => list.filter((r) => !r.hidden).length);
    assert.ok(left > 0 && left < all);
    // On a phone nothing that a drink holds runs out of sight: each word of its row stands within the screen.
    const out = await page.locator("#t-matrix-table .holds").evaluateAll((list) => list.filter((cell) => cell.checkVisibility() && cell.getBoundingClientRect().right > innerWidth).length);
    const told = await page.locator("#t-matrix-table .holds:visible").count();
    assert.ok(told > all && out === 0, `${out} of ${told} out of sight`);
    const value = await page.locator(".sieve input").first().inputValue();
    const kept = await rows.evaluateAll((list) => list.filter((r) => !r.hidden).map((r) => r.dataset.has));
    assert.ok(kept.every((has) => !has.split(" ").includes(value)));
  });
}

async function scaledProse(folder) {
  const site = await served(folder);
  const amounts = /<data class="amount"/;
  let followed = 0;
  for (const file of (await filesOf(folder, ".html")).filter((f) => f.startsWith("recipes/"))) {
    if (!amounts.test(await readFile(path.join(folder, file), "utf8"))) continue;
    await open(site, file, async (page) => {
      const spoken = page.locator("main data.amount");
      const before = await spoken.allTextContents();
      const values = await spoken.evaluateAll((list) => list.map((data) => Number(data.value)));
      // What is said behind the number stays: the unit, or the rest of a sentence that the value carries.
      const behind = (text) => text.replace(/^[^\p{L}]*/u, "");
      for (const size of ["by=volume&makes=3210&unit=ml", "by=volume&makes=55&unit=ml"]) {
        await page.evaluate((hash) => { location.hash = hash; }, `#scale?${size}&in=ml`);
        // Who opens a link to a size has it from the start; the next one follows without loading anything.
        if (!(await page.locator(".is-scaled").count())) await page.reload();
        await page.waitForFunction((wanted) => location.hash.includes(wanted) && document.querySelector(".is-scaled"), size.split("&")[1]);
        const factor = Number(await page.locator(".scaled-spec").getAttribute("data-factor"));
        assert.ok(factor > 0 && factor !== 1, `${file}: ${size}`);
        const after = await spoken.allTextContents();
        for (const [i, text] of after.entries()) {
          const wanted = values[i] * factor;
          const places = wanted < 10 ? 2 : wanted < 100 ? 1 : 0;
          const told = Number(text.match(/^[\d.]+/)?.[0]);
          assert.ok(Math.abs(told - wanted) <= 0.501 * 10 ** -places, `${file}: ${before[i]} × ${factor} is told as ${text}`);
          assert.equal(behind(text), behind(before[i]), file);
          followed += 1;
        }
      }
      // A size that cannot be leaves the words as they were written.
      await page.evaluate(() => { location.hash = "#scale?by=volume&makes=0&unit=ml&in=ml"; });
      await page.waitForFunction(() => !document.querySelector(".is-scaled"));
      assert.deepEqual(await spoken.allTextContents(), before, file);
    });
  }
  assert.ok(followed >= 12, `only ${followed} amounts stand in prose`);
}

const CHECKS = { quickFind, filters, units, workThrough, workThroughWhatWasScaled, keepsAwake, offline, nothingFromAPlainFolder, keyboardTour, printed, light, scalesAtFirstTouch, paintedWithoutScripts, policy, contrast, targets, map, matrix, scaledProse };
for (const [name, check] of Object.entries(CHECKS)) test(name, { timeout: 180_000 }, () => check(SITE));

// ---- The checks notice ----

const SPOILT = {
  quickFind: ["find.js", (text) => text.replace("const whole = slips", "return 0; const whole = slips")],
  filters: ["find.js", (text) => text.replace("recipe.unsure ||", "false &&")],
  units: [RECIPE, (text) => text.replace(/data-pad="[^"]+"/g, 'data-pad=""')],
  workThrough: ["work.js", (text) => text.replace("seconds * 1000", "seconds * 500")],
  workThroughWhatWasScaled: ["work.js", (text) => text.replace("scaled || steps", "steps")],
  keepsAwake: ["work.js", (text) => text.replace("lock.release()", "lock")],
  offline: ["sw.js", (text) => text.replace("await shelf.put(key(path), response);", "")],
  keyboardTour: ["site.css", (text) => text + "\n:focus-visible{outline:none!important}"],
  printed: ["site.css", (text) => text.replace("@media print", "@media speech")],
  light: [RECIPE, (text) => text.replace("</body>", `<!--${randomBytes(60_000).toString("base64")}--></body>`)],
  scalesAtFirstTouch: ["site.js", (text) => text.replace("form.requestSubmit()", "undefined")],
  paintedWithoutScripts: [RECIPE, (text) => text.replaceAll(" defer>", ">")],
  policy: ["index.html", (text) => text.replace("script-src 'self'", "script-src 'self' 'unsafe-inline'")],
  contrast: ["site.css", (text) => text + "\n.one-line{color:#777!important}"],
  targets: ["site.css", (text) => text + "\n.beam a,.beam{min-height:0!important;height:1.5rem!important}"],
  map: ["lists.js", (text) => text.replace('row.addEventListener("focusin"', 'row.addEventListener("nothing"')],
  scaledProse: ["scale.js", (text) => text.replace("follow(answer.factor);", "follow(null);")],
  matrix: ["lists.js", (text) => text.replace("row.hidden = ", "row.other = ")],
};

for (const [name, [file, spoil]] of Object.entries(SPOILT)) {
  test(`${name} notices`, { timeout: 180_000 }, async () => {
    const copy = await mkdtemp(path.join(tmpdir(), "spoilt-"));
    try {
      await cp(SITE, copy, { recursive: true });
      const text = await readFile(path.join(copy, file), "utf8");
      assert.ok(spoil(text) !== text, "the sample is not spoilt");
      await writeFile(path.join(copy, file), spoil(text));
      await assert.rejects(CHECKS[name](copy));
    } finally {
      await rm(copy, { recursive: true });
    }
  });
}
