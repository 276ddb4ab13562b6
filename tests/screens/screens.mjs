// Takes the pictures of the README from a pressed site, for a phone and a desk, in light and dark.
//
//     node tests/screens/screens.mjs [FOLDER]      without a folder, of the demo's site/

import { createRequire } from "node:module";
import path from "node:path";
import { pathToFileURL } from "node:url";

const HERE = import.meta.dirname;
const { chromium } = createRequire(path.join(HERE, "../validators/package.json"))("playwright-core");
const SITE = pathToFileURL(path.resolve(process.argv[2] ?? path.join(HERE, "../../site")) + path.sep).href;
const PHONE = { width: 360, height: 720 };
const DESK = { width: 1120, height: 720 };
const RECIPE = "recipes/lock-keepers-lantern.html";

const SCREENS = [
  ["recipe-phone-dark", RECIPE, PHONE, "dark", async () => undefined],
  ["recipe-desk-light", RECIPE, DESK, "light", async () => undefined],
  ["work-phone-light", RECIPE, PHONE, "light", async (page) => {
    await page.locator("#work").click();
    for (let i = 0; i < 6; i += 1) await page.locator(".work .next").click();
    await page.locator(".clocks button").first().click();
  }],
  ["find-phone-light", "find.html#without=milk&below=20", PHONE, "light", async (page) => {
    await page.locator("details.more-asks").evaluate((fold) => { fold.open = false; });
    await page.locator("#find-q").fill("quinze");
  }],
  ["prep-desk-dark", "prep-map.html", DESK, "dark", async () => undefined],
];

const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", headless: true, args: ["--no-sandbox", "--disable-gpu"] });
for (const [name, file, viewport, colorScheme, act] of SCREENS) {
  const context = await browser.newContext({ viewport, colorScheme, reducedMotion: "reduce", serviceWorkers: "block" });
  const page = await context.newPage();
  await page.goto(SITE + file, { waitUntil: "load" });
  await act(page);
  await page.waitForTimeout(200);
  await page.screenshot({ path: path.join(HERE, `${name}.png`) });
  await context.close();
}
await browser.close();
