// The bin yard as it is used: a load from the cab in three taps at the most, undo, a bin's origins, a ticket with an
// error in it.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { chromium } from "playwright-core";
import { CHROMIUM, desk } from "./desk.mjs";
import { LOOKS, faults, lookAt, openPage } from "./page.mjs";

let browser;
let august;
before(async () => {
  browser = await chromium.launch(CHROMIUM);
  august = await desk({ day: "08-20" });
});
after(async () => {
  await browser?.close();
  await august?.stop();
});

const open = (path, options = {}) => openPage(browser, august.url + path, options);


for (const javaScriptEnabled of [true, false]) {
  test(`a load in three taps at the most and one number, ${javaScriptEnabled ? "with" : "without"} script`, async () => {
    const page = await open("/load", { javaScriptEnabled });
    let taps = 0;
    const tap = async (what) => {
      const box = await what.boundingBox();
      assert.ok(box.height >= 76, `a target of ${box.height} px is too small for a glove`);
      taps += 1;
      await what.click();
    };
    // Field and bin are those of the last load.
    const ends = await page.locator(".ends").innerText();
    assert.match(ends, /From/);
    assert.match(ends, /Into/);
    await tap(page.locator("#n"));
    await page.locator("#n").pressSequentially("16,420");
    await tap(page.getByRole("button", { name: "LOAD" }));
    assert.ok(taps <= 3, `${taps} taps`);
    const said = await page.getByRole("status").innerText();
    assert.match(said, /Written: .*16,420 kg/);
    assert.match(said, /On the bag: .*load \d+/);
    // The way back.
    await tap(page.getByRole("button", { name: "Undo" }));
    assert.match(await page.locator("main").innerText(), /Taken back/);
    await page.close();
  });
}

test("a wrong weight is said beside its input and what was typed stays", async () => {
  const page = await open("/load");
  await page.locator("#n").fill("164200");
  await page.getByRole("button", { name: "LOAD" }).click();
  assert.match(await page.locator("#n-wrong").innerText(), /no load for one truck/);
  assert.equal(await page.locator("#n").inputValue(), "164200");
  await page.locator("#n").fill("");
  await page.getByRole("button", { name: "LOAD" }).click();
  assert.match(await page.locator("#n-wrong").innerText(), /What did it weigh/);
  assert.deepEqual(await faults(page), []);
  await page.close();
});

test("another field and another bin are two taps each, with what would mix said", async () => {
  const page = await open("/load");
  await page.locator(".ends a").first().click();
  await page.getByRole("link", { name: /Long 90/ }).click();
  await page.locator(".ends a").nth(1).click();
  await page.getByRole("link", { name: /Bin 5/ }).click();
  const text = await page.locator("main").innerText();
  assert.match(text, /Bin 5 holds barley; this is spring wheat/);
  await page.close();
});

test("every bin is drawn, and opens on its origins", async () => {
  const page = await open("/bins");
  assert.equal(await page.locator(".bins li").count(), 12);
  assert.equal(await page.locator(".bins svg.bin").count(), 12);
  await page.locator(".bins a").first().click();
  const text = await page.locator("main").innerText();
  assert.match(text, /Where it came from/);
  assert.match(text, /The next load out/);
  assert.match(text, /Does it add up/);
  // One step from the bin back to the field.
  await page.locator(".origin a").first().click();
  assert.match(page.url(), /\/field\//);
  await page.close();
});

test("a ticket that does not add up is found, with the line, the likely slip and the dispute day", async () => {
  const page = await open("/bins/ticket");
  const put = async (id, text) => page.locator(`[id="${id}"]`).fill(text);
  await put("buyer", "Bend Elevator");
  await put("ticket", "77001");
  await put("gross_kg", "57,420");
  await put("tare_kg", "17,380");
  await put("dockage_pct", "1.5");
  await put("price_t", "300");
  await put("protein_t", "6");
  await put("discount_t", "4");
  await put("levy_t", "1");
  // The buyer left the protein premium out: 296 a tonne, carried down to the money.
  await put("theirs-net_t", "39.439");
  await put("theirs-price_t", "296");
  await put("theirs-payable", "11634.62");
  await page.getByRole("button", { name: "Check it" }).click();
  const text = await page.locator("main").innerText();
  assert.match(text, /Underpaid by \$236\.64: the price after adjustments is wrong/);
  assert.match(text, /the protein premium was left out/);
  assert.match(text, /another look at the grade can be asked until 4 Sep 2026/);
  assert.match(text, /Payable\s+\$11,871\.26\s+\$11,634\.62\s+carries it/);
  assert.deepEqual(await faults(page), []);
  await page.close();
});

test("a ticket settled twice for moisture is refused in one sentence", async () => {
  const page = await open("/bins/ticket");
  const put = async (id, text) => page.locator(`[id="${id}"]`).fill(text);
  await put("buyer", "Bend Elevator");
  await put("gross_kg", "57420");
  await put("tare_kg", "17380");
  await put("price_t", "300");
  await put("moisture_wb_pct", "16");
  await page.getByLabel("a discount for tough or damp").check();
  await put("moisture_per_t", "8");
  await put("shrink_to_pct", "14.5");
  await page.getByRole("button", { name: "Check it" }).click();
  assert.match(await page.locator("main").innerText(), /Moisture is settled once/);
  assert.equal(await page.locator("#gross_kg").inputValue(), "57420");
  await page.close();
});

const PAGES = ["/bins", "/bins/bin-1", "/bins/bin-2", "/load", "/load?choose=from", "/load?from=bin:bin-2&choose=to", "/bins/ticket", "/bins/jobs", "/bins/stored", "/emergency", "/harvest/result"];
for (const how of LOOKS) {
  test(`axe finds nothing serious on the yard's pages at ${how.width} px, ${how.colorScheme}`, () => lookAt(browser, august.url, PAGES, how));
}
