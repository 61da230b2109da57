// Pictures of every page: node shots.mjs FOLDER [page ...]
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { PAGES, openBrowser, openDesk } from "./tests/desk.mjs";

const [folder = "../docs/pictures", ...only] = process.argv.slice(2);
mkdirSync(folder, { recursive: true });
const browser = await openBrowser();
const desk = await openDesk(process.env.DAY ?? "05-05");
for (const [name, path] of Object.entries(PAGES)) {
  if (only.length && !only.includes(name)) continue;
  for (const width of [360, 1280]) {
    for (const scheme of ["light", "dark"]) {
      const page = await browser.newPage({ viewport: { width, height: 800 }, colorScheme: scheme });
      await page.goto(desk.address + path);
      await page.screenshot({ path: join(folder, `${name}-${width}-${scheme}.png`), fullPage: process.env.FULL === "1" });
      await page.close();
    }
  }
}
await browser.close();
desk.close();
