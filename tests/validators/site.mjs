// What the validators share: the files of a built site, a loopback server for them, and one way to end.
//
// Every validator is run as `node NAME.mjs FOLDER`, prints one line a finding, and exits 0 when there is none, 1 when there
// is one, and 2 when it could not do its work: wrong usage, a missing tool, or no time left.

import { createServer } from "node:http";
import { readdir, stat } from "node:fs/promises";
import path from "node:path";
import sirv from "sirv";

// The site is served below a folder, since its links must work from any path: a link that starts at the root of the
// host then leads nowhere and is found.
const BELOW = "/any/path/";

/** Files of a folder with one of the endings, as sorted paths relative to it. */
export async function filesOf(folder, ...endings) {
  const entries = await readdir(folder, { recursive: true, withFileTypes: true });
  return entries
    .filter((entry) => entry.isFile() && endings.includes(path.extname(entry.name)))
    .map((entry) => path.relative(folder, path.join(entry.parentPath, entry.name)).split(path.sep).join("/"))
    .sort();
}

/** Serves a folder on a free loopback port until the process ends; `url` is that of its front page's folder. */
export async function serve(folder) {
  const files = sirv(folder, { dev: true });
  const server = createServer((request, response) => {
    // With a body, since a browser shows an error page of its own for an empty one and then stumbles over the next page.
    const absent = () => response.writeHead(404, { "content-type": "text/plain" }).end("not found");
    if (!request.url.startsWith(BELOW)) return absent();
    request.url = request.url.slice(BELOW.length - 1);
    return files(request, response, absent);
  });
  await new Promise((resolve) => server.listen(0, "127.0.0.1", resolve));
  server.unref();
  const origin = `http://127.0.0.1:${server.address().port}`;
  return { origin, url: origin + BELOW };
}

/** The address of a file of the served folder. */
export const addressOf = (site, file) => site.url + file.split("/").map(encodeURIComponent).join("/");

/** A validator could not do its work; its findings, if any, prove nothing. */
export class CannotCheck extends Error {}

/**
 * Runs a validator: `check(folder, options)` returns `{ findings, checked, advice }`, where `checked` says what was looked at.
 * The time is bounded, so that a page that never settles cannot hold up the tests.
 */
export async function run(name, minutes, check) {
  const [folder, ...options] = process.argv.slice(2);
  const stop = (message) => {
    console.error(`${name}: ${message}`);
    process.exit(2);
  };
  if (!folder || folder.startsWith("-")) stop(`usage: node ${name}.mjs FOLDER`);
  if (!(await stat(folder).catch(() => undefined))?.isDirectory()) stop(`${folder} is not a folder`);
  const timer = setTimeout(() => stop(`not done within ${minutes} minutes`), minutes * 60_000);
  const start = Date.now();
  try {
    const { findings, checked, advice = [] } = await check(path.resolve(folder), options);
    clearTimeout(timer);
    for (const line of advice) console.log(`advice  ${line}`);
    for (const line of findings) console.log(`fault   ${line}`);
    const seconds = ((Date.now() - start) / 1000).toFixed(1);
    console.log(`${name}: ${checked}, ${findings.length} ${findings.length === 1 ? "fault" : "faults"}, ${seconds} s`);
    process.exit(findings.length === 0 ? 0 : 1);
  } catch (error) {
    stop(error instanceof CannotCheck ? error.message : (error.stack ?? String(error)));
  }
}
