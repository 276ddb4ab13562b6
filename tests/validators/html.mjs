// Every HTML page, style sheet and SVG picture of a site against the standards, by the Nu Html Checker: no errors.
// Its warnings are printed and do not fail.
//
//     node html.mjs FOLDER

import { execFile } from "node:child_process";
import { createRequire } from "node:module";
import path from "node:path";
import { pathToFileURL } from "node:url";
import { CannotCheck, filesOf, run } from "./site.mjs";

const JAR = path.join(path.dirname(createRequire(import.meta.url).resolve("vnu-jar/package.json")), "build/dist/vnu.jar");
const JAVA = process.env.JAVA_HOME ? path.join(process.env.JAVA_HOME, "bin/java") : "java";
// Files have no origin, so the checker takes the site's own style sheets and pictures for strangers. The browser, which is
// served the pages, enforces their policy for real: see axe.mjs.
const ONLY_AS_FILES = /^Resource violates Content Security Policy/;
// A data block is not run, so the policy does not concern it (HTML, "prepare the script element", step 12; CSP 3, 4.2.3).
const DATA_BLOCK = /^Inline script violates Content Security Policy/;
const DATA = /<script type="application\/(ld\+)?json"/;
// Few enough that their paths fit on a command line everywhere.
const AT_ONCE = 400;

/** What the checker says about some files: its exit status is that of its findings, so only its JSON counts. */
function messages(folder, files) {
  const options = ["--format", "json", "--also-check-css", "--also-check-svg", "--stdout"];
  const paths = files.map((file) => path.join(folder, file));
  return new Promise((resolve, reject) => {
    execFile(JAVA, ["-Xss4m", "-jar", JAR, ...options, ...paths], { maxBuffer: 1 << 28 }, (error, out, err) => {
      try {
        resolve(JSON.parse(out).messages);
      } catch {
        reject(new CannotCheck(`the checker gave no report: ${error?.message ?? ""} ${err}`.trim()));
      }
    });
  });
}

await run("html", 10, async (folder) => {
  const files = await filesOf(folder, ".html", ".css", ".svg");
  if (!files.some((file) => file.endsWith(".html"))) throw new CannotCheck(`no page in ${folder}`);
  const base = pathToFileURL(folder + path.sep).href;
  const line = ({ url = "", lastLine, firstColumn, lastColumn, message }) => {
    const file = decodeURIComponent(url.replace(base, "").replace(base.replace("file:///", "file:/"), ""));
    return `${file}:${lastLine || 1}:${firstColumn ?? lastColumn ?? 1}  ${message}`;
  };
  const findings = [];
  const advice = [];
  for (let start = 0; start < files.length; start += AT_ONCE) {
    for (const message of await messages(folder, files.slice(start, start + AT_ONCE))) {
      // `info` with a subtype is a warning; anything else than `info` is an error of the page or of reading it.
      if (message.type !== "info") findings.push(line(message));
      else if (DATA_BLOCK.test(message.message) && DATA.test(message.extract ?? "")) continue;
      else if (!ONLY_AS_FILES.test(message.message)) advice.push(line(message));
    }
  }
  return { findings, advice, checked: `${files.length} files` };
});
