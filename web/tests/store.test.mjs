// The bins on the evening of 3 September, in a real browser: what the fan should do, the pages beside it, readings from a
// device, and the fan switched by one touch.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { chromium } from "playwright-core";
import { CHROMIUM, desk } from "./desk.mjs";
import { faults, fits, openPage } from "./page.mjs";

let browser;
let yard;
before(async () => {
  browser = await chromium.launch(CHROMIUM);
  yard = await desk({ day: "09-03" });
});
after(async () => {
  await browser?.close();
  await yard?.stop();
});

/** Opens a page and stays until its reckoning is done; the page looks again by itself until then. */
async function open(path, options = {}) {
  const page = await openPage(browser, yard.url + path, options);
  // The page asks again by itself until all is reckoned: wait for the answer that no longer does.
  let answer = await page.goto(yard.url + path);
  while (answer.headers()["refresh"]) {
    answer = await page.waitForResponse((r) => r.request().isNavigationRequest() && r.url() === yard.url + path, { timeout: 150_000 });
  }
  await page.waitForLoadState();
  return page;
}


test("the first screen of a phone says what the fan does tonight and why", async () => {
  const page = await open("/bins/bin-9/air");
  const h1 = page.locator("h1");
  assert.match(await h1.innerText(), /^Bin 9: fan ON/);
  const why = page.locator(".todo .why").first();
  assert.match((await why.innerText()).replace(/\s+/g, " "), /Top 4 ft at 18\.5 % and 26 C: \d+ days of life left/);
  const box = await why.boundingBox();
  assert.ok(box.y + box.height < 740, "the reason is on the first screen");
  assert.match(await page.locator("main").innerText(), /Waiting a day costs about \$/);
  assert.match(await page.locator("main").innerText(), /Through the drier/);
  assert.equal(await page.locator("figure svg.layers").count(), 2, "fan off and as told");
  await page.close();
});

test("the layers run as a picture, day by day, and only when told", async () => {
  const page = await open("/bins/bin-9/air");
  const said = page.locator("[data-film-said]");
  const shown = () => page.locator(".film g.frame:not([hidden])").evaluateAll((all) => all.map((g) => g.dataset.day));
  assert.deepEqual(await shown(), ["3 Sep"]);
  await page.locator("[data-film-at]").fill("4");
  assert.deepEqual(await shown(), ["11 Sep"]);
  assert.equal(await said.innerText(), "11 Sep");
  // The page's clock is held: its pictures move when told.
  await page.clock.install();
  await page.getByRole("button", { name: "Run it" }).click();
  await page.clock.runFor(400);
  assert.deepEqual(await shown(), ["13 Sep"]);
  await page.getByRole("button", { name: "Stop" }).click();
  await page.clock.runFor(2_000);
  assert.deepEqual(await shown(), ["13 Sep"]);
  await page.close();
  const plain = await browser.newContext({ javaScriptEnabled: false });
  const still = await plain.newPage();
  await still.goto(`${yard.url}/bins/bin-9/air`);
  assert.equal(await still.locator(".film").isVisible(), false, "without scripts the row of bins says it");
  assert.equal(await still.locator("figure svg.layers").count(), 2);
  await plain.close();
});

test("every bin page is readable at both widths and in both themes, warns, and sends no one in", async () => {
  for (const path of ["/bins/bin-9/air", "/bins/bin-2/air", "/bins/air", "/bins/bin-9/fan", "/bins/bin-9/tape", "/bins/bin-9/card", "/setup/readings"]) {
    for (const width of [360, 1280]) {
      for (const colorScheme of ["light", "dark"]) {
        const page = await open(path, { viewport: { width, height: 800 }, colorScheme });
        assert.deepEqual(await faults(page), [], `${path} at ${width} px, ${colorScheme}`);
        await fits(page, `${path} at ${width} px`);
        if (path.startsWith("/bins")) {
          const text = await page.locator("main").innerText();
          assert.match(text, /Never go into a bin/);
          assert.doesNotMatch(text, /\b(climb in|go in and|enter the bin)\b/i);
        }
        await page.close();
      }
    }
  }
});

test("a cable's stuck sensor is named and a bin of peas says why nothing is reckoned", async () => {
  const stuck = await open("/bins/bin-2/air");
  assert.match(await stuck.locator("main").innerText(), /Sensor cable 1, 3 has read exactly the same/);
  await stuck.close();
  const all = await open("/bins/air");
  assert.match(await all.locator("main").innerText(), /equilibrium constants for peas/);
  await all.close();
});

test("the table and the card print without the places", async () => {
  for (const path of ["/bins/bin-9/tape", "/bins/bin-9/card"]) {
    const page = await open(path, { viewport: { width: 816, height: 1056 } });
    await page.emulateMedia({ media: "print" });
    assert.equal(await page.locator(".places").isVisible(), false);
    await fits(page, `${path} in print`);
    await page.close();
  }
  const card = await open("/bins/bin-9/card");
  assert.ok((await card.locator("svg.qr rect").count()) > 200);
  await card.close();
});

test("a device is let in by its password only", async () => {
  const page = await open("/setup/readings");
  await page.getByRole("button", { name: "Make a password" }).click();
  const word = await page.locator("p.big code").innerText();
  await page.close();
  const send = (body, headers) =>
    fetch(`${yard.url}/readings`, { method: "POST", headers: { "content-type": "application/json", ...headers }, body: JSON.stringify(body) });
  const one = { bin: "bin-9", at: "2026-09-03T19:00", sensor: "top", height_m: 2.8, temperature_c: 26.4 };
  assert.equal((await send(one, {})).status, 401);
  assert.equal((await send(one, { authorization: "Bearer guess" })).status, 401);
  const let_in = { authorization: `Bearer ${word}` };
  const first = await send([one], let_in);
  assert.equal(first.status, 200);
  assert.deepEqual(await first.json(), { ok: true, new: 1, changed: 0, same: 0 });
  assert.equal((await (await send([one], let_in)).json()).same, 1);
  const bad = await send([{ ...one, bin: "bin-99" }, { ...one, temperature_c: 400 }], let_in);
  assert.equal(bad.status, 422);
  const said = await bad.json();
  assert.match(said.bad[0].sentence, /no bin "bin-99"/);
  assert.match(said.bad[1].sentence, /Fahrenheit/);
  assert.equal((await send("nonsense", let_in)).status, 422);
  // With a page's origin it is no device, whatever the password.
  assert.equal((await send(one, { ...let_in, origin: "http://elsewhere.example" })).status, 403);
});

test("the fan is switched by one touch, and a wrong reading is stopped beside its input", async () => {
  const page = await open("/bins/bin-9/air");
  await page.getByRole("button", { name: "Fan is ON" }).click();
  assert.match(await page.locator("main").innerText(), /Written down/);
  await page.close();
  const again = await open("/bins/bin-9/air");
  assert.match(await again.locator("main").innerText(), /In the book the fan is on/);
  await again.close();
  const form = await open("/enter/bin_reading?bin=bin-9");
  await form.getByRole("button", { name: /Write it down|Keep|Write/ }).last().click();
  assert.match(await form.locator("main").innerText(), /at least one thing that was read/);
  await form.locator("#top_c").fill("79");
  await form.getByRole("button", { name: /Write it down|Keep|Write/ }).last().click();
  assert.match(await form.locator("main").innerText(), /Did you mean Fahrenheit/);
  assert.equal(await form.locator("#top_c").inputValue(), "79");
  await form.close();
});
