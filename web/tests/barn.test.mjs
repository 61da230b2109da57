// The barn in a real browser: the January kitchen table as the farmer would walk it, a batch written back, a trace both
// ways, wrong input, and axe over every barn page.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { chromium } from "playwright-core";
import { CHROMIUM, desk } from "./desk.mjs";
import { LOOKS, lookAt, openPage } from "./page.mjs";

let browser;
let january;
before(async () => {
  browser = await chromium.launch(CHROMIUM);
  january = await desk({ day: "01-15" });
});
after(async () => {
  await browser?.close();
  await january?.stop();
});

const open = (path, options = {}) => openPage(browser, january.url + path, { viewport: { width: 1280, height: 900 }, ...options });

const PAGES = [
  "/barn",
  "/barn/plan",
  "/barn/ration/grower_1",
  "/barn/ration/starter_1",
  "/barn/batch/grower-1-1",
  "/barn/trace",
  "/barn/trace?group=grower-1",
  "/barn/goats",
  "/barn/became",
  "/barn/became/gravel-pit",
  "/barn/closeout/finisher-2",
  "/money",
  "/money?year=2025",
  "/enter/cost",
  "/enter/machine_value",
  "/enter/money_in",
  "/barn/step-in/bin-2",
  "/enter/ingredient",
  "/enter/herd_group",
  "/enter/buyer",
  "/enter/mixer_test",
  "/enter/feed_level",
  "/enter/scale_check",
  "/enter/sieve_test",
  "/enter/straw_on_hand",
  "/enter/breeding",
];

for (const how of LOOKS) {
  test(`axe finds nothing serious in the barn, and nothing is wider than the screen, at ${how.width} px, ${how.colorScheme}`, () =>
    lookAt(browser, january.url, PAGES, how));
}

test("the January table: the plan, why one bin goes to the pigs, and the batch sheet printed", async () => {
  const page = await open("/");
  await page.getByRole("navigation", { name: "Places" }).getByRole("link", { name: "Barn" }).click();
  await page.getByRole("link", { name: "Mill or trough" }).click();
  const text = await page.locator("main").innerText();
  assert.match(text, /Sell Bin 1 \(14\.\d %/, "the high-protein bin is sold");
  assert.match(text, /Feed Bin 4 \(12\.\d %/, "the low-protein bin goes to the pigs");
  assert.match(text, /\d{3} a tonne in the trough, \d{3} at the mill/);
  const four = page.locator("article", { has: page.locator("#bin-4") });
  assert.match(await four.innerText(), /: [1-9]\d* more in the trough|fed all the same, because/, "why it goes to the pigs");
  assert.match(text, /Hold [\d,]+ bu .* enough 9 years in 10/);
  assert.match(text, /Soybean meal 40 a tonne dearer/);
  assert.match(text, /operating loan/, "what is due stands in the cash");
  assert.match(text, /Which bin to finish first/);
  assert.match(text, /One season in ten under|one season in ten under/);
  await page.getByRole("link", { name: "The barn" }).click();
  await page.locator("main ol a").first().click();
  assert.match(await page.locator("h1").innerText(), /Batch sheet 26-\d{3}/);
  assert.ok((await page.locator("form.batch tbody tr").count()) >= 8, "every ingredient is on the sheet");
  const pdf = await page.pdf({ format: "Letter" });
  assert.ok(pdf.length > 5000);
  const pages = (pdf.toString("latin1").match(/\/Type\s*\/Page[^s]/g) ?? []).length;
  assert.ok(pages <= 2, `the sheet prints on ${pages} pages`);
  await page.close();
});

test("a batch is written back and traced both ways; a wrong weight is told", async () => {
  const page = await open("/barn/batch/grower-1-1");
  const number = await page.locator("#number").inputValue();
  const first = page.locator("input.weighed").first();
  const asked = await first.inputValue();
  await first.fill("about a tonne");
  await page.getByRole("button", { name: "Batch made" }).click();
  assert.match(await page.locator("main").innerText(), /is not a weight; write kilograms/);
  assert.equal(await page.locator("input.weighed").first().inputValue(), "about a tonne", "what was typed is kept");
  await page.locator("input.weighed").first().fill(String(Number(asked) + 4));
  await page.getByRole("button", { name: "Batch made" }).click();
  assert.match(await page.locator("main").innerText(), new RegExp(number));
  await page.goto(january.url + `/barn/trace?batch=${number}`);
  const text = await page.locator("main").innerText();
  assert.match(text, /Gravel Pit/, "back to the field");
  assert.match(text, /Grower 1/, "forward to the pen");
  const started = Date.now();
  await page.goto(january.url + "/barn/trace?field=gravel-pit");
  assert.ok(Date.now() - started < 3000, "a trace is quick");
  assert.match(await page.locator("main").innerText(), new RegExp(number));
  await page.goto(january.url + "/barn/trace?batch=99-999");
  assert.match(await page.locator("[role=alert]").innerText(), /no batch 99-999/);
  await page.close();
});

test("a ration says what would change it, is accepted with a name, and an impossible one says why", async () => {
  const page = await open("/barn/ration/finisher_1");
  const text = await page.locator("main").innerText();
  assert.match(text, /a tonne/);
  assert.match(text, /comes in at|stays as it is/);
  await page.locator("#reviewed_by").fill("A. Nutritionist");
  await page.getByRole("button", { name: "Accept this ration" }).click();
  await page.goto(january.url + "/barn/ration/finisher_1");
  assert.match(await page.locator("main").innerText(), /Looked at by A\. Nutritionist/);
  await page.goto(january.url + "/barn/ration/starter_1");
  assert.match(await page.locator("main").innerText(), /cannot all be met together|Nothing on offer meets/);
  await page.close();
});

test("treated seed is refused and nobody may let it past", async () => {
  const { execFileSync } = await import("node:child_process");
  const bin = process.env.STOOK_BIN ?? "../target/release/stook";
  const lines = JSON.stringify([{ of: "spring_wheat", bin: "bin-11", asked_kg: 1200, weighed_kg: 1200 }]);
  const add = ["add", "batch", "ration=grower-1-1", "number=26-900", `lines=${lines}`, "--at", "2026-01-14", "--book", january.book];
  assert.throws(() => execFileSync(bin, add, { stdio: "pipe" }), /Treated seed never goes into feed/);
});

test("the risk of running short is chosen, looked at, and kept as the farm's own number", async () => {
  const page = await open("/barn/plan");
  const held = async () => Number((await page.locator("#hold p b").first().innerText()).replace(/[^0-9]/g, ""));
  const before = await held();
  await page.locator("#short").selectOption("2");
  await page.getByRole("button", { name: "Look" }).click();
  assert.match(await page.locator("#hold").innerText(), /enough 49 years in 50/);
  assert.ok((await held()) > before, "a smaller risk holds more");
  await page.getByRole("link", { name: "Keep it as our own number" }).click();
  await page.locator("main form button[type=submit]").last().click();
  await page.goto(january.url + "/barn/plan");
  assert.match(await page.locator("#hold").innerText(), /enough 49 years in 50/);
  await page.close();
});

test("money by field: what is missing is asked, a bill fills it, wrong input is told", async () => {
  const page = await open("/money");
  let text = await page.locator("main").innerText();
  assert.match(text, /A bushel of spring wheat of 2026 costs/);
  assert.match(text, /Not known, and not in it/);
  assert.match(text, /as it was|At your mean of other years|at your usual/i);
  assert.match(text, /Cash by month/);
  await page.goto(january.url + "/money?year=2025");
  text = await page.locator("main").innerText();
  assert.match(text, /Spring wheat, fed/i);
  assert.match(text, /worth in the trough by the joint plan/);
  await page.goto(january.url + "/enter/cost?crop_year=2026");
  await page.locator("#kind").selectOption("spray");
  await page.locator("#per_ha").fill("18");
  await page.locator("#amount").fill("900");
  await page.locator("main form button[type=submit]").last().click();
  assert.match(await page.locator("main").innerText(), /not both/);
  assert.equal(await page.locator("#per_ha").inputValue(), "18", "what was typed is kept");
  await page.locator("#amount").fill("");
  await page.locator("main form button[type=submit]").last().click();
  await page.goto(january.url + "/money");
  assert.doesNotMatch(await page.locator("main").innerText(), /no pass and no bill is written/, "a bill for all fields answers it");
  await page.close();
});

test("goats by the buck's day, the scale and the grind on the barn's page", async () => {
  const page = await open("/barn/goats");
  assert.match(await page.locator("main").innerText(), /kids from/i);
  await page.goto(january.url + "/barn");
  const text = await page.locator("main").innerText();
  assert.match(text, /Ground wheat/);
  assert.match(text, /hand scale.*1\.5 % high/i);
  assert.match(text, /Straw .* bales/);
  await page.goto(january.url + "/enter/sieve_test");
  await page.locator("#catches").fill("1180 coarse");
  await page.locator("main form button[type=submit]").last().click();
  assert.match(await page.locator("main").innerText(), /is not a sieve/);
  await page.close();
});
