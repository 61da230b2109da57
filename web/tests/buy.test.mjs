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

test("the pit's plan goes into the book and its field buys less", async () => {
  const page = await open("/inputs/manure");
  const field = await page.locator("table tbody tr th a").first();
  const [name, href] = [await field.innerText(), await field.getAttribute("href")];
  await page.goto(winter.url + href + "/soil");
  const before = await main(page);
  assert.match(before, /No manure is in the book for this crop/);
  await page.goto(winter.url + "/inputs/manure");
  await page.getByRole("button", { name: "Put this plan in the book" }).click();
  assert.match(await main(page), /In the book for 2026/);
  await page.goto(winter.url + href + "/soil");
  const text = await main(page);
  assert.match(text, /planned, not hauled yet/);
  assert.match(text, /It takes [\d ·]+ off what is to be bought, worth \$[\d.]+ an acre at the prices on file/);
  assert.match(text, /Planned manure is counted before it is hauled/);
  const n = (t) => Number(t.match(new RegExp(`^${name}: (\\d+) lb/ac of nitrogen`, "m"))?.[1] ?? 0);
  assert.ok(n(text) < n(before), `${n(text)} and ${n(before)}`);
  // Accepted as proposed, the order counts on the manure and says what it spares.
  await page.getByRole("button", { name: "Accept this plan" }).click();
  assert.match(page.url(), /\/saved\//);
  await page.goto(winter.url + "/inputs/order");
  assert.match(await main(page), new RegExp(`Manure spares this order \\$[\\d,]+ of fertilizer at the prices on file.*${name} \\d+-\\d+-`));
  // Taken back, it is no longer counted.
  await page.goto(winter.url + "/enter/manure_plan?field=" + href.split("/").pop());
  await page.locator("input[name=volume_m3]").fill("0");
  await page.locator("input[name=method]").first().check();
  await page.getByRole("button", { name: /^Write/ }).first().click();
  await page.goto(winter.url + href + "/soil");
  assert.match(await main(page), /No manure is in the book for this crop/);
  await page.close();
});

test("the ways of spreading have a second opinion, and wrong air is named", async () => {
  const page = await open("/inputs/manure?air=25&wind=6&days=3&method=worked_in");
  let text = await main(page);
  assert.match(text, /AMMONIUM KEPT, BY THE GUIDE|Ammonium kept, by the guide/i);
  assert.match(text, /Spread, worked in within a day\s+75 %\s+\d+ %/);
  assert.match(text, /for 25 C and a wind of 6 m\/s/);
  assert.match(text, /not in its data/);
  await page.goto(winter.url + "/inputs/manure?air=hot");
  assert.match(await main(page), /"hot" is no temperature of the air in C; write -10 to 35/);
  await page.goto(winter.url + "/inputs/manure?days=400");
  assert.match(await main(page), /"400" is no number of days; write 0 to 60/);
  await page.close();
});

async function write(page, kind, values, query = "") {
  await page.goto(winter.url + `/enter/${kind}${query}`);
  for (const [key, value] of Object.entries(values)) {
    const at = page.locator(`[name="${key}"]`).first();
    const tag = await at.evaluate((e) => (e.tagName === "SELECT" ? "select" : e.type));
    if (tag === "select") await at.selectOption(value);
    else if (tag === "radio") await page.locator(`[name="${key}"][value="${value}"]`).check();
    else await at.fill(value);
  }
  await page.getByRole("button", { name: /^Write/ }).first().click();
}

test("liquids and ammonia need a drill that carries them, and bring their caution", async () => {
  const page = await open("/inputs/order");
  await write(page, "price", { what: "uan28", value: "0.9", unit: "us_gal" });
  await write(page, "price", { what: "anhydrous", value: "1200", unit: "t" });
  await page.goto(winter.url + "/inputs/order");
  let text = await main(page);
  assert.match(text, /Priced but left out, since the drill in the book has no liquid tank/);
  assert.match(text, /Priced but left out, since the drill in the book pulls no nurse tank/);
  await write(page, "drill_set_up", { liquid_m3: "1000" }, "?key=drill");
  await page.goto(winter.url + "/inputs/order");
  text = await main(page);
  assert.doesNotMatch(text, /no liquid tank/);
  assert.match(text, /[\d.]+ US gal\/ac/);
  assert.match(text, /straight 28-0-0/i);
  await page.getByRole("button", { name: "Put these on the drill cards" }).click();
  assert.match(page.url(), /\/inputs\/drill\?taken=order/);
  assert.match(await main(page), /The cards are filled from the order/);
  await page.goto(winter.url + "/inputs/drill/long-90");
  text = await main(page);
  assert.match(text, /As the plan names them, from the order/);
  assert.match(text, /urea ammonium nitrate solution 28-0-0/);
  await write(page, "price", { what: "anhydrous", value: "100", unit: "t" });
  await write(page, "drill_set_up", { anhydrous_m3: "1450" }, "?key=drill");
  await page.goto(winter.url + "/inputs/order");
  text = await main(page);
  assert.match(text, /Anhydrous ammonia burns eyes and lungs/);
  assert.match(text, /Never in the seed row/);
  await page.close();
});

test("a least rate is kept or named as what stands in the way", async () => {
  const page = await open("/inputs/order");
  await write(page, "product_least", { product: "ams" });
  assert.match(await main(page), /Give the least rate, the least the dealer sells, or both/);
  // As much phosphate beside the seed as the least of it would bring is more than the seed bears.
  await write(page, "product_least", { product: "map", least_kg_ha: "150" });
  await page.goto(winter.url + "/inputs/order");
  assert.match(await main(page), /the least rates of the meters or of a product stand in the way/);
  await write(page, "product_least", { product: "map", least_kg_ha: "20" });
  await page.goto(winter.url + "/inputs/order");
  assert.match(await main(page), /^Order [\d.]+ t/);
  await page.goto(winter.url + "/enter/drill_set_up?key=drill");
  await page.locator("[name=tank3_least]").fill("300");
  await page.locator("[name=tank3_most]").fill("100");
  await page.getByRole("button", { name: /^Write/ }).first().click();
  assert.match(await main(page), /The lowest rate of this tank is above its highest/);
  await page.close();
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
