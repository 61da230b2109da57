// Pictures of every page at phone and desk width, light and dark: node shots.mjs FOLDER [page ...]. FULL=1 for the whole
// length of each page.
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { chromium } from "playwright-core";
import { CHROMIUM, desk, pages } from "./tests/desk.mjs";

const [folder = "../docs/pictures", ...only] = process.argv.slice(2);
mkdirSync(folder, { recursive: true });
const browser = await chromium.launch(CHROMIUM);
for (const day of ["05-05", "06-28", "08-20"]) {
  const d = await desk({ day });
  for (const [name, path] of pages(day)) {
    if (only.length && !only.includes(name)) continue;
    for (const width of [360, 1280]) {
      for (const colorScheme of ["light", "dark"]) {
        const page = await browser.newPage({ viewport: { width, height: 800 }, colorScheme });
        await page.goto(d.url + path);
        await page.screenshot({ path: join(folder, `${name}-${width}-${colorScheme}.png`), fullPage: process.env.FULL === "1" });
        await page.close();
      }
    }
  }
  await d.stop();
}
await browser.close();
