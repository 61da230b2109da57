// Starts the real desk on a fresh demo book, and a browser to walk it.
import { execFileSync, spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium } from "playwright-core";

const stook = process.env.STOOK_BIN ?? join(import.meta.dirname, "../../target/release/stook");

/** Opens a desk; `day` names a demo morning, or null for an empty farm. Port 0: the system chooses. */
export async function openDesk(day) {
  const folder = mkdtempSync(join(tmpdir(), "stook-desk-"));
  const book = join(folder, "farm.stook");
  const args = ["desk", book, "--address", "127.0.0.1:0", "--members", "60"];
  if (day) {
    execFileSync(stook, ["demo", book, "--day", day]);
    args.push("--demo");
  } else args.push("--as-of", "2026-05-05");
  const child = spawn(stook, args, { stdio: ["ignore", "pipe", "inherit"] });
  const address = await new Promise((found, failed) => {
    let said = "";
    child.stdout.on("data", (piece) => {
      said += piece;
      const url = said.match(/http:\/\/[^/\s]+/);
      if (url) found(url[0]);
    });
    child.on("exit", (code) => failed(new Error(`the desk stopped with ${code}: ${said}`)));
  });
  return {
    address,
    close() {
      child.removeAllListeners("exit");
      child.kill();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

export function openBrowser() {
  return chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: [
      "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
      "--disable-background-networking", "--disable-component-update", "--disable-sync",
    ],
  });
}

/** Every page of the demo farm. */
export const PAGES = {
  today: "/",
  plan: "/plan",
  fields: "/fields",
  field: "/field/slough-quarter",
  write: "/enter",
  rain: "/enter/rain",
  "go-no-go": "/enter/go_no_go",
  seeding: "/enter/seeding",
  "stage-seen": "/enter/stage_seen",
  "soil-test": "/enter/soil_test",
  book: "/book",
  calculators: "/calculators",
  calculator: "/calculators/crop.seeding_rate",
  setup: "/setup",
  weather: "/setup/weather",
};
