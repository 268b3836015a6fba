/** Make the page's bundle out of these sources: `npm ci --ignore-scripts && npm run build`. */
import { build } from "esbuild";
import { copyFileSync, existsSync, mkdirSync, readFileSync, readdirSync, writeFileSync } from "node:fs";

const out = process.argv[2] ?? "../static";
mkdirSync(out, { recursive: true });
await build({
  entryPoints: ["main.js"], bundle: true, minify: true, format: "esm", target: "es2022",
  outfile: `${out}/page.js`, legalComments: "none", charset: "utf8",
});
for (const name of ["page.html", "page.css", "icon.svg"]) copyFileSync(name, `${out}/${name}`);

/** The licences of all that is in the bundle. */
const lock = JSON.parse(readFileSync("package-lock.json", "utf8")).packages;
const used = Object.entries(lock).filter(([path, one]) => path && !one.dev && !one.optional);
const texts = used.map(([path, one]) => {
  const file = existsSync(path) && readdirSync(path).find((name) => /^licen[cs]e/i.test(name));
  const text = file ? readFileSync(`${path}/${file}`, "utf8").trim() : one.license;
  return `${path.replace("node_modules/", "")} ${one.version}\n\n${text}\n`;
});
writeFileSync(`${out}/licences.txt`, texts.join(`\n${"-".repeat(72)}\n\n`));
