// The form: makes its fields, reads them as a request, shows what is wrong with them and how far they may go.

import { byId, el, fill, fold } from "./dom.js";
import { DUTY, EXISTING, OBSTACLE, OPTIONS, SHUTTER, SURROUNDINGS, SURVEY } from "./fields.js";
import { at, set } from "./pointer.js";
import { say, translate } from "./texts.js";
import { inches, length, readLength, readNumber, unit, written } from "./units.js";

/** @typedef {import("./fields.js").Field} Field */
/** @typedef {import("./pointer.js").Request} Request */
/** @typedef {HTMLInputElement | HTMLSelectElement} Control */
/** @typedef {{minimum?: number, maximum?: number, maxLength?: number, default?: unknown}} Range */

/** @type {Record<string, Range>} what the contract allows, as the service wrote it into the page */
const RANGES = JSON.parse(byId("ranges").textContent || "{}");
const OBSTACLES = "/opening/obstacles";
const OBSTACLES_MAX = 8;
const SIZES = { "/opening/width_mm": "width", "/opening/height_mm": "height" };

const form = /** @type {HTMLFormElement} */ (byId("case"));
/** @type {any} */
let catalogue = null;
/** @type {Map<string, string>} the control of each sent member: blank readings of a survey are left out */
let sent = new Map();

/** @param {string} pointer */
function rangeOf(pointer) {
  return RANGES[pointer.replace(/\/\d+(?=\/|$)/g, "/-")] ?? {};
}

/** @param {string} pointer */
function idOf(pointer) {
  return pointer.slice(1).replaceAll("/", "-");
}

/** @returns {Control[]} */
function controls() {
  return /** @type {Control[]} */ ([...form.elements].filter((one) => one.getAttribute("name")?.startsWith("/")));
}

/**
 * @param {string} pointer
 * @returns {Control | undefined}
 */
function controlOf(pointer) {
  return controls().find((one) => one.name === pointer);
}

/**
 * @param {Control} control
 * @param {"read" | "range" | "fault"} part
 */
function beside(control, part) {
  return document.getElementById(`${control.id}-${part}`);
}

/**
 * A labelled field with its explanation, and room for what was read, its range and what is wrong.
 * @param {Field} field
 */
function labelled(field) {
  const id = idOf(field.pointer);
  const hints = { "aria-describedby": `${id}-read ${id}-about ${id}-range ${id}-fault` };
  const control =
    field.kind === "choice"
      ? el("select", { id, name: field.pointer, "data-kind": "choice", ...hints }, ...(field.choices ?? []).map((value) => el("option", { value, "data-text": `choice_${value}` })))
      : el("input", { id, name: field.pointer, "data-kind": field.kind, autocomplete: "off", spellcheck: "false", ...hints });
  return el(
    "div",
    { class: field.kind === "choice" ? "field choice" : "field" },
    el("label", { for: id }, el("span", { "data-text": field.text }), field.unit ? ` [${field.unit}]` : null),
    control,
    el("output", { class: "read", id: `${id}-read`, for: id }),
    el("p", { class: "about", id: `${id}-about`, "data-text": `${field.text}_about` }),
    el("p", { class: "range", id: `${id}-range` }),
    el("p", { class: "fault", id: `${id}-fault` }),
  );
}

/**
 * A fold whose title is a text of the page.
 * @param {string} id
 * @param {string} title key of the text
 * @param {...import("./dom.js").Child} children
 */
function titled(id, title, ...children) {
  const made = fold(id, "", ...children);
  made.querySelector("summary")?.setAttribute("data-text", title);
  return made;
}

function surveyed() {
  return SURVEY.map(([pointer, count, text]) =>
    el(
      "fieldset",
      { class: "readings" },
      el("legend", { "data-text": text }),
      ...Array.from({ length: count }, (_, index) => {
        const id = `${idOf(pointer)}-${index}`;
        return el(
          "div",
          { class: "reading" },
          el("label", { for: id, class: "unseen", "data-text": `${text}_one`, "data-place": String(index + 1) }),
          el("input", { id, name: `${pointer}/${index}`, "data-kind": "length", autocomplete: "off", "aria-describedby": `${id}-read ${id}-fault` }),
          el("output", { class: "read", id: `${id}-read`, for: id }),
          el("p", { class: "fault", id: `${id}-fault` }),
        );
      }),
    ),
  );
}

function optional() {
  return OPTIONS.map((option) =>
    el(
      "div",
      { class: "option" },
      el("input", { type: "checkbox", id: `option-${option}`, value: option, "data-option": true, "aria-describedby": `option-${option}-about` }),
      el("label", { for: `option-${option}`, "data-text": `option_${option}` }),
      el("p", { class: "about", id: `option-${option}-about`, "data-text": `option_${option}_about` }),
    ),
  );
}

/**
 * Make the fields.
 * @param {(delayed: boolean) => void} onChange called after each change; delayed while somebody types
 */
export function make(onChange) {
  fill(
    byId("more"),
    el("fieldset", {}, el("legend", { "data-text": "shutter" }), el("div", { class: "fields" }, ...SHUTTER.map(labelled))),
    el("fieldset", { class: "options" }, el("legend", { "data-text": "options" }), ...optional()),
    titled("fold-survey", "survey", el("p", { class: "about", "data-text": "survey_about" }), ...surveyed()),
    titled("fold-surroundings", "surroundings", el("div", { class: "fields" }, ...SURROUNDINGS.map(labelled))),
    titled(
      "fold-obstacles",
      "obstacles",
      el("p", { class: "about", "data-text": "obstacles_about" }),
      el("div", { id: "obstacles" }),
      el("p", {}, el("button", { type: "button", id: "obstacle-add", "data-text": "obstacle_add", click: () => addObstacle() })),
    ),
    titled("fold-existing", "existing", el("div", { class: "fields" }, ...EXISTING.map(labelled))),
    titled("fold-duty", "duty", el("div", { class: "fields" }, ...DUTY.map(labelled))),
  );
  for (const control of controls()) showStandard(control);
  form.addEventListener("input", (event) => {
    const typed = event.target instanceof HTMLInputElement && event.target.type !== "checkbox";
    if (event.target instanceof HTMLSelectElement && event.target.name === "/shutter/slat") offerTubes();
    refresh(typed ? /** @type {HTMLInputElement} */ (event.target) : null);
    onChange(typed);
  });
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("focusin", (event) => light(event.target));
  form.addEventListener("focusout", (event) => {
    light(null);
    if (event.target instanceof HTMLInputElement) refresh(null, event.target);
  });
}

/** @param {EventTarget | null} target */
function light(target) {
  const measure = target instanceof HTMLInputElement ? target.id : "";
  for (const one of form.querySelectorAll("svg [data-measure]")) one.classList.toggle("lit", one.getAttribute("data-measure") === measure);
}

/** @param {Control} control */
function showStandard(control) {
  const standard = rangeOf(control.name).default;
  if (control instanceof HTMLInputElement && typeof standard === "number") control.placeholder = written(standard);
}

function addObstacle() {
  const list = byId("obstacles");
  const index = list.childElementCount;
  if (index >= OBSTACLES_MAX) return;
  const fields = OBSTACLE.map((field) => labelled({ ...field, pointer: `${OBSTACLES}/${index}/${field.pointer}` }));
  const remove = el("button", {
    type: "button",
    class: "plain",
    "data-text": "obstacle_remove",
    click: () => {
      const request = draft();
      const kept = at(request, OBSTACLES).filter((/** @type {unknown} */ _, /** @type {number} */ other) => other !== index);
      list.replaceChildren();
      kept.forEach((/** @type {Request} */ texts, /** @type {number} */ place) => {
        addObstacle();
        for (const [name, text] of Object.entries(texts)) {
          const control = controlOf(`${OBSTACLES}/${place}/${name}`);
          if (control) control.value = text;
        }
      });
      form.dispatchEvent(new Event("input", { bubbles: true }));
    },
  });
  list.append(el("fieldset", {}, el("legend", { "data-text": "obstacle_one", "data-place": String(index + 1) }), el("div", { class: "fields" }, ...fields), remove));
  translate(list);
}

/** What stands in the fields, as it was typed. */
function draft() {
  /** @type {Request} */
  const texts = { opening: { obstacles: [] } };
  for (const control of controls()) set(texts, control.name, control.value);
  return texts;
}

/**
 * Offer what the catalogue has.
 * @param {any} offered `GET /v1/catalogue`
 */
export function offer(offered) {
  catalogue = offered.catalogue;
  const auto = { value: "auto", text: say("choice_auto") };
  setOffers("/shutter/slat", catalogue.slats.map((/** @type {any} */ one) => ({
    value: one.id,
    text: say("slat_offer", { id: one.id, pitch: length(one.pitch_mm), width: length(one.width_max_mm, 0) }),
  })));
  setOffers("/shutter/side_plate", [auto, ...catalogue.side_plates.map((/** @type {any} */ one) => ({
    value: one.id,
    text: say("plate_offer", { id: one.id, deep: length(one.deep_mm, 0), high: length(one.high_mm, 0) }),
  }))]);
  offerTubes();
}

function offerTubes() {
  if (!catalogue) return;
  const slat = catalogue.slats.find((/** @type {any} */ one) => one.id === controlOf("/shutter/slat")?.value);
  const tubes = catalogue.tubes.filter((/** @type {any} */ one) => !slat || slat.tubes.includes(one.id));
  setOffers("/shutter/tube", [
    { value: "auto", text: say("choice_auto") },
    ...tubes.map((/** @type {any} */ one) => ({ value: one.id, text: say("tube_offer", { id: one.id, across: length(2 * one.radius_mm, 0) }) })),
  ]);
  const tube = controlOf("/shutter/tube");
  if (tube && slat && tube.value !== "auto" && !slat.tubes.includes(tube.value)) tube.value = "auto";
}

/**
 * @param {string} pointer
 * @param {{value: string, text: string}[]} offers
 */
function setOffers(pointer, offers) {
  const select = /** @type {HTMLSelectElement} */ (controlOf(pointer));
  const before = select.value;
  fill(select, ...offers.map(({ value, text }) => el("option", { value }, text)));
  choose(select, before || offers[0]?.value || "");
}

/**
 * Choose a value; one that is not offered is shown too, so that nothing is exchanged silently.
 * @param {Control} control
 * @param {string} value
 */
function choose(control, value) {
  if (value && control instanceof HTMLSelectElement && ![...control.options].some((one) => one.value === value)) {
    control.append(el("option", { value }, value));
  }
  control.value = value;
}

/**
 * @typedef {object} Read
 * @property {Request | null} request null where something is missing or wrong
 * @property {string[]} missing keys of the texts that name what is missing
 */

/**
 * The request that the form stands for. A value that is the contract's default is left out.
 * @returns {Read}
 */
export function read() {
  /** @type {Request} */
  const request = { opening: {}, shutter: {} };
  /** @type {string[]} */
  const missing = [];
  let wrong = false;
  const survey = hasSurvey();
  sent = new Map();
  for (const control of controls()) {
    const blank = !control.value.trim();
    if (blank || control.disabled) {
      const needed = (control.required && !control.disabled) || control.name === "/shutter/slat";
      if (needed || control.name.startsWith(OBSTACLES)) missing.push(nameOf(control));
      continue;
    }
    const { value, fault } = valueOf(control);
    if (fault) wrong = true;
    else if (value !== rangeOf(control.name).default) {
      const pointer = placeOf(request, control.name);
      set(request, pointer, value);
      sent.set(pointer, control.name);
    }
  }
  if (survey) missing.push(...SURVEY.filter(([pointer]) => isTooShort(pointer, at(request, pointer))).map(([, , text]) => say(text)));
  const options = [...form.querySelectorAll("input[data-option]:checked")].map((one) => /** @type {HTMLInputElement} */ (one).value);
  if (options.length) request.options = options;
  return { request: wrong || missing.length ? null : request, missing };
}

/**
 * Whether a survey has too few readings of a kind: two at least, diagonals two or none.
 * @param {string} pointer
 * @param {number[]} [readings]
 */
function isTooShort(pointer, readings = []) {
  return readings.length < 2 && !(pointer.endsWith("diagonals_mm") && !readings.length);
}

/**
 * Where a value goes: blank readings before it close up.
 * @param {Request} request
 * @param {string} name
 */
function placeOf(request, name) {
  if (!name.startsWith("/opening/survey/")) return name;
  const list = name.replace(/\/\d+$/, "");
  return `${list}/${(at(request, list) ?? []).length}`;
}

/** @param {Control} control */
function nameOf(control) {
  return control.labels?.[0]?.textContent || control.name;
}

function hasSurvey() {
  return controls().some((one) => one.name.startsWith("/opening/survey/") && one.value.trim());
}

/**
 * @param {Control} control
 * @returns {{value?: number | string, hasUnit?: boolean, fault?: string}}
 */
function valueOf(control) {
  const text = control.value.trim();
  const range = rangeOf(control.name);
  const kind = control.dataset.kind;
  if (kind === "choice") return { value: text };
  if (kind === "text") {
    const most = range.maxLength ?? Infinity;
    return text.length > most ? { fault: say("fault_long", { most: String(most) }) } : { value: text };
  }
  const { value, hasUnit } = kind === "length" ? readLength(text, range) : readNumber(text, range);
  if (value === undefined) return { fault: say(kind === "length" ? "fault_length" : "fault_number") };
  const { minimum = -Infinity, maximum = Infinity } = range;
  if (value >= minimum && value <= maximum) return { value, hasUnit };
  const bounds = { value: shown(value, kind), least: shown(minimum, kind), most: shown(maximum, kind) };
  const asCm = kind === "length" && !hasUnit && value * 10 >= minimum && value * 10 <= maximum && minimum > 0;
  return { value, hasUnit, fault: say(asCm ? "fault_cm" : "fault_range", { ...bounds, typed: text }) };
}

/**
 * @param {number} value
 * @param {string | undefined} kind
 */
function shown(value, kind) {
  return kind === "length" ? length(value, 3) : written(value);
}

/**
 * Show what was read, and what is wrong; a field that is being typed in is not told that it is empty.
 * @param {Control | null} typed
 * @param {Control | null} [left] which has just been left
 */
export function refresh(typed, left = null) {
  const survey = hasSurvey();
  for (const name of Object.keys(SIZES)) {
    const size = controlOf(name);
    if (size) {
      size.disabled = survey;
      size.required = !survey;
    }
  }
  for (const control of left ? [left] : controls()) {
    const echoed = beside(control, "read");
    const blank = !control.value.trim();
    const { value, fault } = blank || control.disabled ? {} : valueOf(control);
    if (echoed) {
      const isLength = control.dataset.kind === "length" && typeof value === "number" && !fault;
      fill(echoed, isLength ? echo(/** @type {number} */ (value)) : "");
    }
    if (control === typed || control === left || !blank) {
      const missing = left && blank && control.required ? say("fault_missing") : "";
      showFault(control, fault ?? missing);
    } else if (control.disabled) showFault(control, "");
  }
}

/** @param {number} mm */
function echo(mm) {
  return unit() === "in" ? `= ${inches(mm)} = ${written(mm)}\u00a0mm` : `= ${written(mm)}\u00a0mm`;
}

/**
 * @param {Control} control
 * @param {string} text
 */
function showFault(control, text) {
  const place = beside(control, "fault");
  if (place && place.textContent !== text) fill(place, text);
  if (text) control.setAttribute("aria-invalid", "true");
  else control.removeAttribute("aria-invalid");
}

/**
 * Show the service's faults at their fields.
 * @param {{pointer?: string, detail: string}[]} errors
 * @returns {string[]} what belongs to no field
 */
export function showFaults(errors) {
  const others = [];
  for (const { pointer = "", detail } of errors) {
    const control = controlOf(sent.get(pointer) ?? pointer);
    if (control) {
      showFault(control, detail);
      /** @type {HTMLDetailsElement | null} */ (control.closest("details"))?.setAttribute("open", "");
    } else others.push(pointer ? `${pointer}: ${detail}` : detail);
  }
  return others;
}

/**
 * Show how far the five measures may go: what the contract takes, or what fits.
 * @param {Record<string, any> | null} limits a row of the service's limits
 */
export function showLimits(limits) {
  for (const [id, least, most] of [
    ["width", "width_min_mm", "width_max_mm"],
    ["height", "", "height_max_mm"],
    ["headroom", "headroom_min_mm", ""],
    ["depth", "depth_min_mm", ""],
    ["header_thickness", "", ""],
  ]) {
    const contract = rangeOf(/** @type {Control} */ (byId(id)).name);
    const text = limits && (least || most) ? told(limits, least, most) : say("range_contract", { range: between(contract.minimum, contract.maximum) });
    fill(byId(`${id}-range`), text);
  }
}

/**
 * @param {Record<string, any>} limits
 * @param {string} least
 * @param {string} most
 */
function told(limits, least, most) {
  const easily = limits.without_cautions;
  if (limits[least] === undefined && limits[most] === undefined) return say("range_nothing");
  const range = between(limits[least], limits[most]);
  if (easily[least] === undefined && easily[most] === undefined) return say("range_cautions", { range });
  return say("range_fits", { range, easily: between(easily[least], easily[most]) });
}

/**
 * @param {number | undefined} least
 * @param {number | undefined} most
 */
function between(least, most) {
  if (least === undefined) return say("up_to", { most: length(most ?? 0, 0) });
  if (most === undefined) return say("from_on", { least: length(least, 0) });
  return unit() === "in" ? say("from_to", { least: length(least, 0), most: length(most, 0) }) : say("from_to", { least: written(least), most: length(most) });
}

/**
 * Put a request into the form.
 * @param {Request} request
 */
export function load(request) {
  byId("obstacles").replaceChildren();
  for (let count = (at(request, OBSTACLES) ?? []).length; count > 0; count -= 1) addObstacle();
  for (const control of controls()) {
    const value = at(request, control.name) ?? (control.dataset.kind === "choice" ? rangeOf(control.name).default : undefined);
    const isDefault = value === rangeOf(control.name).default;
    if (control.dataset.kind === "choice") choose(control, String(value ?? /** @type {HTMLSelectElement} */ (control).options[0]?.value ?? ""));
    else if (value === undefined || isDefault) control.value = "";
    else control.value = typeof value === "number" ? asTyped(control, value) : String(value);
  }
  offerTubes();
  for (const box of form.querySelectorAll("input[data-option]")) {
    /** @type {HTMLInputElement} */ (box).checked = (request.options ?? []).includes(/** @type {HTMLInputElement} */ (box).value);
  }
  for (const details of form.querySelectorAll("details")) details.open = [...details.querySelectorAll("input")].some((one) => one.value);
  for (const control of controls()) showFault(control, "");
  refresh(null);
}

/**
 * A number as one would type it; in a page that shows inches, mm are said.
 * @param {Control} control
 * @param {number} value
 */
function asTyped(control, value) {
  return control.dataset.kind === "length" && unit() === "in" ? `${written(value)} mm` : written(value);
}

/**
 * Exchange the unit that is shown without changing a measure.
 * @param {() => void} exchange
 */
export function keepingMeasures(exchange) {
  const values = controls().map((control) => ({ control, ...(control.dataset.kind === "length" && control.value.trim() ? valueOf(control) : {}) }));
  exchange();
  for (const { control, value, fault } of values) {
    if (typeof value === "number" && !fault) control.value = asTyped(control, value);
  }
  for (const control of controls()) showStandard(control);
  if (catalogue) offer({ catalogue });
  refresh(null);
}
