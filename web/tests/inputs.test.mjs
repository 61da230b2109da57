// From the laboratory's file to the drill card, as a new user would walk it, with every refusal and warning on the way.
import assert from "node:assert/strict";
import { writeFileSync, mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { chromium } from "playwright-core";
import { CHROMIUM, desk } from "./desk.mjs";
import { LOOKS, lookAt, openPage } from "./page.mjs";

const LAB = join(import.meta.dirname, "../../demo/lab-2025-fall.csv");
const folder = mkdtempSync(join(tmpdir(), "stook-lab-"));
let browser;
let winter;
before(async () => {
  browser = await chromium.launch(CHROMIUM);
  winter = await desk({ day: "01-15" });
});
after(async () => {
  await browser?.close();
  await winter?.stop();
});

const open = (path, options = {}, d = winter) => openPage(browser, d.url + path, options);

const main = (page) => page.locator("main").innerText();

async function choose(page, name, text) {
  const file = join(folder, name);
  writeFileSync(file, text);
  await page.goto(winter.url + "/inputs/soil-file");
  await page.setInputFiles("#file", file);
  await page.getByRole("button", { name: "Look at it" }).click();
}

test("the laboratory's file comes in, its bad figure named by line and column", async () => {
  const page = await open("/inputs/soil-file");
  await page.setInputFiles("#file", LAB);
  await page.getByRole("button", { name: "Look at it" }).click();
  let text = await main(page);
  assert.match(text, /8 soil tests in a CSV file, 3 of them in the book already/);
  assert.match(text, /Line 11, NO3-N 6-24 in \(lb\/ac\): "illegible" is not a number/);
  assert.match(text, /1 note/);
  await page.getByRole("button", { name: "Bring it in" }).click();
  assert.match(await main(page), /Say that the wrong figures may be left out/);
  await page.getByLabel("Leave this out and bring in the rest").check();
  await page.getByRole("button", { name: "Bring it in" }).click();
  assert.match(await main(page), /Brought in: 5 soil tests. 3 were there already/);
  // the same file again brings nothing
  await page.setInputFiles("#file", LAB);
  await page.getByRole("button", { name: "Look at it" }).click();
  assert.match(await main(page), /8 of them in the book already/);
  assert.equal(await page.getByRole("button", { name: "Bring it in" }).count(), 0);
  await page.close();
});

test("what a file does not say is asked in the page and remembered by its layout", async () => {
  const page = await open("/inputs/soil-file");
  await choose(page, "home.csv", "Land,Date,Nitrate,Phosphate\nHome place,2025-10-20,14,9\n");
  const text = await main(page);
  for (const said of [/Nitrate: which unit/, /Nitrate: as which is it quoted/, /Nitrate: from which depth/, /Phosphate: by which method/]) assert.match(text, said);
  await page.locator("#c2-unit").selectOption("ppm");
  await page.locator("#c2-basis").selectOption("N");
  await page.locator("#c2-depth").fill("0-24 in");
  await page.locator("#c3-unit").selectOption("ppm");
  await page.locator("#c3-basis").selectOption("P");
  await page.locator("#c3-depth").fill("0-6 in");
  await page.locator("#c3-method").selectOption("Olsen");
  await page.getByRole("button", { name: "Go on" }).click();
  assert.match(await main(page), /The file says "Home place": which of your fields is it/);
  await page.getByLabel(/which of your fields/).selectOption("home-quarter");
  await page.getByRole("button", { name: "Go on" }).click();
  assert.match(await main(page), /1 soil test/);
  await page.getByRole("button", { name: "Bring it in" }).click();
  assert.match(await main(page), /Brought in: 1 soil tests/);
  assert.match(await main(page), /Layouts remembered/);
  await choose(page, "home2.csv", "Land,Date,Nitrate,Phosphate\nHome place,2025-10-28,16,9\n");
  assert.match(await main(page), /As it will be kept/);
  await page.close();
});

test("files that are none, and figures that cannot be, are said plainly", async () => {
  const page = await open("/inputs/soil-file");
  await choose(page, "letter.csv", "Dear farmer\nthank you\n");
  assert.match(await main(page), /No table was found/);
  await choose(page, "odd.csv", "Field,Date,NO3-N 0-24 in (ppm),S 0-24 in (mg/L)\nTower,2076-10-20,14,\nTower,2025-10-20,14,3\n");
  const text = await main(page);
  assert.match(text, /Line 2, NO3-N 0-24 in \(ppm\): Sampled on 2076-10-20, which is still to come/);
  assert.match(text, /Line 3, S 0-24 in \(mg\/L\): This is a figure of the extract and not of the soil/);
  await page.close();
});

test("a Modus file keeps three phosphorus figures apart", async () => {
  const result = (element, value, unit, id) => `<NutrientResult><Element>${element}</Element><Value>${value}</Value><ValueUnit>${unit}</ValueUnit><ModusTestID>${id}</ModusTestID></NutrientResult>`;
  const xml = `<?xml version="1.0"?><ModusResult Version="1.0"><Event><EventMetaData><EventDate>2025-10-30</EventDate><EventType><Soil/></EventType></EventMetaData><FMISMetaData><FMISProfile><Field ID="Gravel Pit"></Field></FMISProfile></FMISMetaData><LabMetaData><LabName>North</LabName></LabMetaData><EventSamples><Soil><DepthRefs><DepthRef DepthID="1"><StartingDepth>0</StartingDepth><EndingDepth>6</EndingDepth><DepthUnit>in</DepthUnit></DepthRef></DepthRefs><SoilSample><SampleMetaData><SampleNumber>1</SampleNumber></SampleMetaData><Depths><Depth DepthID="1"><NutrientResults>${result("P", "90", "ppm", "S-P-B1-1:10.01.03")}${result("P", "126", "ppm", "S-P-B2-1:10.01.03")}${result("P", "11", "ppm", "S-P-BIC.01.03")}</NutrientResults></Depth></Depths></SoilSample></Soil></EventSamples></Event></ModusResult>`;
  const page = await open("/inputs/soil-file");
  await choose(page, "modus.xml", xml);
  const text = await main(page);
  assert.match(text, /Modus XML/);
  for (const m of ["Bray 1", "Bray 2", "Olsen"]) assert.ok(text.includes(m), m);
  await page.getByRole("button", { name: "Bring it in" }).click();
  await page.goto(winter.url + "/field/gravel-pit/soil");
  assert.match(await main(page), /11\.0 ppm P, Olsen/);
  await page.close();
});

test("a field's sheet says what pays, what being off costs and what stands in", async () => {
  const page = await open("/field/long-90/soil");
  const text = await main(page);
  assert.match(text, /Pays best: \d+ lb\/ac/);
  assert.match(text, /Flat top: anything from \d+ to \d+ lb\/ac/);
  assert.match(text, /Being 20 too low costs \$[\d.]+ an acre, 20 too high \$[\d.]+ an acre/);
  assert.match(text, /With the protein premium/);
  assert.match(text, /20 is the most that is advised/);
  assert.match(text, /To two feet: nitrate nitrogen/);
  assert.equal(await page.locator("svg.fan .best").count(), 1);
  // another yield moves the budget, not the optimum
  await page.goto(winter.url + "/field/long-90/soil?target=60&need=manitoba_high_yield");
  assert.match(await main(page), /By budget: \d+ lb\/ac for 60 bu\/ac/);
  await page.goto(winter.url + "/field/long-90/soil?target=120");
  assert.match(await main(page), /is above 110, where no data stand/);
  // few cores, old or no test
  await page.goto(winter.url + "/field/north-bench/soil");
  assert.match(await main(page), /Only 12 cores in the bag/);
  await page.goto(winter.url + "/field/river/soil");
  assert.match(await main(page), /No soil test in the book/);
  await page.close();
});

test("a plan the seed would not bear is refused with the limit, the reason and the way out", async () => {
  const page = await open("/field/crossing/soil");
  await page.locator("#n").fill("70");
  await page.getByLabel("Nitrogen, with the seed").fill("60");
  await page.getByRole("button", { name: "Accept this plan" }).click();
  let text = await main(page);
  assert.match(text, /Not accepted: the seed would not bear it/);
  assert.match(text, /of urea nitrogen beside the seed is too much: \d+ is the limit on (light|medium|heavy) soil/);
  assert.match(text, /put the other \d+ in a side or mid-row band/);
  assert.match(text, /stand-loss equation for moist soil: about \d+ % of the plants/);
  assert.equal(await page.locator("#n").inputValue(), "70", "what was typed is kept");
  await page.getByLabel("Nitrogen, with the seed").fill("0");
  await page.getByLabel("Phosphate, in all").fill("90");
  await page.getByLabel("Phosphate, with the seed").fill("80");
  await page.getByRole("button", { name: "Accept this plan" }).click();
  assert.match(await main(page), /phosphate/i);
  assert.match(await main(page), /Not accepted/);
  await page.getByLabel("Phosphate, with the seed").fill("wet");
  await page.getByRole("button", { name: "Accept this plan" }).click();
  assert.match(await main(page), /"wet" is not a rate/);
  await page.getByLabel("Phosphate, in all").fill("20");
  await page.getByLabel("Phosphate, with the seed").fill("20");
  await page.getByLabel("Nitrogen, with the seed").fill("4");
  await page.getByLabel("Potash, in all").fill("30");
  await page.getByLabel("Potash, with the seed").fill("30");
  await page.getByRole("button", { name: "Accept this plan" }).click();
  assert.match(await main(page), /Not accepted/);
  await page.getByLabel("Potash, in all").fill("0");
  await page.getByLabel("Potash, with the seed").fill("0");
  await page.getByRole("button", { name: "Accept this plan" }).click();
  assert.match(page.url(), /\/saved\//);
  await page.goto(winter.url + "/inputs");
  assert.match(await main(page), /70-20-0-/);
  await page.close();
});

test("a dry seedbed halves what the seed bears", async () => {
  const page = await open("/field/schoolhouse/soil");
  await page.locator("#n").fill("50");
  await page.getByLabel("Nitrogen, with the seed").fill("15");
  await page.getByLabel("Phosphate, in all").fill("0");
  await page.getByLabel("Phosphate, with the seed").fill("0");
  await page.getByLabel("The seedbed is dry").check();
  await page.getByRole("button", { name: "Accept this plan" }).click();
  assert.match(await main(page), /halved for a dry seedbed/);
  await page.close();
});

test("labels, rotation and money stand side by side for next year's crop", async () => {
  const page = await open("/inputs/next-crop");
  const text = await main(page);
  assert.match(text, /label(s)? stand(s)? in the way/);
  assert.match(text, /broadleaf herbicide with soil life of 2025-06-09: peas after 22 months; it is \d+ by early May 2026.*Not met/);
  assert.match(text, /blocked by a label/);
  assert.match(text, /Wheat on wheat|Cereal stubble raises/);
  await page.close();
});

test("the probe list has labels for the bags and says whether it is cold enough", async () => {
  const page = await open("/inputs/probe");
  const text = await main(page);
  assert.match(text, /frozen|Probe in fall|Not yet|Go:/);
  assert.match(text, /buried lines marked/);
  assert.ok((await page.locator(".bag-labels li").count()) >= 2);
  await page.close();
});

test("a drill card has seed both ways, fills and cautions, and prints on one sheet", async () => {
  const spring = await desk({ day: "05-05" });
  try {
    const page = await open("/inputs/drill/north-bench", {}, spring);
    const text = await main(page);
    assert.match(text, /Seed, exact/);
    assert.match(text, /by the prairie short form/);
    assert.match(text, /Fusarium/);
    assert.match(text, /\d+ fills?, \d+ ac a full one; the \w+ tank is empty first/);
    assert.match(text, /urea 46-0-0/i);
    assert.match(text, /block the drill and take the key/);
    await page.goto(spring.url + "/inputs/drill/north-bench?dry=yes&late=2&soil=3");
    assert.match(await main(page), /halve/);
    await page.emulateMedia({ media: "print" });
    const pdf = await page.pdf({ format: "Letter", margin: { top: "12mm", bottom: "12mm", left: "12mm", right: "12mm" } });
    const pages = (pdf.toString("latin1").match(/\/Type\s*\/Page[^s]/g) ?? []).length;
    assert.equal(pages, 1, `the card prints on ${pages} sheets`);
    await page.close();
  } finally {
    await spring.stop();
  }
});

test("after seeding, what went on stands beside the plan, and a thin count says what to do", async () => {
  const summer = await desk({ day: "06-28" });
  try {
    const page = await open("/inputs/drill/tower", {}, summer);
    assert.match(await main(page), /Planned [\d-]+, went on [\d-]+ lb\/ac/);
    for (const [count, said] of [["9", /Thin: look at keeping, patching or reseeding/], ["18", /Thin, but an even thin stand/], ["30", /nothing to do/]]) {
      await page.goto(summer.url + "/enter/emergence_seen?field=tower");
      await page.locator("#plants_per_m2").fill(count);
      await page.getByRole("button", { name: "Write it down" }).click();
      await page.goto(summer.url + "/inputs/drill/tower");
      assert.match(await main(page), said);
    }
    await page.close();
  } finally {
    await summer.stop();
  }
});

test("a plan written by hand is held to the seed row too", async () => {
  const page = await open("/enter/fertilizer_plan?field=tower");
  for (const [key, value] of [["n_kg_ha", "60"], ["p2o5_kg_ha", "25"], ["k2o_kg_ha", "0"], ["s_kg_ha", "0"], ["seed_row.n_kg_ha", "55"], ["seed_row.p2o5_kg_ha", "25"]]) {
    await page.locator(`[name="${key}"]`).fill(value);
  }
  await page.getByRole("button", { name: "Write it down" }).click();
  let text = await main(page);
  assert.match(text, /of urea nitrogen beside the seed is too much/);
  assert.match(text, /stand-loss equation/);
  assert.equal(await page.locator('[name="n_kg_ha"]').inputValue(), "60");
  await page.locator('[name="seed_row.n_kg_ha"]').fill("70");
  await page.getByRole("button", { name: "Write it down" }).click();
  assert.match(await main(page), /Nothing is written yet/);
  await page.locator('[name="seed_row.n_kg_ha"]').fill("5");
  await page.getByRole("button", { name: "Write it down" }).click();
  assert.match(page.url(), /\/saved\//);
  await page.goto(winter.url + "/field/tower/soil");
  assert.match(await main(page), /In the book for 2026: 60-25-0-0/);
  await page.close();
});

test("straw that was baled comes off the balance, and a slip of the pen is stopped", async () => {
  const page = await open("/field/gravel-pit/soil");
  assert.match(await main(page), /of it straw \d+ · \d+ · \d+ · 0/);
  assert.match(await main(page), /\d+ loads/);
  await page.goto(winter.url + "/enter/straw_baled?field=tower");
  await page.locator("[name=bales]").fill("9000");
  await page.locator("[name=bale_kg]").fill("1100");
  await page.getByRole("button", { name: "Write it down" }).click();
  assert.match(await main(page), /more straw than grows/);
  await page.close();
});

test("every doubt about a sample is said on the sheet", async () => {
  const page = await open("/inputs/soil-file");
  await choose(page, "doubts.csv", "Field,Date Sampled,Cores,Soil temp C,NO3-N 0-12 in (lb/ac)\nEast Half,2025-09-20,8,14,20\nRiver,2021-10-20,20,4,20\n");
  await page.getByRole("button", { name: "Bring it in" }).click();
  assert.match(await main(page), /Brought in: 2 soil tests/);
  await page.goto(winter.url + "/field/east-half/soil");
  let text = await main(page);
  for (const said of [/Only 8 cores in the bag/, /The soil was at 14 C; nitrate goes on forming/, /Nitrate was sampled to 30 cm and not to 60/, /One bag stands for \d+ acres/]) assert.match(text, said);
  await page.goto(winter.url + "/field/river/soil");
  text = await main(page);
  for (const said of [/The test is 4\.\d years old/, /The nitrate is \d+ days old or a crop was taken since/, /One bag stands for 90 acres; 5 is the most/]) assert.match(text, said);
  await page.close();
});

test("a rate at the limit is allowed and said to be close; a double disc on light soil bears no urea", async () => {
  const page = await open("/field/schoolhouse/soil");
  const limit = Number((await main(page)).match(/urea N up to (\d+) lb\/ac/)[1]);
  for (const [id, value] of [["#n", "50"], ["#p2o5", "0"], ["#k2o", "0"], ["#s", "0"]]) await page.locator(id).fill(value);
  await page.getByLabel("Nitrogen, with the seed").fill(String(limit));
  for (const word of ["Phosphate", "Potash", "Sulphur"]) await page.getByLabel(`${word}, with the seed`).fill("0");
  await page.getByRole("button", { name: "Accept this plan" }).click();
  assert.match(page.url(), /\/saved\//);
  await page.goto(winter.url + "/inputs/drill/schoolhouse");
  let text = await main(page);
  for (const said of [/This is close to the limit\. Dig behind the drill/, /These limits hold for good to excellent moisture/]) assert.match(text, said);
  await page.goto(winter.url + "/inputs/drill/schoolhouse?dry=yes");
  assert.match(await main(page), /Refused in the seed row/);
  const disc = async (value) => {
    await page.goto(winter.url + "/enter/drill_set_up?key=drill");
    await page.locator(`[name=double_disc][value=${value}]`).check();
    await page.getByRole("button", { name: "Write it down" }).click();
    assert.match(page.url(), /\/saved\//);
  };
  await disc("true");
  await page.goto(winter.url + "/field/gravel-pit/soil");
  await page.locator("#n").fill("40");
  await page.getByLabel("Nitrogen, with the seed").fill("15");
  await page.getByRole("button", { name: "Accept this plan" }).click();
  text = await main(page);
  assert.match(text, /no urea goes through a double-disc drill on light soil/);
  await disc("false");
  await page.close();
});

test("the whole job is added up over the cards", async () => {
  const page = await open("/inputs/drill");
  const text = await main(page);
  assert.match(text, /Still to sow: \d+ fields, [\d,]+ ac, about \d+ hours with \d+ fills/);
  assert.match(text, /seed of lot wheat-bin-3/);
  assert.match(text, /urea 46-0-0/);
  await page.close();
});

test("what the barn will want stands beside next year's crops", async () => {
  const page = await open("/inputs/next-crop");
  const text = await main(page);
  assert.match(text, /What the barn will want/);
  assert.match(text, /Enough, nine years in ten|Short by|None is planned/);
  await page.close();
});

test("where the cores were taken is drawn on the field", async () => {
  const page = await open("/inputs/soil-file");
  const rows = [[50.02, -101.3], [50.021, -101.301], [50.022, -101.302]].map(([lat, lon], i) => `Crossing,2025-11-0${i + 1},${lat},${lon},${12 + i}`);
  await choose(page, "points.csv", `Field,Date,Latitude,Longitude,NO3-N 0-24 in (lb/ac)\n${rows.join("\n")}\n`);
  await page.getByRole("button", { name: "Bring it in" }).click();
  assert.match(await main(page), /Brought in: \d soil tests/);
  await page.goto(winter.url + "/field/crossing/soil");
  assert.equal(await page.locator("svg.one-field .sample-point").count(), 3);
  await page.goto(winter.url + "/fields");
  assert.ok((await page.locator("svg.map .sample-point").count()) >= 1);
  await page.close();
});

test("what is left in the tanks is held against the card", async () => {
  const summer = await desk({ day: "06-28" });
  try {
    const page = await open("/inputs/drill/tower", {}, summer);
    let text = await main(page);
    assert.match(text, /Left in the tanks/);
    assert.match(text, /band: (Within 3 % of the card|The meter sowed \d+ % (more|less) than the card)/);
    await page.goto(summer.url + "/enter/tank_left?field=tower");
    await page.locator("[name=tank][value=band], [name=tank]").first().evaluate((e) => {
      if (e.tagName === "SELECT") e.value = "band";
    });
    if (await page.locator("input[name=tank][value=band]").count()) await page.locator("input[name=tank][value=band]").check();
    await page.locator("[name=filled_kg]").fill("20000");
    await page.locator("[name=left_kg]").fill("21000");
    await page.getByRole("button", { name: "Write it down" }).click();
    assert.match(await main(page), /left of .* put in cannot be/);
    await page.locator("[name=left_kg]").fill("900");
    await page.getByRole("button", { name: "Write it down" }).click();
    assert.match(page.url(), /\/saved\//);
    await page.goto(summer.url + "/inputs/drill");
    text = await main(page);
    assert.match(text, /Left in the tanks/);
    assert.match(text, /clean the auger and the tank before any grain or feed/);
    await page.close();
  } finally {
    await summer.stop();
  }
});

test("the sheets print: a card on one page, the others on few", async () => {
  const most = { "/field/long-90/soil": 3, "/inputs": 1, "/inputs/order": 2, "/inputs/manure": 2 };
  for (const [path, pages] of Object.entries(most)) {
    const page = await open(path, { viewport: { width: 1280, height: 900 } });
    await page.emulateMedia({ media: "print" });
    const pdf = await page.pdf({ format: "Letter", margin: { top: "12mm", bottom: "12mm", left: "12mm", right: "12mm" } });
    const found = (pdf.toString("latin1").match(/\/Type\s*\/Page[^s]/g) ?? []).length;
    assert.ok(found >= 1 && found <= pages, `${path} prints on ${found} pages`);
    await page.close();
  }
});

test("axe finds nothing serious on the inputs pages, and nothing is wider than the screen", async () => {
  const paths = ["/inputs", "/inputs/soil-file", "/field/long-90/soil", "/inputs/drill", "/inputs/drill/long-90", "/inputs/next-crop", "/inputs/probe"];
  for (const how of LOOKS) await lookAt(browser, winter.url, paths, how);
});
