// Late June on a phone: flowering by field, the working, the hours, a pass written down, and what its interval then forbids.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import ICAL from "ical.js";
import { chromium } from "playwright-core";
import { CHROMIUM, desk } from "./desk.mjs";
import { LOOKS, lookAt, openPage } from "./page.mjs";

let browser;
let d;
before(async () => {
  browser = await chromium.launch(CHROMIUM);
  d = await desk({ day: "06-28" });
});
after(async () => {
  await browser?.close();
  await d?.stop();
});

const phone = (path) => openPage(browser, d.url + path);

const SPRAY_PAGES = ["/spray", "/spray?product=gatepost-head-blight", "/spray/mix?field=schoolhouse&product0=gatepost-head-blight&caught=700", "/spray/record", "/calendar"];

for (const how of LOOKS) {
  test(`axe finds nothing serious on the spraying pages at ${how.width} px, ${how.colorScheme}`, () => lookAt(browser, d.url, SPRAY_PAGES, how));
}

test("28 June: flowering, hours, a pass, and the interval that guards the cut", async () => {
  const page = await phone("/");
  const said = await page.locator("main").innerText();
  assert.match(said, /flowering/, "flowering by field is on Today");

  // The working of the first decision opens.
  const working = page.locator("details.working").first();
  await working.locator("summary").click();
  assert.ok(await working.locator(".ruled .sum").isVisible(), "the working opens to its sum");
  assert.match(await working.innerText(), /same weathers|head spray against none/);

  // From a spray decision to its hours.
  await page.locator(".see a").first().click();
  await page.waitForURL(/\/spray\?field=/);
  assert.match(await page.locator("h1").innerText(), /spray today/);
  assert.match(await page.locator(".caution").first().innerText(), /label always rules/);
  assert.ok((await page.locator("svg.hours").count()) >= 5, "a strip a day");

  // Write a pass down: the product's label fills rate and intervals.
  await page.goto(`${d.url}/enter/spray_pass?field=schoolhouse&purpose=fungicide`);
  assert.equal(await page.locator("#product_id").inputValue(), "gatepost-head-blight");
  assert.equal(await page.locator("#pre_harvest_days").inputValue(), "36");
  assert.equal(await page.locator("#re_entry_hours").inputValue(), "24");
  // Another product chosen: its facts come in and are shown once before anything is written.
  await page.locator("#product_id").selectOption("gatepost-dry-down");
  await page.locator("form.entry button.yes").click();
  assert.match(await page.locator(".wrong").first().innerText(), /label facts of Gatepost dry-down/);
  assert.equal(await page.locator("#pre_harvest_days").inputValue(), "7");
  await page.locator("#product_id").selectOption("gatepost-head-blight");
  await page.locator("form.entry button.yes").click();
  assert.equal(await page.locator("#pre_harvest_days").inputValue(), "36");
  await page.locator("details.when-who summary").click();
  await page.locator("#at").fill("17:00");
  await page.locator("#who").fill("Ada");
  await page.locator("form.entry details:not(.when-who) summary").first().click();
  await page.locator("#finished").fill("18:40");
  await page.locator("form.entry button.yes").click();
  await page.waitForURL(/\/saved\//);

  // The field says so, and nobody is let in without a reason.
  await page.goto(`${d.url}/field/schoolhouse`);
  const blocked = (await page.locator(".blocked").allInnerTexts()).join(" ");
  assert.match(blocked, /Nobody enters Schoolhouse before tomorrow 18:40/);
  assert.match(blocked, /Schoolhouse may be cut from 3 Aug/);
  await page.goto(`${d.url}/enter/stage_seen?field=schoolhouse`);
  await page.locator("#leaves").fill("8");
  await page.locator("details.when-who summary").click();
  await page.locator("#at").fill("20:00");
  await page.locator("form.entry button.yes").click();
  assert.match(await page.locator(".wrong").first().innerText(), /nobody may enter Schoolhouse before 18:40 on 2026-06-29/);

  // A cut inside the interval is stopped, and let through only by name and reason.
  await page.goto(`${d.url}/enter/cut?field=schoolhouse`);
  await page.locator("details.when-who summary").click();
  await page.locator("#at").fill("16:00");
  await page.locator("form.entry button.yes").click();
  assert.match(await page.locator("#inside_interval_why-wrong").innerText(), /pre-harvest interval ends on/);
  await page.close();
});

test("the record holds the pass, with the air from the station and what is missing", async () => {
  const page = await phone("/spray/record?field=schoolhouse");
  const said = await page.locator("main").innerText();
  assert.match(said, /Gatepost head blight/);
  assert.match(said, /reg\. 00004/);
  assert.match(said, /325 mL\/ac, 45\.5 L in all/);
  assert.match(said, /Not cut before\s+3 August 2026|Not cut before\s+3 Aug 2026/);
  assert.match(said, /Not yet complete[\s\S]*where the wind came from/);
  await page.emulateMedia({ media: "print" });
  assert.ok(await page.locator("form.filter").isHidden(), "the chooser stays off the paper");
  await page.close();
});

test("the mix sheet prints on one page", async () => {
  const page = await phone("/spray/mix?field=schoolhouse&product0=gatepost-grass-and-broadleaf&product1=gatepost-oil");
  const said = await page.locator("main").innerText();
  assert.match(said, /2 fills/);
  assert.match(said, /1\. Gatepost grass and broadleaf/);
  assert.match(said, /2\. Gatepost oil/);
  await page.emulateMedia({ media: "print" });
  const pdf = await page.pdf({ format: "Letter" });
  const pages = pdf.toString("latin1").match(/\/Type\s*\/Page[^s]/g).length;
  assert.equal(pages, 1);
  // Nonsense is said in a sentence and keeps what was typed.
  await page.goto(`${d.url}/spray/mix?field=schoolhouse&product0=gatepost-oil&tank=lots`);
  assert.match(await page.locator("[role=alert]").innerText(), /"lots" is no figure/);
  assert.equal(await page.locator("#tank").inputValue(), "lots");
  await page.close();
});

test("the calendar feed is read by a general iCalendar library", async () => {
  const read = async () => {
    const answer = await fetch(`${d.url}/calendar.ics`);
    assert.match(answer.headers.get("content-type"), /text\/calendar/);
    return answer.text();
  };
  const text = await read();
  for (const line of text.split("\r\n")) assert.ok(Buffer.byteLength(line) <= 75, line);
  const calendar = new ICAL.Component(ICAL.parse(text));
  assert.equal(calendar.getFirstPropertyValue("version"), "2.0");
  const events = calendar.getAllSubcomponents("vevent").map((e) => new ICAL.Event(e));
  const uids = events.map((e) => e.uid);
  assert.equal(new Set(uids).size, uids.length, "each event has a number of its own");
  const enter = events.filter((e) => e.summary === "Nobody enters Schoolhouse").map((e) => e.endDate.toJSDate().toISOString());
  assert.ok(enter.includes("2026-06-29T23:40:00.000Z"), enter.join(" "));
  const cut = events.filter((e) => e.summary === "Do not cut Schoolhouse");
  assert.ok(cut.some((e) => e.endDate.toString() === "2026-08-03"), cut.map(String));
  assert.ok(events.some((e) => /^Window to/.test(e.summary)), "windows are in it");
  assert.equal(await read(), text, "the same book on the same day gives the same text");
});
