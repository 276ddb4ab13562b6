// Structured data against the types of the schema.org vocabulary (schema-dts): a property or a value that schema.org does not know is an
// error of the type checker. What readers of structured data ask beyond the vocabulary is checked where the data stands.

import { execFile } from "node:child_process";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { createRequire } from "node:module";
import path from "node:path";
import { CannotCheck } from "./site.mjs";

const require = createRequire(import.meta.url);
const TSC = path.join(path.dirname(require.resolve("typescript/package.json")), "bin/tsc");

/** The checker's exit status and words. */
function typescript(args, folder) {
  return new Promise((resolve) => {
    execFile(process.execPath, [TSC, ...args], { maxBuffer: 1 << 28, cwd: folder }, (error, out, err) => {
      resolve({ status: error ? (error.code ?? 1) : 0, said: out + err });
    });
  });
}

/** What is wrong with nodes, given as pairs of where they stand and what they are: [{ of, line, column, words }]. */
export async function vocabulary(nodes, typeOf) {
  if (nodes.length === 0) return [];
  // Beside the checker's own packages, where the types are found.
  const scratch = await mkdtemp(path.join(import.meta.dirname, "node_modules", ".vocabulary-"));
  try {
    const names = new Map();
    for (const [i, [of, node]] of nodes.entries()) {
      const type = typeOf(node);
      if (!/^[A-Z][A-Za-z]*$/.test(type)) throw new CannotCheck(`${of}: structured data of a type called ${type}`);
      names.set(`n${i}.ts`, of);
      const text = `import type { ${type}, WithContext } from "schema-dts";\nexport const node: WithContext<${type}> = ${JSON.stringify(node, null, 1)};\n`;
      await writeFile(path.join(scratch, `n${i}.ts`), text);
    }
    const options = ["--noEmit", "--strict", "--skipLibCheck", "--module", "nodenext", "--moduleResolution", "nodenext", "--pretty", "false"];
    const { status, said } = await typescript([...options, ...names.keys()], scratch);
    const errors = said.split("\n").filter((line) => /error TS\d+/.test(line));
    if (status !== 0 && errors.length === 0) throw new CannotCheck(`the checker of types gave no report: ${said}`);
    return errors.map((text) => {
      const [, name, line, column, words] = /^(n\d+\.ts)\((\d+),(\d+)\): (.*)$/.exec(text) ?? [];
      return { of: names.get(name) ?? "?", line: line ?? 1, column: column ?? 1, words: (words ?? text).slice(0, 300) };
    });
  } finally {
    await rm(scratch, { recursive: true, force: true });
  }
}
