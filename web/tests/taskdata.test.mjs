// Task data in a real browser: a yield log read into a map, a prescription out, outlines and zones in.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { chromium } from "playwright-core";
import { CHROMIUM, desk } from "./desk.mjs";
import { LOOKS, lookAt, openPage } from "./page.mjs";

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
const file = (name, text) => ({ name, mimeType: "application/octet-stream", buffer: Buffer.from(text) });

/** A combine's log: due north at 2 m/s, a record a second, 3,000 kg/ha at 14.5 %, one spike. */
function folder(fieldName) {
  const n = 200;
  const bin = Buffer.alloc(n * 31);
  for (let i = 0; i < n; i++) {
    let at = i * 31;
    at = bin.writeUInt32LE(36_000_000 + 1000 * i, at);
    at = bin.writeUInt16LE(17_031, at); // 18 August 2026
    at = bin.writeInt32LE(500_000_000 + 180 * i, at);
    at = bin.writeInt32LE(-900_000_000, at);
    at = bin.writeUInt8(4, at);
    at = bin.writeUInt8(3, at);
    for (const [k, v] of [[0, i === 100 ? 9_000_000 : 300_000], [1, 145_000], [2, 12_000]]) {
      at = bin.writeUInt8(k, at);
      at = bin.writeInt32LE(v, at);
    }
  }
  const xml = `<ISO11783_TaskData VersionMajor="4" VersionMinor="3" DataTransferOrigin="2"><PFD A="PFD1" C="${fieldName}" D="640000"/><TSK A="TSK1" B="Combine" E="PFD1" G="4"><TLG A="TLG00001" C="1"/></TSK></ISO11783_TaskData>`;
  const header = '<TIM A="" D="4"><PTN A="" B="" D=""/><DLV A="0054" B="" C="DET1"/><DLV A="0063" B="" C="DET1"/><DLV A="0043" B="" C="DET1"/></TIM>';
  return [file("TASKDATA.XML", xml), file("TLG00001.XML", header), { name: "TLG00001.BIN", mimeType: "application/octet-stream", buffer: bin }];
}

test("a field nobody knows is asked for, the log becomes a map, and the original comes back", async () => {
  const page = await open("/harvest/task-data");
  await page.setInputFiles("#files", folder("North forty"));
  await page.click("button.yes");
  const main = page.locator("main");
  assert.match(await main.innerText(), /the file calls the field North forty/);
  assert.match(await main.innerText(), /Neither its name nor an outline says which field/);
  await page.click("button.yes");
  assert.match(await page.locator(".wrong-all").innerText(), /Every task is left out/);
  await page.selectOption("#field0", { label: "Tower" });
  await page.click("button.yes");
  await page.waitForURL(/\/harvest\/map\//);
  // 200 records: 12 in the delay, 10 at the ends, the spike.
  assert.match(await main.innerText(), /Cleaned: 177 of 200 points stay/);
  assert.match(await main.innerText(), /Tower: 44\.6 bu\/ac/);
  assert.ok((await page.locator("svg.yield-map rect").count()) >= 15);
  assert.equal(await page.locator("table.yield-key tbody tr").count(), 5);
  const back = await page.request.get(d.url + (await page.locator("a", { hasText: "The original file" }).getAttribute("href")));
  assert.equal(back.status(), 200);
  assert.equal((await back.body()).subarray(0, 2).toString(), "PK");
  await page.close();
});

test("files that are no task data are refused in a sentence", async () => {
  const page = await open("/harvest/task-data");
  await page.setInputFiles("#files", [file("notes.txt", "hello")]);
  await page.click("button.yes");
  assert.match(await page.locator("main").innerText(), /no TASKDATA\.XML/);
  await page.close();
});

test("zones come in by GeoJSON and go out in a prescription", async () => {
  const page = await open("/field/tower");
  const square = (w, s, e, n) => ({ type: "Polygon", coordinates: [[[w, s], [e, s], [e, n], [w, n], [w, s]]] });
  await page.goto(`${d.url}/fields/outlines`);
  await page.setInputFiles("#files", [file("zones.geojson", JSON.stringify({ type: "FeatureCollection", features: [{ type: "Feature", properties: { name: "knoll", rate_pct: 70 }, geometry: square(-101, 50, -100.998, 50.002) }] }))]);
  await page.click("button.yes");
  assert.equal(await page.locator("#rate0").inputValue(), "70");
  await page.check("input[name=is0][value=zone]");
  await page.selectOption("#field0", { label: "Tower" });
  await page.fill("#rate0", "much");
  await page.click("button.yes");
  assert.match(await page.locator(".wrong-all").innerText(), /"much" is no share of the rate/);
  await page.fill("#rate0", "70");
  await page.click("button.yes");
  await page.waitForURL(/brought=1/);
  assert.match(await page.locator("main").innerText(), /Tower: outline, knoll 70 %/);
  const out = await page.request.get(`${d.url}/inputs/drill/tower/task-data?product=seed`);
  assert.equal(out.status(), 200);
  assert.match(out.headers()["content-disposition"], /tower-seed-2027\.zip/);
  const none = await page.request.get(`${d.url}/inputs/drill/tower/task-data?product=gold`);
  assert.equal(none.status(), 422);
  await page.close();
});

for (const how of LOOKS) {
  test(`task data pages: axe finds nothing serious and nothing is too wide, ${how.width} px, ${how.colorScheme}`, () => lookAt(browser, d.url, ["/harvest/task-data", "/fields/outlines", "/inputs/drill/tower"], how));
}
