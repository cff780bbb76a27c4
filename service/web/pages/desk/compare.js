// What else the catalogue has for this opening, side by side: the best of each slat, tube, side plate or mount.

import { ask } from "./api.js";
import { excuse, SIGNS } from "./answer.js";
import { byId, el, fill, table } from "./dom.js";
import { label, say } from "./texts.js";
import { length, written } from "./units.js";

/** @typedef {import("./pointer.js").Request} Request */

const KINDS = /** @type {const} */ (["slat", "mount", "tube", "side_plate"]);
/** @type {typeof KINDS[number]} */
let chosen = "slat";

/**
 * @param {Request} request
 * @param {(request: Request) => void} take puts a choice into the form
 */
export async function compare(request, take) {
  const place = byId("compare");
  fill(place, el("h3", {}, say("compare")), el("p", { role: "status" }, say("document_waiting")));
  try {
    const answer = await (await ask("v1/fittings/alternatives", { body: JSON.stringify(request) })).json();
    showAll(place, answer, request, take);
  } catch (error) {
    fill(place, el("h3", {}, say("compare")), el("p", { role: "status" }, excuse(error)));
  }
}

/**
 * @param {HTMLElement} place
 * @param {Record<string, any>} answer
 * @param {Request} request
 * @param {(request: Request) => void} take
 */
function showAll(place, answer, request, take) {
  const kind = el(
    "select",
    {
      id: "compare-kind",
      change: () => {
        chosen = /** @type {typeof KINDS[number]} */ (kind.value);
        fill(beside, sideBySide(answer, request, take));
      },
    },
    ...KINDS.map((name) => el("option", { value: name, selected: name === chosen }, say(`compare_${name}`))),
  );
  const beside = el("div", {}, sideBySide(answer, request, take));
  fill(place, el("h3", {}, say("compare")), el("p", {}, el("label", { for: "compare-kind" }, say("compare_kind")), " ", kind), el("p", { role: "status" }, answer.reason_best), beside);
}

/**
 * @param {Record<string, any>} answer
 * @param {Request} request
 * @param {(request: Request) => void} take
 */
function sideBySide(answer, request, take) {
  /** @type {Map<string, any>} the best of each, the best first */
  const best = new Map();
  for (const one of answer.alternatives) {
    const value = one.shutter[chosen];
    if (!best.has(value)) best.set(value, one);
  }
  const found = [...best.values()];
  const name = (/** @type {any} */ one) => (chosen === "mount" ? say(`choice_${one.shutter.mount}`) : one.shutter[chosen]);
  const rows = [
    [say("verdict"), ...found.map((one) => `${SIGNS[one.verdict]} ${label(one.verdict)}`)],
    [say("slat"), ...found.map((one) => one.shutter.slat)],
    [say("mount"), ...found.map((one) => say(`choice_${one.shutter.mount}`))],
    [say("tube"), ...found.map((one) => one.shutter.tube)],
    [say("side_plate"), ...found.map((one) => one.shutter.side_plate)],
    [say("margin"), ...found.map((one) => length(one.worst_margin_mm))],
    [say("slats"), ...found.map((one) => String(one.slat_count))],
    [say("coil_radius"), ...found.map((one) => length(one.coil_radius_mm))],
    [say("mass"), ...found.map((one) => `${written(one.mass_kg, 1)} kg`)],
    [say("hand_force"), ...found.map((one) => `${written(one.hand_force_max_n, 0)} N`)],
    [say("against"), ...found.map((one) => one.failing.map((/** @type {any} */ check) => label(check.id)).join("; "))],
    [say("choice"), ...found.map((one) => el("button", { type: "button", click: () => take(taking(request, one.shutter)) }, say("compare_take", { name: name(one) })))],
  ];
  const shown = table(say("compare_caption"), ["", ...found.map(name)], rows);
  shown.classList.add("beside");
  return shown;
}

/**
 * The request with a shutter of the catalogue; what belongs to another one alone goes.
 * @param {Request} request
 * @param {Record<string, string>} shutter
 * @returns {Request}
 */
function taking(request, shutter) {
  const { slat_count: _count, measured_coil_radius_mm: _radius, ...kept } = request.shutter;
  return { ...request, shutter: { ...kept, ...shutter } };
}
