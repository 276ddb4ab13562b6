// Every link, picture and style sheet address of a site leads to a file, by linkinator, and every fragment to an element of
// that page. Links that leave the site are not followed: the tests run without a network.
//
//     node links.mjs FOLDER

import { readFile } from "node:fs/promises";
import path from "node:path";
import { Parser } from "htmlparser2";
import { LinkChecker } from "linkinator";
import { addressOf, CannotCheck, filesOf, run, serve } from "./site.mjs";

const inside = (site, address) => address.startsWith(`${site.origin}/`);
const shown = (site, address = "") => address.replace(site.url, "").replace(site.origin, "") || "index.html";

/** What linkinator finds from some starts; style sheets are read for their addresses too. */
async function crawl(site, starts, recurse) {
  if (starts.length === 0) return [];
  const { links } = await new LinkChecker().check({
    path: starts,
    recurse,
    linksToSkip: async (link) => !inside(site, link),
    checkCss: true,
    concurrency: 20,
    timeout: 20_000,
  });
  return links;
}

/** The ids of a page and the fragments that it links to. */
function read(html, address) {
  const ids = new Set(["", "top"]); // both mean the top of any page
  const fragments = [];
  const parser = new Parser({
    onopentag(tag, attributes) {
      if (attributes.id) ids.add(attributes.id);
      if (tag === "a" && attributes.name) ids.add(attributes.name);
      const link = attributes.href ?? attributes["xlink:href"];
      if (link?.includes("#") && URL.canParse(link, address)) fragments.push(new URL(link, address));
    },
  });
  parser.end(html);
  return { ids, fragments };
}

/** Fragments without an element. linkinator has this check too, but misses those of pages that it has already left. */
async function lostFragments(site, folder, pages) {
  const all = new Map();
  for (const page of pages) {
    const address = addressOf(site, page);
    all.set(address, read(await readFile(path.join(folder, page), "utf8"), address));
  }
  const findings = [];
  for (const [address, { fragments }] of all) {
    for (const link of fragments) {
      const target = link.origin + link.pathname + (link.pathname.endsWith("/") ? "index.html" : "");
      // A page that is not there is linkinator's finding.
      if (all.get(target)?.ids.has(decodeURIComponent(link.hash.slice(1))) === false) {
        findings.push(`${shown(site, address)}  leads to ${shown(site, link.href)}, but that page has no such id`);
      }
    }
  }
  return findings;
}

await run("links", 10, async (folder) => {
  const pages = await filesOf(folder, ".html");
  if (!pages.includes("index.html")) throw new CannotCheck(`no front page in ${folder}`);
  const site = await serve(folder);
  const links = await crawl(site, [site.url], true);
  // What nothing leads to is looked at by itself, and said.
  const reached = new Set(links.map((link) => link.url.replace(/#.*/, "").replace(/\/$/, "/index.html")));
  const lonely = pages.filter((page) => !reached.has(addressOf(site, page)));
  links.push(...(await crawl(site, lonely.map((page) => addressOf(site, page)), false)));
  const broken = links.filter((link) => link.state === "BROKEN" && inside(site, link.url));
  const findings = [
    ...broken.map((link) => `${shown(site, link.parent)}  leads to ${shown(site, link.url)}, which is not there`),
    ...(await lostFragments(site, folder, pages)),
  ];
  return {
    findings: [...new Set(findings)].sort(),
    advice: lonely.filter((page) => page !== "404.html").map((page) => `${page}  nothing leads here from the front page`),
    checked: `${pages.length} pages, ${links.length} links`,
  };
});
