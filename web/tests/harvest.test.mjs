// Harvest in a real browser on the morning of 20 August: order, combine, hauling, straw, and a loss written down.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { chromium } from "playwright-core";
import { CHROMIUM, desk } from "./desk.mjs";
import { LOOKS, lookAt, openPage } from "./page.mjs";

const PAGES = ["/harvest", "/harvest/combine", "/harvest/haul", "/harvest/straw", "/harvest/sheets", "/harvest/pays", "/bins/jobs", "/enter/pan_test"];
let browser;
let d;
before(async () => {
  browser = await chromium.launch(CHROMIUM);
  d = await desk({ day: "08-20" });
});
after(async () => {
  await browser?.close();
  await d?.stop();
});

const open = (path, options = {}) => openPage(browser, d.url + path, options);

for (const how of LOOKS) {
  test(`harvest pages: axe finds nothing serious and nothing is too wide, ${how.width} px, ${how.colorScheme}`, () => lookAt(browser, d.url, PAGES, how));
}

test("the order says which field, from what hour, at what moisture, with its gain and range", async () => {
  const page = await open("/harvest");
  assert.match(await page.locator("h1").innerText(), /^Cut .+ near \d+\s?%\.$/);
  assert.match(await page.locator("main").innerText(), /ripest first \(.+ to .+\)/);
  assert.ok((await page.locator("article.todo").count()) >= 3);
  await page.fill("#limit", "15.6");
  await page.click("form.filter button");
  assert.match(await page.locator("main").innerText(), /15\.6 %/);
  await page.fill("#limit", "wet");
  await page.click("form.filter button");
  assert.match(await page.locator("#limit-wrong").innerText(), /"wet" is no moisture/);
  await page.close();
});

test("Today and the harvest page say the same, with the room in the bins, and each leads to the other", async () => {
  const page = await open("/harvest");
  const plain = async () => (await page.locator("h1").innerText()).replace(/\s+/g, " ");
  const said = await plain();
  assert.match(await page.locator("main").innerText(), /Room in the bins/);
  assert.match(await page.locator("main").innerText(), /t of room for the \d+ t of spring wheat that stand/);
  await page.goto(d.url + "/");
  assert.equal(await plain(), said);
  await page.click("main a[href='/harvest']");
  await page.waitForURL(/\/harvest$/);
  await page.close();
});

test("straw measured by tape says how thick it lies and what to do; a width that cannot be is refused", async () => {
  const page = await open("/harvest/straw");
  await page.fill("input[name=spread]", "26");
  await page.click("section#straw-spread button");
  const text = await page.locator("section#straw-spread").innerText();
  assert.match(text, /26 ft of a 40 ft cut: 1\.5 times as thick/);
  assert.match(text, /harrow what lies/);
  await page.fill("input[name=spread]", "wide");
  await page.click("section#straw-spread button");
  assert.match(await page.locator("#spread-wrong").innerText(), /"wide" is no width/);
  await page.close();
});

test("a sheet for each pair of hands", async () => {
  const page = await open("/harvest/sheets");
  assert.ok((await page.locator("article.job-sheet").count()) >= 4);
  assert.match(await page.locator("main").innerText(), /Combine: _+/);
  assert.match(await page.locator("main").innerText(), /loads of [\d,]+ bu/);
  await page.close();
});

test("a loss written down by hand comes back by source with what to change", async () => {
  const page = await open("/enter/pan_test?field=tower");
  await page.fill("#behind", "20");
  await page.fill("#cut_ground", "60");
  await page.fill("#area_m2", "1");
  await page.click("button.yes");
  assert.match(await page.locator("main").innerText(), /More lies on the cut ground than behind/);
  await page.fill("#behind", "300");
  await page.fill("#cut_ground", "20");
  await page.fill("#standing", "5");
  await page.fill("#from_separator", "40");
  await page.fill("#from_shoe", "200");
  await page.fill("#discharge_m", "5");
  await page.fill("#speed_kmh", "4.5");
  await page.fill("#yield_kg_ha", "50");
  await page.click("button.yes");
  await page.waitForURL(/saved/);
  await page.goto(`${d.url}/harvest/combine`);
  const text = await page.locator("article.todo").first().innerText();
  assert.match(text, /Tower/);
  // 300 - 20 on a 40 ft cut over 5 ft is eight times: 35 kernels a square foot, 1.75 bu; with 1 bu on the ground, 2.75.
  assert.match(text, /2\.8 bu\/ac lost/);
  assert.match(text, /over the shoe/);
  assert.ok((await page.locator("svg.fan").count()) >= 1, "the speed curve is drawn");
  await page.close();
});

test("hauling is played for the field chosen, without script", async () => {
  const page = await open("/harvest/haul?field=schoolhouse", { javaScriptEnabled: false });
  assert.match(await page.locator("h1").innerText(), /Schoolhouse/);
  assert.match(await page.locator(".changes").innerText(), /One more truck/);
  await page.close();
});

test("straw answers bedding, and says what cannot be read", async () => {
  const page = await open("/harvest/straw?goats=60&pigs=400&stacked=10");
  assert.match(await page.locator("h1").innerText(), /for bedding/);
  await page.goto(`${d.url}/harvest/straw?goats=lots`);
  assert.match(await page.locator("#goats-wrong").innerText(), /"lots" cannot be used/);
  assert.equal(await page.locator("#goats").inputValue(), "lots");
  await page.close();
});
