// The pages in a real browser: seen by axe at both widths and in both themes, with and without script, and walked as a
// farmer would.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { chromium } from "playwright-core";
import { CHROMIUM, desk, pages } from "./desk.mjs";
import { LOOKS, faults, lookAt, openPage } from "./page.mjs";

let browser;
let spring;
before(async () => {
  browser = await chromium.launch(CHROMIUM);
  spring = await desk({ day: "05-05" });
});
after(async () => {
  await browser?.close();
  await spring?.stop();
});

const open = (path, options = {}) => openPage(browser, path.startsWith("http") ? path : spring.url + path, options);


for (const how of LOOKS) {
  test(`axe finds nothing serious, and nothing is wider than the screen, at ${how.width} px, ${how.colorScheme}`, () =>
    lookAt(browser, spring.url, pages("05-05").map(([, path]) => path), how));
}

for (const day of ["06-28", "08-20", "01-15"]) {
  test(`Today and a field stand on the morning of ${day}`, async () => {
    const d = await desk({ day });
    try {
      for (const path of ["/", "/fields", "/field/tower", "/plan"]) {
        const page = await open(d.url + path);
        assert.deepEqual(await faults(page), [], `${path} on ${day}`);
        assert.equal(await page.locator("h1").count(), 1, `${path} on ${day} has one first heading`);
        await page.close();
      }
    } finally {
      await d.stop();
    }
  });
}

test("every page says the same without script", async () => {
  for (const [name, path] of pages("05-05")) {
    const said = [];
    for (const javaScriptEnabled of [true, false]) {
      const page = await open(path, { javaScriptEnabled });
      assert.ok((await page.locator("h1").innerText()).length > 2, name);
      // The plus and minus buttons are help, not content; times of day move on.
      said.push((await page.locator("main").innerText()).replace(/^[+\u2212]$/gm, "").replace(/\d+:\d\d/g, "").replace(/\s+/g, " "));
      await page.close();
    }
    assert.equal(said[0], said[1], name);
  }
});

test("a page is light: under 200 kB with its files", async () => {
  const page = await browser.newPage();
  let bytes = 0;
  page.on("response", async (r) => {
    bytes += (await r.body().catch(() => Buffer.alloc(0))).length;
  });
  await page.goto(spring.url + "/", { waitUntil: "networkidle" });
  assert.ok(bytes > 10_000 && bytes < 200_000, `${bytes} bytes`);
  await page.close();
});

test("glove pages have targets of 76 px", async () => {
  for (const path of ["/enter/rain", "/enter/kernel_moisture", "/"]) {
    const page = await open(path);
    const small = await page.locator(".act.glove button, .act.glove .btn, form.glove .act button, form.glove .step, form.glove .with-unit input").evaluateAll((all) =>
      all.filter((e) => e.offsetParent && e.getBoundingClientRect().height < 76).map((e) => e.outerHTML.slice(0, 90)),
    );
    assert.deepEqual(small, [], path);
    await page.close();
  }
});

test("rain in the gauge: tapped, written, undone, brought back", async () => {
  const page = await open("/enter/rain");
  const more = page.getByRole("button", { name: /Rain since.* more/ });
  for (let i = 0; i < 4; i++) await more.click();
  await page.getByRole("button", { name: /Rain since.* less/ }).click();
  assert.equal(await page.getByRole("textbox", { name: /Rain since/ }).inputValue(), "3");
  await page.getByRole("button", { name: "Write it down" }).click();
  assert.match(await page.locator("main").innerText(), /Written down[\s\S]*3 mm, in the yard/);
  await page.getByRole("button", { name: "Undo" }).click();
  assert.equal(await page.locator("h1").innerText(), "Taken back");
  await page.goto(`${spring.url}/book?kind=rain`);
  assert.match(await page.locator(".entries li").first().innerText(), /3 mm[\s\S]*Taken back/);
  await page.goBack();
  await page.getByRole("button", { name: "Bring it back" }).click();
  await page.goto(`${spring.url}/book?kind=rain`);
  assert.doesNotMatch(await page.locator(".entries li").first().innerText(), /Taken back/);
  await page.close();
});

test("what holds for several fields to drill is said once, and first", async () => {
  const page = await open("/");
  assert.match(await page.locator("h1").innerText(), /^Not today: drill \w.*, .* or \w.*\. The first likely /s);
  assert.ok((await page.getByText("is not fit to drill today").count()) >= 2, "each field still has its own");
  await page.close();
});

test("GO at the gate is one button, and its undo another, without script", async () => {
  const page = await open("/", { javaScriptEnabled: false });
  await page.getByRole("button", { name: /^GO: / }).first().click();
  assert.match(await page.locator("main").innerText(), /GO for seeding/);
  await page.getByRole("button", { name: "Undo" }).click();
  assert.equal(await page.locator("h1").innerText(), "Taken back");
  await page.close();
});

test("no, because: kept and shown with the decision", async () => {
  const page = await open("/", { javaScriptEnabled: false });
  const first = page.locator("article.todo").first();
  await first.locator(".because summary").click();
  await first.getByLabel("Why not?").fill("the north end is soft");
  await first.getByRole("button", { name: "Keep it" }).click();
  await page.goto(spring.url);
  assert.match(await page.locator("main").innerText(), /You answered today: no, the north end is soft/);
  await page.close();
});

test("the same form sent twice is one entry", async () => {
  const page = await open("/enter/note", { javaScriptEnabled: false });
  const typed = await page.locator("form input").evaluateAll((all) => all.map((e) => [e.name, e.value]));
  const send = (text) =>
    fetch(`${spring.url}/enter/note`, {
      method: "POST",
      redirect: "manual",
      headers: { origin: spring.url },
      body: new URLSearchParams([...typed, ["text", text]]),
    });
  const [first, second] = [await send("sent twice"), await send("sent twice")];
  assert.equal(first.status, 303);
  assert.equal(second.headers.get("location"), first.headers.get("location"));
  const other = await send("changed since");
  assert.equal(other.status, 422);
  assert.match(await other.text(), /already written down with other figures/);
  await page.goto(`${spring.url}/book?kind=note`);
  const said = await page.locator(".entries").innerText();
  assert.equal(said.split("sent twice").length, 2);
  assert.doesNotMatch(said, /changed since/);
  await page.close();
});

test("an entry is corrected, and both stand in the book", async () => {
  const page = await open("/enter/kernel_moisture", { javaScriptEnabled: false });
  await page.getByRole("textbox", { name: "Moisture" }).fill("16.5");
  await page.getByRole("button", { name: "Write it down" }).click();
  await page.goto(`${spring.url}/book?kind=kernel_moisture`);
  await page.getByRole("link", { name: /^Correct/ }).first().click();
  const box = page.getByRole("textbox", { name: "Moisture" });
  assert.equal(await box.inputValue(), "16.5");
  await box.fill("15.5");
  await page.getByRole("button", { name: "Write the correction" }).click();
  await page.goto(`${spring.url}/book?kind=kernel_moisture`);
  const said = await page.locator(".entries").innerText();
  assert.match(said, /15\.5 %/);
  assert.match(said, /16\.5 %[\s\S]*Corrected\./);
  await page.close();
});

test("wrong input is named beside its box and what was typed stays", async () => {
  const cases = [
    ["rain", /Rain since/, "a lot", /not a number/],
    ["rain", /Rain since/, "900", /cannot be right/],
    ["harrowed", /Area/, "900", /cannot be worked/],
    ["seeding", /Depth/, "x", /not a number/],
    ["emergence_seen", /Plants/, "many", /not a number/],
    ["stage_seen", /Leaves/, "40", /cannot be right/],
    ["spray_pass", /^Days to harvest/, "x", /not a number/],
    ["kernel_moisture", /Moisture/, "160", /cannot be right/],
    ["cut", /Yield/, "x", /not a number/],
    ["soil_test", /^Phosphorus/, "twelve", /not a number/],
    ["price", /Money/, "x", /not a number/],
    ["local_number", /Coefficient/, "no.such", /missing/],
    ["farm", /Latitude/, "120", /cannot be right/],
    ["units", /Mark of money/, "far too long a mark", /few letters/],
    ["machine", /Working width/, "x", /not a number/],
    ["field", /Area/, "wide", /not a number/],
    ["crop_plan", /Year/, "soon", /not a number/],
  ];
  for (const [kind, label, typed, told] of cases) {
    const page = await open(`/enter/${kind}`, { javaScriptEnabled: false });
    const box = page.getByRole("textbox", { name: label }).first();
    await box.fill(typed);
    await page.getByRole("button", { name: /Write/ }).click();
    assert.match(await page.locator("main").innerText(), told, kind);
    assert.equal(await box.inputValue(), typed, `${kind} lost what was typed`);
    await page.close();
  }
});

test("a choice left open is asked for; a day to come is refused and the reason typed stays", async () => {
  const page = await open("/enter/thumb_test", { javaScriptEnabled: false });
  await page.getByRole("button", { name: "Write it down" }).click();
  assert.match(await page.locator(".wrong").first().innerText(), /is missing/);
  await page.goto(`${spring.url}/enter/go_no_go`);
  await page.getByLabel(/^Why/).fill("soft in the low spot");
  await page.getByText("change", { exact: false }).click();
  await page.getByLabel("Day").fill("2031-05-05");
  await page.getByRole("button", { name: "NO" }).click();
  assert.match(await page.locator(".wrong").first().innerText(), /in the future/);
  assert.equal(await page.getByLabel(/^Why/).inputValue(), "soft in the low spot");
  await page.getByLabel("Day").fill("2026-05-05");
  await page.getByRole("button", { name: "NO" }).click();
  assert.match(await page.locator("main").innerText(), /NO for seeding[\s\S]*soft in the low spot/);
  await page.close();
});

test("a page of another site cannot write", async () => {
  const send = (headers) =>
    fetch(`${spring.url}/enter/rain`, {
      method: "POST",
      headers: { "content-type": "application/x-www-form-urlencoded", ...headers },
      body: "rain_mm=3",
    });
  assert.equal((await send({ origin: "http://elsewhere.example" })).status, 403);
  assert.equal((await send({})).status, 403);
  const page = await fetch(spring.url);
  assert.match(page.headers.get("content-security-policy"), /default-src 'none'/);
  assert.equal(page.headers.get("cache-control"), "no-store");
});

test("a calculator answers with its working and names a wrong input", async () => {
  const page = await open("/calculators/harvest.field_capacity", { javaScriptEnabled: false });
  await page.getByRole("button", { name: "Reckon" }).click();
  assert.match(await page.locator("main").innerText(), /Answer|should be|missing/);
  const box = page.locator("form input[inputmode=decimal]").first();
  await box.fill("wide");
  await page.getByRole("button", { name: "Reckon" }).click();
  assert.match(await page.locator(".wrong").first().innerText(), /should be a number/);
  assert.equal(await box.inputValue(), "wide");
  await page.close();
});

test("from an empty farm to the first Today in five facts, then weather", async () => {
  const empty = await desk({ asOf: "2026-05-05" });
  try {
    const page = await open(`${empty.url}/`, { javaScriptEnabled: false });
    assert.match(page.url(), /setup\/new/);
    assert.deepEqual(await faultsWithScript(page.url()), []);
    await page.getByLabel("What is the farm called?").fill("New Start");
    await page.getByRole("button", { name: "To the first Today" }).click();
    assert.match(await page.locator("main").innerText(), /is missing/);
    assert.equal(await page.getByLabel("What is the farm called?").inputValue(), "New Start");
    await page.getByLabel("Where is it, roughly?").selectOption("South-east Saskatchewan");
    await page.getByLabel("One wheat field").fill("Home Field");
    await page.getByLabel("How large is it?").fill("150");
    await page.getByRole("button", { name: "To the first Today" }).click();
    assert.equal(new URL(page.url()).pathname, "/");
    const said = await page.locator("main").innerText();
    assert.match(said, /Home Field/);
    assert.match(said, /no weather on file/i);

    // A file with a wrong row and no unit: asked, shown, and brought in only with a word from the person.
    await page.goto(`${empty.url}/setup/weather`);
    const rows = ["date,tmax,tmin,rain_mm", "2026-05-01,15,2,0", "2026-05-02,16,3,1.5", "2026-05-03,150,4,0", "2026-05-04,17,4,0"];
    await page.getByLabel("File").setInputFiles({ name: "yard.csv", mimeType: "text/csv", buffer: Buffer.from(rows.join("\n")) });
    await page.getByRole("button", { name: "Look at it" }).click();
    assert.match(await page.locator("main").innerText(), /In what unit/);
    await page.getByLabel(/^C$/).check();
    await page.getByRole("button", { name: "Go on" }).click();
    assert.match(await page.locator("main").innerText(), /3 days[\s\S]*Line 4/);
    await page.getByRole("button", { name: "Bring it in" }).click();
    assert.match(await page.locator("main").innerText(), /wrong rows may be left out/);
    await page.getByLabel(/Leave the wrong rows out/).check();
    await page.getByRole("button", { name: "Bring it in" }).click();
    assert.match(await page.locator("main").innerText(), /Brought in: 3 new/);
    await page.close();
  } finally {
    await empty.stop();
  }
});

async function faultsWithScript(url) {
  const page = await open(url);
  const found = await faults(page);
  await page.close();
  return found;
}

test("a copy of the book comes down whole", async () => {
  const answer = await fetch(`${spring.url}/setup/backup`);
  assert.match(answer.headers.get("content-disposition"), /alder-bend-.*\.stook/);
  const bytes = Buffer.from(await answer.arrayBuffer());
  assert.equal(bytes.subarray(0, 15).toString(), "SQLite format 3");
});
