// Pictures of every page at phone and desk width, light and dark: node shots.mjs FOLDER, with STOOK_BIN set.
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { chromium } from "playwright-core";
import { CHROMIUM, desk, pages } from "./tests/desk.mjs";

const folder = process.argv[2] ?? "shots";
const only = process.argv[3];
mkdirSync(folder, { recursive: true });
const browser = await chromium.launch(CHROMIUM);
for (const day of ["05-05", "06-28", "08-20"]) {
  const d = await desk({ day });
  for (const [name, path] of pages(day)) {
    if (only && !name.includes(only)) continue;
    for (const width of [360, 1280]) {
      for (const colorScheme of ["light", "dark"]) {
        const context = await browser.newContext({ viewport: { width, height: 800 }, colorScheme });
        const page = await context.newPage();
        await page.goto(d.url + path);
        await page.screenshot({ path: join(folder, `${name}-${width}-${colorScheme}.png`), fullPage: true });
        await context.close();
      }
    }
  }
  await d.stop();
}
await browser.close();
