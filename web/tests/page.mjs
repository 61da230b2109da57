// Opens pages in a browser as every test does, and looks at them with axe.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";

const axeSource = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

/** The four ways a page is looked at. */
export const LOOKS = [360, 1280].flatMap((width) => ["light", "dark"].map((colorScheme) => ({ width, colorScheme })));

/** A page, phone-sized unless told, that fails the test on any script error or refused inline code. */
export async function openPage(browser, url, options = {}) {
  const page = await browser.newPage({ viewport: { width: 360, height: 740 }, ...options });
  page.on("pageerror", (e) => assert.fail(`script error on ${url}: ${e}`));
  page.on("console", (m) => assert.ok(!/Content Security Policy/.test(m.text()), `${url}: ${m.text()}`));
  const answer = await page.goto(url);
  assert.ok(answer.ok(), `${url} answered ${answer.status()}`);
  return page;
}

/** What axe calls serious or critical, with every fold open. */
export async function faults(page) {
  for (const d of await page.locator("details").all()) await d.evaluate((e) => (e.open = true));
  await page.evaluate(axeSource);
  const found = await page.evaluate(() => axe.run());
  return found.violations
    .filter((v) => v.impact === "serious" || v.impact === "critical")
    .map((v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 120)).slice(0, 3).join(" ")}`);
}

/** Fails when the page is wider than its screen. */
export async function fits(page, what) {
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  assert.ok(wide <= 0, `${what} is ${wide} px wider than the screen`);
}

/** Looks at each page in one of the four ways: no serious fault, not wider than the screen, one first heading. */
export async function lookAt(browser, base, paths, { width, colorScheme }) {
  for (const path of paths) {
    const page = await openPage(browser, base + path, { viewport: { width, height: 800 }, colorScheme });
    assert.deepEqual(await faults(page), [], `${path} at ${width} px, ${colorScheme}`);
    await fits(page, `${path} at ${width} px`);
    assert.equal(await page.locator("h1").count(), 1, `${path} has one first heading`);
    await page.close();
  }
}
