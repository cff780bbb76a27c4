// The answer, the verdict first: what it is, what cures it, the figures that matter, what somebody must mind.

import { byId, el, fill, fold, save, table } from "./dom.js";
import { ask, fileName, Refused } from "./api.js";
import { chart } from "./chart.js";
import { label, say } from "./texts.js";
import { length, written } from "./units.js";

export const SIGNS = /** @type {Record<string, string>} */ ({ fits: "✓", fits_with_cautions: "!", does_not_fit: "✕" });
const SEVERITIES = /** @type {const} */ (["stop", "caution", "note"]);

/**
 * @typedef {import("./pointer.js").Request} Request
 * @typedef {Record<string, any>} Fitting an answer of `POST /v1/fittings`; the contract describes it
 * @typedef {object} Case
 * @property {Request} request what was asked
 * @property {Fitting} answer
 * @property {string} link the address that opens it
 */

/**
 * @param {string} tone a verdict, or "none"
 * @param {...import("./dom.js").Child} children
 */
export function showVerdict(tone, ...children) {
  const place = byId("verdict");
  place.className = `verdict ${tone}`;
  fill(place, ...children);
  const strip = byId("strip");
  strip.hidden = !(tone in SIGNS);
  strip.className = `strip ${tone}`;
  if (tone in SIGNS) fill(strip, el("span", { "aria-hidden": "true" }, `${SIGNS[tone]} `), label(tone));
}

/** Say that what stands there is no longer the answer to the form, until the next one comes. */
export function markStale() {
  byId("answer").classList.add("stale");
  for (const button of byId("below").querySelectorAll("button[data-document]")) /** @type {HTMLButtonElement} */ (button).disabled = true;
}

/**
 * Show a case; what is folded open stays open.
 * @param {Case} one
 * @param {{take: (request: Request) => void, cure: (changes: any[]) => void, compare: () => void, plan: () => void}} doing
 */
export function show(one, doing) {
  const { answer } = one;
  const { words, verdict } = answer;
  const below = byId("below");
  const open = new Set([...below.querySelectorAll("details[open]")].map((details) => details.id));
  const [section, plan] = ["section", "fold-plan"].map((id) => document.getElementById(id));
  byId("answer").classList.remove("stale");
  showVerdict(
    verdict,
    el("h2", {}, el("span", { class: "sign", "aria-hidden": "true" }, SIGNS[verdict]), label(verdict)),
    answer.reference ? el("p", { class: "whose" }, answer.reference) : null,
    el("p", {}, words.headline),
    verdict === "does_not_fit" ? el("p", {}, words.lines[0]) : null,
  );
  fill(
    below,
    el("div", { id: "cures" }),
    figures(answer),
    warnings(answer),
    handOver(one),
    section ?? el("div", { id: "section" }),
    el("section", { class: "spoken" }, el("h3", {}, say("spoken")), el("ul", {}, ...words.lines.map((/** @type {string} */ line) => el("li", {}, line)))),
    el(
      "section",
      { class: "hurt" },
      el("h3", {}, say("cautions")),
      el("ul", {}, ...words.cautions.map((/** @type {any} */ caution) => el("li", {}, caution.text))),
    ),
    asked(answer),
    el("section", { id: "compare" }, el("button", { type: "button", click: doing.compare }, say("compare"))),
    planFold(plan, doing.plan),
    fold("fold-chart", say("forces"), chart(answer.balance.curve, answer.audit.request.duty.hand_force_limit_n)),
    fold("fold-parts", say("parts"), parts(answer)),
    fold("fold-work", say("work"), work(words)),
    fold("fold-checks", say("checks"), checks(answer)),
    fold("fold-request", say("request"), ...programs(one)),
    fold("fold-audit", say("audit"), ...audit(one)),
  );
  for (const id of open) /** @type {HTMLDetailsElement | null} */ (document.getElementById(id))?.setAttribute("open", "");
}

/**
 * The cures as buttons that change the form.
 * @param {Fitting} answer with cures
 * @param {(changes: any[]) => void} cure
 */
export function showCures(answer, cure) {
  const place = document.getElementById("cures");
  if (!place) return;
  fill(
    place,
    el("h3", {}, say("cures")),
    answer.cures.length
      ? el(
          "ul",
          { class: "cures" },
          ...answer.cures.map((/** @type {any} */ one, /** @type {number} */ index) =>
            el(
              "li",
              {},
              el(
                "button",
                { type: "button", class: "cure", click: () => cure(one.changes) },
                el("span", {}, answer.words.cures[index].label),
                el("small", {}, `${SIGNS[one.verdict]} ${label(one.verdict)}`),
              ),
            ),
          ),
        )
      : el("p", {}, say("cures_none")),
  );
}

/** Say that cures are being looked for. */
export function seekCures() {
  const place = document.getElementById("cures");
  if (place) fill(place, el("h3", {}, say("cures")), el("p", { class: "about" }, say("cures_sought")));
}

/** @param {Fitting} answer */
function figures(answer) {
  const sealed = `${answer.seals.top_profile}, ${length(answer.seals.top_cut_length_mm)}`;
  const rows = [
    ["coil_radius", length(answer.coil.radius_mm)],
    ["slats", say("slats_of", { count: String(answer.curtain.slat_count), slat: answer.curtain.slat })],
    ["slat_length", length(answer.curtain.slat_length_mm)],
    ["tube_length", length(answer.curtain.tube_length_mm)],
    ["track_length", length(answer.tracks.length_mm)],
    ["top_seal", sealed],
    ["hand_force", `${written(answer.balance.hand_force_max_n, 0)} N`],
    ["clear", `${length(answer.daylight.width_mm)} × ${length(answer.daylight.height_mm)}`],
  ];
  return el(
    "section",
    {},
    el("h3", {}, say("figures")),
    answer.verdict === "does_not_fit" ? el("p", { class: "about" }, say("figures_nearest")) : null,
    el("dl", { class: "figures" }, ...rows.map(([name, value]) => el("div", {}, el("dt", {}, say(name)), el("dd", {}, value)))),
  );
}

/** @param {Fitting} answer */
function warnings(answer) {
  const told = answer.warnings.map((/** @type {any} */ warning, /** @type {number} */ index) => ({ ...warning, ...answer.words.warnings[index] }));
  return el(
    "section",
    { class: "warnings" },
    el("h3", {}, say("warnings")),
    told.length ? null : el("p", {}, say("warnings_none")),
    el(
      "ul",
      {},
      ...SEVERITIES.flatMap((severity) =>
        told
          .filter((/** @type {any} */ one) => one.severity === severity)
          .map((/** @type {any} */ one) =>
            el("li", { class: severity }, el("p", {}, el("strong", {}, `${label(severity)}: `), one.message), el("p", { class: "about" }, one.remedy)),
          ),
      ),
    ),
  );
}

/** @param {Case} one */
function handOver(one) {
  const said = el("p", { role: "status", class: "about" });
  const documents = [
    ["v1/sheets/fitting.pdf", "application/pdf", "sheet"],
    ["v1/drawings/plate.pdf", "application/pdf", "template"],
    ["v1/drawings/plate.dxf", "image/vnd.dxf", "dxf"],
  ];
  return el(
    "section",
    { class: "hand-over" },
    el("h3", {}, say("hand_over")),
    el(
      "p",
      { class: "buttons" },
      copyButton("link_copy", () => one.link, said),
      ...documents.map(([path, type, name]) =>
        el("button", { type: "button", "data-document": name, click: () => fetchDocument(one, path, type, said) }, say(name)),
      ),
      el("button", { type: "button", "data-document": "print", click: () => print() }, say("print")),
    ),
    said,
  );
}

/**
 * Save a document of exactly the case that is shown.
 * @param {Case} one
 * @param {string} path
 * @param {string} type
 * @param {HTMLElement} said where to say how it went
 */
async function fetchDocument(one, path, type, said) {
  fill(said, say("document_waiting"));
  try {
    const response = await ask(path, { body: JSON.stringify(one.request), accept: type });
    const name = fileName(response, path.slice(path.lastIndexOf("/") + 1));
    save(await response.blob(), name);
    fill(said, say("document_saved", { name }));
  } catch (error) {
    fill(said, excuse(error));
  }
}

/**
 * A refusal in words.
 * @param {unknown} error
 */
export function excuse(error) {
  if (!(error instanceof Refused)) throw error;
  const { status, title, detail } = error.problem;
  if (status === 0) return say("unreachable");
  if (status === 401) return say("unauthorized");
  if (status === 403) return say("forbidden", { detail });
  return detail ? `${title}: ${detail}` : title;
}

/**
 * @param {string} key of its text
 * @param {() => string} text
 * @param {HTMLElement} said
 */
function copyButton(key, text, said) {
  const copy = async () => {
    try {
      await navigator.clipboard.writeText(text());
      fill(said, say("copied"));
    } catch {
      fill(said, say("copy_by_hand"), el("textarea", { readonly: true, rows: 4, "aria-label": say(key) }, text()));
    }
  };
  return el("button", { type: "button", "data-document": key, click: copy }, say(key));
}

/**
 * What was calculated, as understood.
 * @param {Fitting} answer
 */
function asked(answer) {
  const { opening, shutter, options, duty } = answer.audit.request;
  const rows = [
    ["width", length(answer.opening.width_mm)],
    ["height", length(answer.opening.height_mm)],
    ["headroom", length(opening.headroom_mm)],
    ["depth", length(opening.depth_mm)],
    ["header_thickness", length(opening.header_thickness_mm)],
    ["mount", say(`choice_${shutter.mount}`)],
    ["options", options.map((/** @type {string} */ option) => say(`option_${option}`)).join(", ") || say("options_none")],
    ["road_speed", `${written(duty.road_speed_km_h)} km/h`],
  ];
  return el(
    "section",
    { class: "asked" },
    el("h3", {}, say("asked")),
    el("dl", { class: "figures small" }, ...rows.map(([name, value]) => el("div", {}, el("dt", {}, say(name)), el("dd", {}, value)))),
    el("p", { class: "about digest" }, `${say("result_sha256")}: ${answer.audit.result_sha256}`),
  );
}

/** @param {Fitting} answer */
function parts(answer) {
  return table(
    say("parts"),
    [say("part"), say("article"), say("quantity"), say("cut")],
    answer.parts.map((/** @type {any} */ part, /** @type {number} */ index) => [
      answer.words.parts[index].label,
      part.article,
      String(part.quantity),
      part.cut_length_mm === undefined ? "" : length(part.cut_length_mm),
    ]),
  );
}

/** @param {Record<string, any>} words */
function work(words) {
  const texts = new Map(words.cautions.map((/** @type {any} */ one) => [one.code, one.text]));
  return el(
    "ol",
    { class: "work" },
    ...words.work.map((/** @type {any} */ step) =>
      el(
        "li",
        {},
        el("h4", {}, step.title),
        el("p", {}, step.text),
        ...step.cautions.map((/** @type {string} */ code) => el("p", { class: "caution" }, el("strong", {}, `${label("caution")}: `), texts.get(code) ?? code)),
      ),
    ),
  );
}

/** @param {Fitting} answer */
function checks(answer) {
  return table(
    say("checks"),
    [say("check"), say("value"), say("limit"), say("margin"), say("state")],
    answer.checks.map((/** @type {any} */ check, /** @type {number} */ index) => [
      answer.words.checks[index].label,
      `${written(check.value, 2)} ${check.unit}`,
      `${say(`direction_${check.direction}`)} ${written(check.limit, 2)}`,
      written(check.margin, 2),
      say(`state_${check.state}`),
    ]),
    (index) => answer.checks[index].state,
  );
}

/** @param {Case} one */
function programs(one) {
  const json = JSON.stringify(one.request, null, 2);
  const quoted = JSON.stringify(one.request).replaceAll("'", "'\\''");
  const key = document.documentElement.dataset.keys === "yes" ? " -H 'X-API-Key: YOUR-KEY'" : "";
  const curl = `curl -H 'Content-Type: application/json'${key} --data '${quoted}' ${new URL("v1/fittings", location.href)}`;
  const said = el("p", { role: "status", class: "about" });
  return [
    el("p", { class: "buttons" }, copyButton("curl_copy", () => curl, said), copyButton("json_copy", () => json, said)),
    said,
    el("pre", { tabindex: 0, role: "region", "aria-label": say("request_curl") }, curl),
    el("pre", { tabindex: 0, role: "region", "aria-label": say("request_json") }, json),
  ];
}

/** @param {Case} one */
function audit(one) {
  const { audit: kept } = one.answer;
  const rows = [
    ["result_sha256", kept.result_sha256],
    ["request_sha256", kept.request_sha256],
    ["calculation_version", kept.calculation_version],
    ["contract_version", kept.contract_version],
    ["catalogue", `${kept.catalogue}, ${kept.catalogue_sha256}`],
  ];
  const store = () => save(new Blob([JSON.stringify(one.answer, null, 2)], { type: "application/json" }), `${kept.result_sha256.slice(0, 12)}.json`);
  const said = el("p", { role: "status" });
  const pasted = el("textarea", { id: "stored", rows: 4, spellcheck: "false" });
  const file = el("input", {
    type: "file",
    id: "stored-file",
    accept: ".json,application/json",
    change: async () => {
      const chosen = file.files?.[0];
      if (chosen) await verify(await chosen.text(), said);
    },
  });
  return [
    el("dl", { class: "digests" }, ...rows.flatMap(([name, value]) => [el("dt", {}, say(name)), el("dd", {}, value)])),
    el("p", {}, el("button", { type: "button", "data-document": "store", click: store }, say("store"))),
    el("h4", {}, say("verify")),
    el("p", { class: "about" }, say("verify_about")),
    el("p", {}, el("label", { for: "stored-file" }, say("verify_file")), " ", file),
    el("p", {}, el("label", { for: "stored" }, say("verify_paste")), pasted),
    el("p", {}, el("button", { type: "button", click: () => verify(pasted.value, said) }, say("verify_do"))),
    said,
  ];
}

/**
 * Ask whether a stored answer is genuine.
 * @param {string} stored
 * @param {HTMLElement} said
 */
async function verify(stored, said) {
  fill(said, say("document_waiting"));
  try {
    const outcome = await (await ask("v1/audits/verification", { body: stored })).json();
    const differing = (outcome.differences ?? []).map((/** @type {any} */ one) => one.pointer).join(", ");
    fill(said, el("strong", {}, say(`outcome_${outcome.outcome}`)), differing ? ` ${say("differing", { pointers: differing })}` : null);
  } catch (error) {
    fill(said, excuse(error));
  }
}

/**
 * The fold of the plan: one that is there stays, with the picture that it has.
 * @param {HTMLElement | null} before
 * @param {() => void} opened
 */
function planFold(before, opened) {
  if (before) fill(/** @type {Element} */ (before.querySelector("summary")), say("plan"));
  const made = /** @type {HTMLDetailsElement} */ (before ?? fold("fold-plan", say("plan"), el("div", { id: "plan" })));
  made.ontoggle = () => made.open && opened();
  return made;
}

/** Whether somebody looks at the plan. */
export function wantsPlan() {
  return /** @type {HTMLDetailsElement | null} */ (document.getElementById("fold-plan"))?.open ?? false;
}

/**
 * Show a drawing as a picture; the one before it goes when the new one is there.
 * @param {"section" | "plan"} name
 * @param {string} drawing SVG
 * @returns {Promise<void>}
 */
export async function showPicture(name, drawing) {
  const url = URL.createObjectURL(new Blob([drawing], { type: "image/svg+xml" }));
  const image = el("img", { src: url, alt: say(`${name}_alt`) });
  await image.decode().catch(() => undefined);
  const place = document.getElementById(name);
  const before = place?.querySelector("img");
  if (place) fill(place, el("figure", { class: "picture" }, el("a", { href: url, target: "_blank", rel: "noopener" }, image), name === "section" ? el("figcaption", {}, say(name)) : null));
  if (before) URL.revokeObjectURL(before.src);
}
