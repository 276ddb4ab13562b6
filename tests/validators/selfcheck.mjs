// The validators themselves: each refuses what stands in its folder of broken samples, for exactly those reasons, and
// accepts the sample with nothing wrong. A validator that silently stopped looking would fail here.
//
//     node --test selfcheck.mjs

import assert from "node:assert/strict";
import { execFile } from "node:child_process";
import { mkdtemp, rmdir } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { test } from "node:test";

const HERE = import.meta.dirname;

/** Runs a validator on a folder; resolves to its exit status, its findings and all it said. */
function validate(name, folder, ...options) {
  return new Promise((resolve) => {
    execFile(process.execPath, [path.join(HERE, `${name}.mjs`), folder, ...options], (error, out, err) => {
      const faults = out.split("\n").filter((line) => line.startsWith("fault "));
      resolve({ status: error ? error.code : 0, faults, said: out + err });
    });
  });
}

const broken = (name) => path.join(HERE, "broken", name);

// One pattern a finding; the samples are named after what is wrong with them.
const REASONS = {
  notes: [
    /one\/captions\.vtt:1:1 {2}cues overlap at 10/,
    /one\/chapters\.vtt:6:30 {2}End timestamp is not greater/,
    /one\/chapters\.vtt:1:1 {2}chapters leave a gap at 20/,
    /one\/recipe\.jsonld:1:1 {2}no recipeIngredient/,
    /one\/recipe\.jsonld:1:1 {2}no image with a whole address/,
    /one\/recipe\.jsonld:14:2 {2}error TS2353: .*strength/,
    /one\/newsletter\.html:1:\d+ {2}An “img” element must have an “alt”/,
    /one\/card\.png:1:1 .*this is neither a PNG/,
  ],
  html: [
    /index\.html:12:\d+ {2}Duplicate ID/,
    /bad\.css:1:\d+ {2}CSS: .*colour.*doesn't exist/,
    /bad\.svg:1:\d+ {2}Attribute .*radius.* not allowed/,
  ],
  links: [
    /index\.html {2}leads to gone\.html, which is not there/,
    /index\.html {2}leads to other\.html#nowhere, but that page has no such id/,
    /index\.html {2}leads to \/other\.html, which is not there/,
    /lonely\.html {2}leads to gone-too\.html, which is not there/,
    /plain\.css {2}leads to gone\.svg, which is not there/,
  ],
  axe: [
    /alt\.html {2}\[dark 1280, dark 390, light 1280, light 390\] {2}image-alt/,
    /busy\.html {2}\[first visit\] {2}heavy: \d+ requests/,
    /console\.html {2}\[first visit\] {2}console: something went wrong/,
    /dark\.html {2}\[dark 1280, dark 390\] {2}color-contrast/,
    /desk\.html {2}\[dark 1280, light 1280\] {2}color-contrast/,
    /heavy\.html {2}\[first visit\] {2}heavy: \d+ kB/,
    /missing\.html {2}\[first visit, no scripts\] {2}404 for gone\.svg/,
    /offsite\.html {2}\[first visit\] {2}leaves the site: https:\/\/elsewhere\.example\/count/,
    /phone\.html {2}\[dark 390, light 390\] {2}color-contrast/,
    /policy\.html {2}\[first visit, no scripts\] {2}console: .*Content Security Policy/,
    /script\.html {2}\[first visit\] {2}script failed: nobody is not defined/,
    /scripted\.html {2}\[no scripts\] {2}only \d+ % of the text/,
    /target\.html {2}.*target-size.*button:nth-child\(1\)/,
    /target\.html {2}.*target-size.*button:nth-child\(2\)/,
    /wide\.html {2}\[light 320\] {2}\d+ px wide at 320 px: p\.wide/,
  ],
};

REASONS.data = [
  /feed\.xml:3:\d+: error: .*updated.*invalid/,
  /feed\.xml {2}two entries of one id/,
  /feed\.xml {2}no author/,
  /feed\.xml {2}no link to itself/,
  /feed\.xml {2}the feed is older/,
  /sitemap\.xml:4:\d+: error: .*lastmod.*invalid/,
  /sitemap\.xml {2}leaves out https:\/\/bar\.example\/recipes\/b\.html/,
  /sitemap\.xml {2}lists https:\/\/bar\.example\/gone\.html/,
  /robots\.txt {2}does not name/,
  /notebook\.json\/recipes\/0\/abv {2}must be number/,
  /notebook\.json {2}a has no page/,
  /manifest\.webmanifest {2}display/,
  /manifest\.webmanifest {2}no icon of 512/,
  /manifest\.webmanifest {2}\/index\.html is not relative/,
  /manifest\.webmanifest {2}gone\.png is not there/,
  /index\.html {2}structured data with a list out of order/,
  /recipes\/a\.html {2}structured data without an image/,
  /recipes\/a\.html {2}structured data without steps/,
  /recipes\/a\.html {2}structured data names what the page does not show/,
  /recipes\/a\.html {2}structured data: error TS2353: .*strength/,
  /recipes\/a\.html {2}og:url is not/,
  /recipes\/a\.html {2}og:image is not there/,
  /recipes\/b\.html {2}no structured data/,
  /recipes\/c\.html {2}structured data is no JSON/,
];

REASONS.hostile = [
  /offsite\.html {2}leaves the site: https:\/\/elsewhere\.example/,
  /over\.html {2}\[1440\] text runs out of p\.narrow/,
  /over\.html {2}\[320\] text runs out of p\.narrow/,
  /parts\.html {2}\[1440\] its parts are broken/,
  /parts\.html {2}\[320\] its parts are broken/,
  /ran\.html {2}\[1440\] something ran/,
  /ran\.html {2}\[320\] something ran/,
  /wide\.html {2}\[320\] \d+ px wide/,
  /wide\.html {2}\[320\] text runs out of p\.wide/,
];

for (const [name, reasons] of Object.entries(REASONS)) {
  test(`${name} accepts the sample with nothing wrong`, async () => {
    const { status, said } = await validate(name, broken("none"));
    assert.equal(status, 0, said);
  });

  test(`${name} refuses each broken sample for its own reason`, async () => {
    const { status, faults, said } = await validate(name, broken(name));
    assert.equal(status, 1, said);
    for (const reason of reasons) assert.equal(faults.filter((fault) => reason.test(fault)).length, 1, `${reason} in\n${said}`);
    assert.equal(faults.length, reasons.length, said);
  });

  test(`${name} does not pass what it cannot check`, async () => {
    assert.equal((await validate(name, broken("no-such-folder"))).status, 2);
    const empty = await mkdtemp(path.join(tmpdir(), "empty-site-"));
    assert.equal((await validate(name, empty)).status, 2);
    await rmdir(empty);
  });
}

test("axe says so when it looks at some of the pages only", async () => {
  const { status, said } = await validate("axe", broken("none"), "--sample", "1");
  assert.equal(status, 0, said);
  assert.match(said, /1 of 2 pages/);
});
