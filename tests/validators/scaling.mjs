// Scaling in the page against the program's own answers, in a real browser: every recipe page, every size that was asked for.
//
//     node scaling.mjs FOLDER ANSWERS      ANSWERS as tests/scaling.rs writes them: [{page, asked, state, answer | refused}]
//
// Each size is asked for through the script; where a `state` is given, also through the address, as a link would, and what then
// stands in the page is compared. CHROMIUM names the browser where it is not /usr/bin/chromium.

import { readFile } from "node:fs/promises";
import { chromium } from "playwright-core";
import { addressOf, CannotCheck, run, serve } from "./site.mjs";

/** First place where two values differ; undefined where they are the same. */
function difference(wanted, got, at = "") {
  if (wanted !== null && typeof wanted === "object") {
    if (got === null || typeof got !== "object") return `${at}: ${JSON.stringify(got)} instead of ${JSON.stringify(wanted)}`;
    if (Array.isArray(wanted) && wanted.length !== got.length) return `${at}: ${got.length} instead of ${wanted.length}`;
    for (const [key, value] of Object.entries(wanted)) {
      const found = difference(value, got[key], `${at}.${key}`);
      if (found) return found;
    }
    return undefined;
  }
  return wanted === got ? undefined : `${at}: ${JSON.stringify(got)} instead of ${JSON.stringify(wanted)}`;
}

/** What each pour of an answer and its parts shows, in the order of the page. */
function pours(answer) {
  const own = answer.pours.map(({ measure, exact }) => [measure.amount, exact.amount].join(" "));
  return [...own, ...answer.preps.flatMap(pours)];
}

async function page(browser, site, file, questions, findings) {
  const tab = await browser.newPage();
  tab.on("pageerror", (error) => findings.push(`${file}: script failed: ${error.message}`));
  await tab.goto(addressOf(site, file));
  // The first touch of the form brings the script and its data.
  await tab.locator("#scale [name=in]").focus();
  await tab.waitForFunction(() => document.getElementById("scale").scale);
  const answers = await tab.evaluate((list) => {
    const place = document.getElementById("scale");
    return list.map(({ asked }) => {
      try {
        return { answer: place.scale(asked) };
      } catch (error) {
        return { refused: error.message };
      }
    });
  }, questions);
  questions.forEach((question, i) => {
    const what = `${file} ${JSON.stringify(question.asked)}`;
    if (question.refused) {
      if (!answers[i].refused) findings.push(`${what}: answered, but the program says: ${question.refused}`);
    } else if (answers[i].refused) findings.push(`${what}: refused: ${answers[i].refused}`);
    else {
      const found = difference(question.answer, answers[i].answer);
      if (found) findings.push(`${what}: ${found}`);
    }
  });
  for (const question of questions.filter((q) => q.state && q.answer)) {
    const got = await tab.evaluate(async (state) => {
      location.hash = "";
      const settled = new Promise((resolve) => addEventListener("hashchange", ({ newURL }) => newURL.endsWith(state) && resolve()));
      location.hash = state;
      await settled;
      const rows = [...document.querySelectorAll(".scaled-spec tbody tr")];
      return {
        pours: rows.map((row) => [...row.querySelectorAll("data")].map((d) => d.value).join(" ")),
        link: document.querySelector("a.scale-link").getAttribute("href"),
        says: document.querySelector("#scale output").textContent,
        ready: document.querySelector('#scale [name="ready"]')?.checked ?? false,
        stock: document.querySelectorAll("#scale .stock").length,
      };
    }, question.state);
    const asked = { ready: question.asked.ready === true, stock: question.asked.haves?.length ?? got.stock };
    const found = difference(pours(question.answer), got.pours) ?? difference(question.state, got.link)
      ?? difference(asked, { ready: got.ready, stock: got.stock });
    if (found) findings.push(`${file}${question.state}: in the page${found} (it says: ${got.says})`);
  }
  await tab.close();
}

await run("scaling", 15, async (folder, [list]) => {
  if (!list) throw new CannotCheck("usage: node scaling.mjs FOLDER ANSWERS");
  const questions = JSON.parse(await readFile(list, "utf8"));
  if (questions.length < 100) throw new CannotCheck(`only ${questions.length} sizes to compare`);
  const pages = Map.groupBy ? Map.groupBy(questions, (q) => q.page) : new Map();
  if (!pages.size) for (const q of questions) pages.set(q.page, [...(pages.get(q.page) ?? []), q]);
  const site = await serve(folder);
  const browser = await chromium
    .launch({
      executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
      headless: true,
      args: ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
    })
    .catch((error) => {
      throw new CannotCheck(`the browser did not start: ${error.message}`);
    });
  const findings = [];
  try {
    for (const [file, list] of pages) await page(browser, site, file, list, findings);
  } finally {
    await browser.close();
  }
  const links = questions.filter((q) => q.state && q.answer).length;
  return { findings, checked: `${questions.length} sizes of ${pages.size} recipes, ${links} of them by link` };
});
