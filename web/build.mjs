// Bundles the pages' script and style and copies the font, into dist/. Run by ./run.
import { copyFileSync, mkdirSync } from "node:fs";
import { build } from "esbuild";

mkdirSync("dist", { recursive: true });
await build({
  entryPoints: ["src/desk.ts", "src/style.css"],
  bundle: true,
  minify: true,
  format: "esm",
  target: "es2022",
  outdir: "dist",
  external: ["*.woff2"],
  logLevel: "warning",
});
const font = "node_modules/@fontsource/atkinson-hyperlegible-next/files/atkinson-hyperlegible-next-latin-";
for (const weight of ["400", "700"]) copyFileSync(`${font}${weight}-normal.woff2`, `dist/hyperlegible-${weight}.woff2`);
