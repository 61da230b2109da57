// Green on bare ground, in money: the stubble in September and the burn-off in May.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { chromium } from "playwright-core";
import { CHROMIUM, desk } from "./desk.mjs";
import { LOOKS, lookAt, openPage } from "./page.mjs";

let browser;
let fall;
let spring;
before(async () => {
  browser = await chromium.launch(CHROMIUM);
  [fall, spring] = await Promise.all([desk({ day: "09-03" }), desk({ day: "05-05" })]);
});
after(async () => {
  await browser?.close();
  await fall?.stop();
  await spring?.stop();
});

for (const how of LOOKS) {
  test(`axe finds nothing serious on stubble and burn-off at ${how.width} px, ${how.colorScheme}`, async () => {
    await lookAt(browser, fall.url, ["/spray?thistle=10"], how);
    await lookAt(browser, spring.url, ["/spray"], how);
  });
}

const figure = (text) => Number(/pays from about (\d+) %/.exec(text)?.[1]);

test("stubble: the share of thistle from which it pays, and more of it gains more", async () => {
  const page = await openPage(browser, `${fall.url}/spray`);
  const bare = await page.locator("main").innerText();
  assert.match(bare, /Good leaf until about/);
  const from = figure(bare);
  assert.ok(from >= 0 && from < 60, `pays from ${from} %`);
  const gain = async (pct) => {
    await page.locator("#thistle").fill(String(pct));
    await page.locator("form:has(#thistle) button").click();
    const said = await page.locator("article.todo", { hasText: "in thistle" }).first().innerText();
    const [, way, money] = /the pass (gains|loses) about \$([\d,]+)/.exec(said) ?? [];
    return (way === "loses" ? -1 : 1) * Number(money.replace(",", ""));
  };
  assert.ok((await gain(from + 2)) > 0, "over that share it pays");
  assert.ok((await gain(30)) > (await gain(10)), "more thistle, more gained");
  await page.locator("article.todo", { hasText: "in thistle" }).first().locator("details.working summary").click();
  assert.ok(await page.locator("details.working[open] .sum").first().isVisible());
  await page.close();
});

test("a share that is none leaves the page as it is", async () => {
  const page = await openPage(browser, `${fall.url}/spray?thistle=much`);
  assert.match(await page.locator("main").innerText(), /pays from about/);
  await page.close();
});

test("burn-off: money, a day's growth, and the label's wait", async () => {
  const page = await openPage(browser, `${spring.url}/spray`);
  const said = await page.locator("article.todo", { hasText: "burn" }).first().innerText();
  assert.match(said, /by the label of Gatepost burn-off/);
  assert.match(said, /(gains about \$[\d,]+ over leaving|does not pay by itself)/i);
  await page.close();
});
