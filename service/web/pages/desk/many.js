// Many openings from a table: sent in pieces that the service takes, shown while it answers, saved as one file.

import { ask } from "./api.js";
import { excuse, SIGNS } from "./answer.js";
import { cells, hasContent, head, pieces, records, separatorOf, textOf } from "./csv.js";
import { byId, el, fill, save } from "./dom.js";
import { DUTY, EXISTING, SHUTTER, SURROUNDINGS } from "./fields.js";
import { set } from "./pointer.js";
import { label, say } from "./texts.js";
import { readNumber } from "./units.js";

const PIECE_BYTES = 800_000; // the service takes 1 MiB at a time
const SHOWN_MAX = 1000;
const START = "reference,slat,width_mm,height_mm,headroom_mm,depth_mm,header_thickness_mm,mount,options\r\n";

/** @typedef {import("./pointer.js").Request} Request */

/** @type {AbortController | null} */
let running = null;
/** @type {File | null} */
let last = null;

/** @param {(request: Request) => void} open shows a row in the form */
export function make(open) {
  const place = byId("many");
  const input = el("input", {
    type: "file",
    id: "many-file",
    accept: ".csv,.txt,.tsv,text/csv",
    "aria-describedby": "many-about",
    change: () => {
      if (input.files?.[0]) run(input.files[0], open);
    },
  });
  fill(
    place,
    el("h2", {}, say("view_many")),
    el("p", { id: "many-about", class: "about" }, say("many_about")),
    el("div", { class: "drop", id: "many-drop" }, el("label", { for: "many-file" }, say("many_file")), " ", input),
    el("p", { class: "buttons" }, el("button", { type: "button", class: "plain", click: () => save(new Blob([START], { type: "text/csv" }), "openings.csv") }, say("many_start"))),
    el("div", { id: "many-answer" }),
  );
  const drop = byId("many-drop");
  drop.addEventListener("dragover", (event) => {
    event.preventDefault();
    drop.classList.add("over");
  });
  drop.addEventListener("dragleave", () => drop.classList.remove("over"));
  drop.addEventListener("drop", (event) => {
    event.preventDefault();
    drop.classList.remove("over");
    const file = event.dataTransfer?.files[0];
    if (file) run(file, open);
  });
  if (last) run(last, open);
}

/**
 * @param {File} file
 * @param {(request: Request) => void} open
 */
async function run(file, open) {
  running?.abort();
  running = new AbortController();
  const { signal } = running;
  last = file;
  const { text, guessed } = textOf(await file.arrayBuffer());
  const all = records(text.replace(/^\ufeff/, ""));
  const asked = all.slice(head(all)).filter(hasContent);
  const rows = asked.length;
  const said = el("p", { role: "status" });
  const progress = el("progress", { max: rows || 1, value: 0, "aria-label": say("many_progress") });
  const body = el("tbody");
  const stop = el("button", { type: "button", click: () => running?.abort() }, say("many_stop"));
  const buttons = el("p", { class: "buttons" }, stop);
  fill(
    byId("many-answer"),
    guessed ? el("p", { class: "notice" }, say("many_guessed")) : null,
    progress,
    said,
    buttons,
    el(
      "div",
      { class: "scrolls", tabindex: 0, role: "region", "aria-label": say("many_caption", { name: file.name }) },
      el(
        "table",
        {},
        el("caption", {}, say("many_caption", { name: file.name })),
        el("thead", {}, el("tr", {}, ...["row", "reference", "verdict", "warnings", "many_open"].map((name) => el("th", { scope: "col" }, say(name))))),
        body,
      ),
    ),
  );
  const input = { header: cells(all[head(all) - 1] ?? "", separatorOf(all[head(all) - 1] ?? "")), separator: separatorOf(all[head(all) - 1] ?? "") };
  /** @type {Map<string, number>} */
  const counted = new Map();
  /** @type {string[]} */
  const answered = [];
  let done = 0;
  try {
    for (const piece of pieces(all, PIECE_BYTES)) {
      const response = await ask("v1/fittings/table", { body: piece, type: "text/csv", accept: "text/csv", signal });
      /** @type {string[]} */
      let header = [];
      let separator = ",";
      for await (const record of recordsOf(response)) {
        if (!header.length) {
          separator = separatorOf(record);
          header = cells(record.replace(/^\ufeff/, ""), separator);
          if (!answered.length) answered.push(record);
          continue;
        }
        // each piece counts its rows from 0, the file all of them
        answered.push(header[0] === "index" ? record.replace(/^\d+/, String(done)) : record);
        const row = named(header, cells(record, separator));
        const verdict = row.get("verdict") || "problem";
        counted.set(verdict, (counted.get(verdict) ?? 0) + 1);
        const sent = asked[done];
        done += 1;
        if (done <= SHOWN_MAX) body.append(line(done, row, () => open(requestOf(input.header, cells(sent, input.separator)))));
        progress.value = done;
        if (done % 20 === 0 || done === rows) fill(said, summary(done, rows, counted));
      }
    }
    fill(said, el("strong", {}, say("many_done")), " ", summary(done, rows, counted), done > SHOWN_MAX ? ` ${say("many_more", { most: String(SHOWN_MAX) })}` : null);
  } catch (error) {
    if (signal.aborted) fill(said, say("many_stopped"), " ", summary(done, rows, counted));
    else fill(said, excuse(error));
  }
  progress.hidden = true;
  if (done) {
    const saving = () => save(new Blob(answered, { type: "text/csv" }), file.name.replace(/(\.[a-z]+)?$/i, "-answered.csv"));
    fill(buttons, el("button", { type: "button", id: "many-save", click: saving }, say("many_save")));
  } else fill(buttons);
}

/**
 * The records of an answer as they arrive.
 * @param {Response} response
 */
async function* recordsOf(response) {
  const reader = /** @type {ReadableStream<Uint8Array>} */ (response.body).pipeThrough(/** @type {any} */ (new TextDecoderStream("utf-8", { ignoreBOM: true }))).getReader();
  let rest = "";
  for (;;) {
    const { done, value } = await reader.read();
    rest += value ?? "";
    const found = records(rest);
    const complete = done ? found : found.slice(0, -1);
    yield* complete;
    if (done) return;
    rest = found[found.length - 1] ?? "";
  }
}

/**
 * The cells of a row by the last name of their column's path.
 * @param {string[]} header
 * @param {string[]} row
 */
function named(header, row) {
  /** @type {Map<string, string>} */
  const found = new Map();
  header.forEach((name, index) => {
    const group = name.split(".")[0];
    if (row[index]) found.set(group, found.has(group) ? `${found.get(group)} ${row[index]}` : row[index]);
  });
  return found;
}

/**
 * @param {number} number
 * @param {Map<string, string>} row
 * @param {() => void} open
 */
function line(number, row, open) {
  const verdict = row.get("verdict");
  const reference = row.get("reference")?.replace(/^'(?=[=+\-@])/, "") ?? "";
  const codes = (row.get("warnings") ?? "").split(/[ ,;|]+/).filter(Boolean);
  return el(
    "tr",
    { class: verdict || "problem" },
    el("th", { scope: "row" }, String(number)),
    el("td", {}, reference),
    el("td", { class: "verdict-cell" }, verdict ? `${SIGNS[verdict] ?? ""} ${verdict in SIGNS ? label(verdict) : verdict}` : `✕ ${say("problem")}`),
    el("td", {}, verdict ? codes.map(label).join("; ") : (row.get("problem") ?? "")),
    el("td", {}, el("button", { type: "button", class: "plain", "aria-label": say("many_open_row", { number: String(number) }), click: open }, say("many_open"))),
  );
}

/**
 * @param {number} done
 * @param {number} rows
 * @param {Map<string, number>} counted
 */
function summary(done, rows, counted) {
  const told = ["fits", "fits_with_cautions", "does_not_fit", "problem"].filter((name) => counted.has(name)).map((name) => `${name === "problem" ? say(name) : label(name)}: ${counted.get(name)}`);
  return `${say("many_of", { done: String(done), rows: String(rows) })} ${told.join(" · ")}`;
}

/** Where a column's cell goes in a request. */
const PLACES = new Map(
  [...SHUTTER, ...EXISTING, ...SURROUNDINGS, ...DUTY, ...["width_mm", "height_mm", "headroom_mm", "depth_mm", "header_thickness_mm"].map((name) => ({ pointer: `/opening/${name}`, kind: "length" })), { pointer: "/reference", kind: "text" }].map((field) => [
    field.pointer.slice(field.pointer.lastIndexOf("/") + 1),
    field,
  ]),
);

/**
 * The request of a row, to be looked at in the form.
 * @param {string[]} header
 * @param {string[]} row
 * @returns {Request}
 */
function requestOf(header, row) {
  /** @type {Request} */
  const request = { opening: {}, shutter: {} };
  header.forEach((name, index) => {
    const text = row[index]?.trim();
    const field = PLACES.get(name.trim());
    if (!text) return;
    if (name.trim() === "options") request.options = text.split(/[\s,]+/);
    else if (field?.kind === "length" || field?.kind === "number") set(request, field.pointer, readNumber(text, {}).value);
    else if (field) set(request, field.pointer, text);
  });
  return request;
}
