// The order and the pit, as the farmer would go through them in January and in spring.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { chromium } from "playwright-core";
import { CHROMIUM, desk } from "./desk.mjs";
import { LOOKS, lookAt, openPage } from "./page.mjs";

let browser;
let winter;
let empty;
before(async () => {
  browser = await chromium.launch(CHROMIUM);
  winter = await desk({ day: "01-15" });
  empty = await desk({ asOf: "2026-10-01" });
});
after(async () => {
  await browser?.close();
  await winter?.stop();
  await empty?.stop();
});

const open = (path, { d = winter, ...options } = {}) => openPage(browser, d.url + path, options);

const main = (page) => page.locator("main").innerText();


test("the order adds up and says what it leaves out", async () => {
  const page = await open("/inputs/order");
  const text = await main(page);
  assert.match(text, /^Order [\d.]+ t, .*, for \$[\d,]+\./);
  assert.match(text, /Not in this order, since no fertilizer plan is accepted for 2026: .*Home Quarter/);
  const rows = await page.locator("table").first().locator("tbody tr").allInnerTexts();
  const figures = rows.map((r) => r.split("\t").slice(1, 3).map((x) => Number(x.replace(/[$,]/g, ""))));
  const all = figures.pop();
  for (const i of [0, 1]) {
    const sum = figures.reduce((a, f) => a + f[i], 0);
    assert.ok(Math.abs(sum - all[i]) <= 0.1 * (figures.length + 1) * (i ? 10 : 1), `${sum} and ${all[i]}`);
  }
  await page.getByText("How this was reckoned").click();
  assert.match(await main(page), /The order\s+[\d,]+/);
});

test("another price is tried and a wrong one is named", async () => {
  const page = await open("/inputs/order");
  const before = await page.locator("h1").innerText();
  await page.getByLabel(/^urea 46-0-0/).fill("1200");
  await page.getByRole("button", { name: "Try" }).click();
  assert.notEqual(await page.locator("h1").innerText(), before);
  assert.equal(await page.getByLabel(/^urea 46-0-0/).inputValue(), "1200");
  await page.getByLabel(/^urea 46-0-0/).fill("dear");
  await page.getByRole("button", { name: "Try" }).click();
  assert.match(await main(page), /"dear" is no price a tonne for urea; write a number, such as 700/);
  assert.equal(await page.locator("h1").innerText(), before);
  await page.goto(winter.url + "/inputs/order?blends=99");
  assert.match(await main(page), /"99" is no number of blends; write 1 to 12/);
  await page.goto(winter.url + "/inputs/order?blends=1");
  assert.match(await main(page), /1 blends cannot serve all fields within the limits, so this order has 2|Order [\d.]+ t, one blend,/);
});

test("in January the pit has room and the law is shut", async () => {
  const page = await open("/inputs/manure");
  const text = await main(page);
  assert.match(text, /No spreading before 11 Apr|Leave it in the pit/);
  assert.match(text, /Days of room left/);
  assert.match(text, /Pit gas kills/);
  assert.match(text, /This is an example of a rule as it was summarized; check the local law/);
  assert.match(text, /Poplar: its fertilizer|Home Quarter|Poplar/);
});

test("wrong manure entries are stopped in a sentence", async () => {
  const page = await open("/enter/manure_level");
  const level = page.locator("input[name=held_m3]");
  await level.fill("99999");
  await page.getByRole("button", { name: /^Write/ }).first().click();
  assert.match(await main(page), /That is more than the pit holds/);
  assert.equal(await page.locator("input[name=held_m3]").inputValue(), "99999");
  await page.locator("input[name=store]").fill("lagoon");
  await page.locator("input[name=held_m3]").fill("300");
  await page.getByRole("button", { name: /^Write/ }).first().click();
  assert.match(await main(page), /There is no pit "lagoon" in the book; the book knows pit/);
  await page.goto(winter.url + "/enter/manure_rules");
  await page.locator("input[name=name]").fill("Our province");
  await page.locator("input[name=source]").fill("the act, read in May");
  await page.locator("input[name=closed_from]").fill("13-40");
  await page.getByRole("button", { name: /^Write/ }).first().click();
  assert.match(await main(page), /"13-40" is no day of the year/);
  await page.goto(winter.url + "/enter/manure_test");
  await page.locator("input[name=total_n_kg_m3]").fill("20");
  await page.locator("input[name=ammonium_n_kg_m3]").fill("30");
  await page.locator("input[name=p_kg_m3]").fill("4");
  await page.locator("input[name=k_kg_m3]").fill("12");
  await page.getByRole("button", { name: /^Write/ }).first().click();
  assert.match(await main(page), /Ammonium is a part of the total nitrogen/);
});

test("own rules take the example's place", async () => {
  const page = await open("/enter/manure_rules");
  await page.locator("input[name=name]").fill("Our province");
  await page.locator("input[name=source]").fill("the act, read in May 2025");
  await page.locator("input[name=none_from_ppm]").fill("150");
  await page.getByRole("button", { name: /^Write/ }).first().click();
  await page.goto(winter.url + "/inputs/manure");
  const text = await main(page);
  assert.match(text, /Our province \(the act, read in May 2025\)/);
  assert.doesNotMatch(text, /It stands in until/);
  assert.doesNotMatch(text, /No spreading before/);
});

test("an empty farm is asked for what is missing", async () => {
  let page = await open("/inputs/order", { d: empty });
  assert.match(await main(page), /Nothing to order for 2027 yet/);
  page = await open("/inputs/manure", { d: empty });
  assert.match(await main(page), /No pit is in the book/);
});

for (const path of ["/inputs/order", "/inputs/manure"]) {
  test(`${path} fits a phone, light and dark, and prints`, async () => {
    for (const how of LOOKS) await lookAt(browser, winter.url, [path], how);
    const page = await open(path);
    const pdf = await page.pdf({ format: "Letter" });
    assert.ok(pdf.length > 5000);
  });
}
