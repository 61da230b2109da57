// The pages in a real browser: seen by axe at both widths and in both themes, with and without script, and walked as a
// farmer would.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { after, before, test } from "node:test";
import { PAGES, openBrowser, openDesk } from "./desk.mjs";

const axeSource = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
let browser;
let desk;
before(async () => {
  browser = await openBrowser();
  desk = await openDesk("05-05");
});
after(async () => {
  await browser?.close();
  desk?.close();
});

/** A page that fails the test on any script error. */
async function open(path, options = {}) {
  const page = await browser.newPage({ viewport: { width: 360, height: 740 }, ...options });
  page.on("pageerror", (e) => assert.fail(`script error on ${path}: ${e}`));
  const answer = await page.goto(path.startsWith("http") ? path : desk.address + path);
  assert.ok(answer.ok(), `${path} answered ${answer.status()}`);
  return page;
}

for (const width of [360, 1280]) {
  for (const colorScheme of ["light", "dark"]) {
    test(`axe finds nothing serious at ${width} px, ${colorScheme}`, async () => {
      for (const [name, path] of Object.entries(PAGES)) {
        const page = await open(path, { viewport: { width, height: 800 }, colorScheme });
        await page.evaluate(axeSource);
        const found = await page.evaluate(() => axe.run());
        const bad = found.violations.filter((v) => v.impact === "serious" || v.impact === "critical");
        const told = bad.map((v) => `${v.id}: ${v.nodes.map((n) => n.html).slice(0, 3).join(" ")}`);
        assert.deepEqual(told, [], `${name} at ${width} px, ${colorScheme}`);
        const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
        assert.ok(wide <= 0, `${name} is ${wide} px wider than the ${width} px screen`);
        await page.close();
      }
    });
  }
}

test("every page says the same without script", async () => {
  for (const [name, path] of Object.entries(PAGES)) {
    const page = await open(path, { javaScriptEnabled: false });
    assert.ok((await page.locator("h1").innerText()).length > 3, name);
    await page.close();
  }
});

test("a page is light: under 200 kB with its files", async () => {
  const page = await browser.newPage();
  let bytes = 0;
  page.on("response", async (r) => {
    bytes += (await r.body().catch(() => Buffer.alloc(0))).length;
  });
  await page.goto(desk.address + "/", { waitUntil: "networkidle" });
  assert.ok(bytes > 10_000 && bytes < 200_000, `${bytes} bytes`);
  await page.close();
});

test("rain in the gauge: written, shown in the book, undone", async () => {
  const page = await open("/enter/rain");
  await page.getByRole("button", { name: "more: Rain" }).click();
  await page.getByRole("button", { name: "more: Rain" }).click();
  assert.equal(await page.getByRole("textbox", { name: "Rain since" }).inputValue(), "2");
  await page.getByRole("button", { name: "Write it down" }).click();
  await page.waitForURL(/saved/);
  assert.match(await page.locator("main").innerText(), /2 mm/);
  await page.getByRole("button", { name: "Undo" }).click();
  await page.waitForURL(/book/);
  assert.match(await page.locator("table").innerText(), /corrected or taken back/);
  await page.close();
});

test("GO at the gate is one button, works without script, and is kept once", async () => {
  const page = await open("/", { javaScriptEnabled: false });
  await page.getByRole("button", { name: "GO" }).first().click();
  assert.match(page.url(), /saved/);
  assert.match(await page.locator("main").innerText(), /GO/);
  await page.close();
});

test("wrong input is named beside its box and what was typed stays", async () => {
  const cases = [
    ["rain", "Rain since", "a lot", /not a number/],
    ["rain", "Rain since", "900", /not right yet/],
    ["kernel_moisture", "Moisture", "160", /not right yet/],
    ["emergence_seen", "Plants", "many", /not a number/],
    ["seeding", "Depth", "x", /not a number/],
    ["cut", "Yield", "x", /not a number/],
    ["spray_pass", "Rate", "1 L", /is missing/],
    ["price", "Money", "x", /not a number/],
    ["local_number", "Coefficient", "no.such", /not right yet/],
    ["farm", "Latitude", "120", /not right yet/],
    ["field", "Area", "wide", /not a number/],
    ["machine", "Working width", "x", /not a number/],
    ["crop_plan", "Year", "soon", /not a number/],
    ["soil_test", "Phosphorus", "twelve", /not a number/],
  ];
  for (const [kind, label, typed, told] of cases) {
    const page = await open(`/enter/${kind}`, { javaScriptEnabled: false });
    const box = page.getByRole("textbox", { name: label }).first();
    await box.fill(typed);
    await page.getByRole("button", { name: "Write it down" }).click();
    assert.match(await page.locator("main").innerText(), told, kind);
    assert.equal(await box.inputValue(), typed, `${kind} lost what was typed`);
    await page.close();
  }
});

test("a page of another site cannot write", async () => {
  const answer = await fetch(`${desk.address}/enter/rain`, {
    method: "POST",
    headers: { origin: "http://elsewhere.example", "content-type": "application/x-www-form-urlencoded" },
    body: "rain_mm=3",
  });
  assert.equal(answer.status, 403);
});

test("a calculator answers with its working and names a wrong input", async () => {
  const page = await open("/calculators/harvest.field_capacity");
  await page.getByRole("button", { name: "Reckon" }).click();
  assert.match(await page.locator("main").innerText(), /Answer|should be|missing/);
  await page.close();
});

test("from an empty farm to the first Today in five facts", async () => {
  const empty = await openDesk(null);
  try {
    const page = await open(`${empty.address}/`, { javaScriptEnabled: false });
    assert.match(page.url(), /setup/);
    await page.getByRole("button", { name: "Show me today" }).click();
    assert.match(await page.locator("main").innerText(), /missing/);
    await page.getByLabel("What is the farm called?").fill("New Start");
    await page.getByLabel("Latitude").fill("50.3");
    await page.getByLabel("Longitude").fill("-102.5");
    await page.getByLabel("Name of one wheat field").fill("Home Field");
    await page.getByLabel("Its acres").fill("150");
    await page.getByRole("button", { name: "Show me today" }).click();
    assert.equal(new URL(page.url()).pathname, "/");
    const said = await page.locator("main").innerText();
    assert.match(said, /Home Field/);
    assert.match(said, /soil of Home Field is not known/);
    await page.close();
  } finally {
    empty.close();
  }
});
