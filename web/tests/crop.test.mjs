// The growing crop as a farmer walks it: a field in flower, insects and hail written down, heads counted, rain coming
// while seeding, and a ripe field.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { chromium } from "playwright-core";
import { CHROMIUM, desk } from "./desk.mjs";
import { LOOKS, lookAt, openPage } from "./page.mjs";

let browser;
const desks = {};
before(async () => {
  browser = await chromium.launch(CHROMIUM);
  for (const day of ["05-05", "06-28", "08-20"]) desks[day] = await desk({ day });
});
after(async () => {
  await browser?.close();
  for (const d of Object.values(desks)) await d.stop();
});

const open = (day, path, options = {}) => openPage(browser, desks[day].url + path, { javaScriptEnabled: false, ...options });

const main = (page) => page.locator("main").innerText();
const write = (page) => page.getByRole("button", { name: "Write it down" }).click();

for (const [day, path] of [["06-28", "/field/schoolhouse"], ["08-20", "/field/tower"], ["05-05", "/field/slough-quarter/rain"]]) {
  test(`axe finds nothing serious on ${path}, and it is no wider than the screen`, async () => {
    for (const how of LOOKS) await lookAt(browser, desks[day].url, [path], how);
  });
}

test("a field in flower: the spray in money with its working, stage, water, three yields", async () => {
  const page = await open("06-28", "/field/schoolhouse");
  const text = await main(page);
  assert.match(text, /warm wet hours in the worst seven days/);
  assert.match(text, /On head blight alone a spray pays from about \d+ h/);
  assert.doesNotMatch(text, /probab/i);
  for (const heading of ["Stage", "Since last week", "Water against need", "Yield, three ways", "Ripeness"]) assert.ok(text.includes(heading), heading);
  assert.match(text, /No herbicide before harvest yet/);
  const working = page.locator("details.working", { hasText: "a head spray against none" });
  await working.locator("summary").click();
  const said = await working.innerText();
  assert.match(said, /Diseased spikelets to expect unsprayed/);
  assert.match(said, /not a probability/);
  assert.match(said, /Madden and Paul 2009/);
  await page.close();
});

test("midge counted for the wrong thing is refused in a sentence; for a head it is held against both thresholds", async () => {
  const page = await open("06-28", "/enter/insects_seen?field=schoolhouse");
  await page.locator("[name=insect][value=midge]").check();
  await page.locator("[name=count]").fill("0.15");
  await page.locator("[name=unit][value=per_m2]").check();
  await write(page);
  assert.match(await main(page), /Midges are counted for a head/);
  assert.equal(await page.locator("[name=count]").inputValue(), "0.15");
  await page.locator("[name=unit][value=per_head]").check();
  await write(page);
  assert.match(await main(page), /Written down[\s\S]*0.15 wheat midge a head/);
  await page.goto(`${desks["06-28"].url}/field/schoolhouse`);
  const text = await main(page);
  assert.match(text, /0.200 to 0.250 a head for yield [\s\S]*below/);
  assert.match(text, /0.100 to 0.125 a head for top grade [\s\S]*above/);
  await page.goto(desks["06-28"].url);
  assert.match(await main(page), /Wheat midge on Schoolhouse: above one threshold and below another/);
  await page.close();
});

test("hail is judged after seven to ten days, and the insurer is told first", async () => {
  const page = await open("06-28", "/enter/damage_seen?field=tower");
  await page.locator("[name=cause][value=hail]").check();
  await page.locator("[name=lost_pct]").fill("140");
  await write(page);
  assert.match(await main(page), /cannot be right/);
  await page.locator("[name=lost_pct]").fill("");
  await write(page);
  await page.goto(`${desks["06-28"].url}/field/tower`);
  assert.match(await main(page), /Hail on Tower: judge it between 5 Jul and 8 Jul, not before/);
  assert.match(await main(page), /Tell the insurer now/);
  await page.close();
});

test("heads and kernels counted stand beside the other yields", async () => {
  const page = await open("06-28", "/enter/yield_count?field=long-90");
  await page.locator("[name=heads_per_m2]").fill("45");
  await page.locator("[name=kernels_per_head]").fill("30");
  await page.locator("[name=tkw_g]").fill("33");
  await write(page);
  await page.goto(`${desks["06-28"].url}/field/long-90`);
  // 45 x 30 x 33 x 0.0016006 = 71.3 bu/ac
  assert.match(await main(page), /By heads and kernels counted\s+71 bu\/ac, 28 Jun/);
  await page.close();
});

test("rain coming while seeding: acres by the hour, and a wrong time named beside its box", async () => {
  const page = await open("05-05", "/field/slough-quarter/rain?left=60&now=18:00&rain_at=23:00");
  const text = await main(page);
  assert.match(text, /Finish it: done by about|Stop by/);
  assert.match(text, /19:00\s+\d+ ac/);
  await page.locator("#rain_at").fill("late");
  await page.getByRole("button", { name: "Reckon" }).click();
  assert.match(await page.locator("#rain_at-wrong").innerText(), /"late" is no time of day/);
  assert.equal(await page.locator("#rain_at").inputValue(), "late");
  await page.locator("#rain_at").fill("18:10");
  await page.getByRole("button", { name: "Reckon" }).click();
  assert.match(await main(page), /Stop now/);
  await page.close();
});

test("a ripe field says when it may be cut by the hour and what standing on risks", async () => {
  const page = await open("08-20", "/field/tower");
  const text = await main(page);
  assert.match(text, /Hours with grain at 17 % or less/);
  assert.match(text, /If it stands on/);
  assert.match(text, /too dry for a herbicide before harvest|may go on once a thumb test there agrees|No herbicide before harvest yet/);
  await page.close();
});
