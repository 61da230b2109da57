// Starts the real desk on a book of its own, and lists the pages.
import { execFileSync, spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

const BIN = process.env.STOOK_BIN ?? join(import.meta.dirname, "../../target/release/stook");

export const CHROMIUM = {
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
};

/** A desk on the demo farm of `day`, or on an empty book when no day is given. */
export async function desk({ day, asOf } = {}) {
  const folder = mkdtempSync(join(tmpdir(), "stook-desk-"));
  const book = join(folder, "farm.stook");
  if (day) execFileSync(BIN, ["demo", book, "--day", day]);
  const when = day ? ["--demo"] : asOf ? ["--as-of", asOf] : [];
  const child = spawn(BIN, ["desk", book, "--address", "127.0.0.1:0", "--members", "60", ...when]);
  let said = "";
  const url = await new Promise((resolve, reject) => {
    child.stdout.on("data", (text) => {
      said += text;
      const found = said.match(/http:\/\/[0-9.:]+/);
      if (found) resolve(found[0]);
    });
    child.stderr.on("data", (text) => (said += text));
    child.on("exit", () => reject(new Error(`the desk did not open: ${said}`)));
  });
  return {
    url,
    book,
    stop: () =>
      new Promise((done) => {
        child.removeAllListeners("exit");
        child.on("exit", () => {
          rmSync(folder, { recursive: true, force: true });
          done();
        });
        child.kill();
      }),
  };
}

/** The forms of the issue, each with something wrong to type into it. */
export const FORMS = ["rain", "go_no_go", "harrowed", "seeding", "emergence_seen", "stage_seen", "insects_seen", "damage_seen", "yield_count", "spray_pass", "entered_early", "spray_product", "kernel_moisture", "thumb_test", "cut", "pan_test", "soil_test", "fertilizer_applied", "fertilizer_plan", "tank_left", "straw_baled", "product_least", "manure_plan", "seed_lot", "plant_back", "manure_level", "manure_hauled", "manure_test", "barn_count", "manure_store", "manure_rules", "protein_premium", "rate_table", "drill_catch", "drill_set_up", "price", "local_number", "note", "farm", "units", "machine", "field", "crop_plan"];

/** Every page, by a name for its picture. The forms and calculators are shown on the first day only. */
export function pages(day) {
  const through = { "05-05": "slough-quarter", "06-28": "schoolhouse", "08-20": "tower" };
  const end = day === "05-05" ? "" : `-${day}`;
  const list = [
    [`today${end}`, "/"],
    [`fields${end}`, "/fields"],
    [`field${end}`, `/field/${through[day]}`],
    [`plan${end}`, "/plan"],
  ];
  if (day === "08-20") {
    list.push(["bins", "/bins"], ["bin", "/bins/bin-1"], ["load", "/load"], ["ticket", "/bins/ticket"], ["result", "/harvest/result"]);
  }
  if (day === "08-20") list.push(["task-data", "/harvest/task-data"], ["outlines", "/fields/outlines"]);
  if (day === "08-20") list.push(["harvest", "/harvest"], ["harvest-combine", "/harvest/combine"], ["harvest-haul", "/harvest/haul"], ["harvest-straw", "/harvest/straw"], ["harvest-pays", "/harvest/pays"]);
  if (day === "05-05") {
    list.push(["book", "/book"], ["book-found", "/book?kind=rain&from=2026-04-01"], ["enter", "/enter"], ["setup", "/setup"], ["spray", "/spray"], ["spray-mix", "/spray/mix?field=schoolhouse&product0=gatepost-burn-off"], ["spray-record", "/spray/record"], ["calendar", "/calendar"], ["weather", "/setup/weather"]);
    list.push(["inputs", "/inputs"], ["soil-file", "/inputs/soil-file"], ["field-soil", "/field/long-90/soil"], ["drill-card", "/inputs/drill/north-bench"], ["next-crop", "/inputs/next-crop"], ["probe", "/inputs/probe"]);
    list.push(["order", "/inputs/order"], ["manure", "/inputs/manure"]);
    list.push(["barn", "/barn"], ["mill-or-trough", "/barn/plan"], ["ration", "/barn/ration/grower_1"], ["trace", "/barn/trace"]);
    list.push(["calculators", "/calculators"], ["calculator", "/calculators/weather.et0_daily"]);
    for (const kind of FORMS) list.push([`form-${kind}`, `/enter/${kind}`]);
    for (const kind of ["load", "bin_measured", "grain_sample", "bin", "buyer", "contact", "entrance"]) list.push([`form-${kind}`, `/enter/${kind}`]);
    list.push(["emergency", "/emergency"], ["stored", "/bins/stored"]);
  }
  return list;
}
