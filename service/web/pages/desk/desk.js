// The desk: puts form, service, answer and address together.

import { compare } from "./compare.js";
import { byId, el, fill } from "./dom.js";
import { ask, isStale, key, Refused, setKey } from "./api.js";
import * as answers from "./answer.js";
import * as form from "./form.js";
import * as link from "./link.js";
import * as many from "./many.js";
import { changed } from "./pointer.js";
import { language, LANGUAGES, say, setLanguage, translate } from "./texts.js";
import { setUnit, unit } from "./units.js";

/** @typedef {import("./pointer.js").Request} Request */

const TYPING_MS = 200; // how long somebody who types may pause before the service is asked
const MEASURES = 5;
const RESTING_MS = 1200; // how long a case must stand before the service looks for its limits, which takes seconds

/** @type {AbortController} */
let pending = new AbortController();
let timer = 0;
/** Looking for limits, one case at a time: the service cannot stop what it has begun. */
let limiting = Promise.resolve();
/** @type {import("./answer.js").Case | null} */
let shown = null;
/** @type {Record<string, string>} the case in the address */
let address = {};
/** The digest of an opened link, until something is changed. */
let expected = "";
/** Why there is no catalogue, in words; empty where there is one. */
let lacking = "";
let view = "one";

start();

async function start() {
  const said = link.read();
  setLanguage(LANGUAGES.find((one) => one === said.get("lang")) ?? preferred());
  setUnit(said.get("units") ?? "mm");
  form.make((delayed) => {
    expected = "";
    notice("");
    ask_soon(delayed ? TYPING_MS : 0);
  });
  /** @type {HTMLSelectElement} */ (byId("language")).value = language();
  /** @type {HTMLSelectElement} */ (byId("units")).value = unit();
  listen();
  speak();
  showView(said.get("view") === "many" ? "many" : "one");
  await Promise.all([openAddress(), offerCatalogue()]);
  performance.mark("usable");
  ask_soon(0);
}

function preferred() {
  const wanted = navigator.languages.map((one) => one.slice(0, 2));
  return LANGUAGES.find((one) => one === wanted.find((other) => LANGUAGES.some((known) => known === other))) ?? "en";
}

function listen() {
  byId("language").addEventListener("change", (event) => {
    const chosen = /** @type {HTMLSelectElement} */ (event.target).value;
    form.keepingMeasures(() => setLanguage(chosen));
    speak();
    writeAddress("replace");
    ask_soon(0);
  });
  byId("units").addEventListener("change", (event) => {
    form.keepingMeasures(() => setUnit(/** @type {HTMLSelectElement} */ (event.target).value));
    form.showLimits(null);
    writeAddress("replace");
    ask_soon(0);
  });
  byId("view-one").addEventListener("click", () => chooseView("one"));
  byId("view-many").addEventListener("click", () => chooseView("many"));
  byId("blank").addEventListener("click", () => {
    form.load({});
    address = {};
    expected = "";
    notice("");
    writeAddress("push");
    ask_soon(0);
    byId("reference").focus();
  });
  byId("strip").addEventListener("click", () => {
    byId("answer").scrollIntoView();
    byId("answer").focus({ preventScroll: true });
  });
  window.addEventListener("popstate", () => void reopen());
  byId("key-open").hidden = document.documentElement.dataset.keys !== "yes";
  byId("key-open").addEventListener("click", () => showKeyForm(Boolean(byId("key-form").hidden)));
  if (document.documentElement.dataset.keys === "yes" && !key()) byId("key-form").hidden = false;
  byId("key-form").addEventListener("submit", (event) => {
    event.preventDefault();
    const entry = /** @type {HTMLInputElement} */ (byId("key"));
    setKey(entry.value.trim());
    entry.value = "";
    showKeyForm(false);
    notice("");
    void offerCatalogue().then(() => ask_soon(0));
  });
}

/** @param {boolean} open */
function showKeyForm(open) {
  byId("key-form").hidden = !open;
  if (open) byId("key").focus();
}

/** Say everything that does not come from the service. */
function speak() {
  translate(document.documentElement);
  document.title = say("title");
  form.showLimits(null);
  form.refresh(null);
  many.make(take);
}

/** @param {string} text */
function notice(text) {
  const place = byId("notice");
  place.hidden = !text;
  fill(place, text);
}

async function offerCatalogue() {
  try {
    form.offer(await (await ask("v1/catalogue")).json());
    lacking = "";
  } catch (error) {
    lacking = answers.excuse(error);
    if (isAboutKeys(error)) showKeyForm(true);
  }
}

/** Open the case of the address, where there is one. */
async function openAddress() {
  const said = link.read();
  const [packed, digest] = [said.get("c") ?? "", said.get("d") ?? ""];
  if (!packed) return;
  try {
    form.load(await link.unpack(packed));
    address = { c: packed, d: digest };
    expected = digest;
  } catch {
    notice(say("link_broken"));
  }
}

/** After a step back or forward, or a link that was put into the address. */
async function reopen() {
  const said = link.read();
  notice("");
  if (said.get("c") === address.c) return;
  address = {};
  form.load({});
  await openAddress();
  showView(said.get("view") === "many" ? "many" : "one");
  ask_soon(0);
}

/** @param {"push" | "replace"} how */
function writeAddress(how) {
  const own = preferred() === language() ? "" : language();
  link.write({ ...address, lang: own, units: unit() === "in" ? "in" : "", view: view === "many" ? "many" : "" }, how);
}

/** @param {string} chosen */
function chooseView(chosen) {
  showView(chosen);
  writeAddress("replace");
}

/** @param {string} chosen */
function showView(chosen) {
  view = chosen;
  for (const name of ["one", "many"]) {
    byId(name).hidden = name !== chosen;
    byId(`view-${name}`).setAttribute("aria-pressed", String(name === chosen));
  }
  byId("strip").classList.toggle("away", chosen !== "one");
}

/**
 * Put a request into the form as a step that the way back leads out of.
 * @param {Request} request
 */
function take(request) {
  writeAddress("push");
  showView("one");
  form.load(request);
  expected = "";
  notice("");
  ask_soon(0);
  byId("answer").focus({ preventScroll: true });
}

/** @param {number} delayMs */
function ask_soon(delayMs) {
  clearTimeout(timer);
  pending.abort();
  pending = new AbortController();
  answers.markStale();
  const { request, missing } = form.read();
  if (request) timer = setTimeout(() => void calculate(request), delayMs);
  else incomplete(missing);
}

/** @param {string[]} missing */
function incomplete(missing) {
  form.showLimits(null);
  if (lacking) {
    const again = () => void offerCatalogue().then(() => ask_soon(0));
    answers.showVerdict("none", el("p", {}, lacking), el("p", {}, el("button", { type: "button", click: again }, say("again"))));
  } else answers.showVerdict("none", el("p", {}, missing.length >= MEASURES ? say("waiting") : missing.length ? say("missing", { names: missing.join(", ") }) : say("mistaken")));
}

/** @param {Request} request */
async function calculate(request) {
  const { signal } = pending;
  const body = JSON.stringify(request);
  performance.mark("asked");
  const picture = ask("v1/drawings/section.svg?title=none", { body, accept: "image/svg+xml", signal }).then((drawn) => drawn.text());
  picture.catch(() => undefined); // told where it is awaited
  try {
    const [answer, packed] = await Promise.all([ask("v1/fittings?include=balance_curve", { body, signal }).then((one) => one.json()), link.pack(request)]);
    if (signal.aborted) return;
    show(request, answer, packed);
    performance.measure("asked to verdict", "asked");
    await pictures(request, picture, signal);
    limiting = limiting.then(() => seekLimits(body, answer, signal));
    if (answer.verdict === "does_not_fit") await seekCures(request, signal);
  } catch (error) {
    if (!isStale(error)) refused(error);
  }
}

/**
 * @param {Request} request
 * @param {Record<string, any>} answer
 * @param {string} packed
 */
function show(request, answer, packed) {
  const digest = answer.audit.result_sha256;
  if (expected && expected !== digest) notice(say("link_differs", { was: expected.slice(0, 12), is: digest.slice(0, 12) }));
  expected = "";
  address = { c: packed, d: digest };
  writeAddress("replace");
  shown = { request, answer, link: `${location.origin}${location.pathname}#${link.fragment(address)}` };
  answers.show(shown, { take, cure: (changes) => take(changed(request, changes)), compare: () => void compare(request, take), plan: () => void showPlan(request, pending.signal) });
}

/**
 * @param {Request} request
 * @param {Promise<string>} section
 * @param {AbortSignal} signal
 */
async function pictures(request, section, signal) {
  try {
    const drawn = await section;
    if (signal.aborted) return;
    await answers.showPicture("section", drawn);
    performance.measure("asked to picture", "asked");
  } catch (error) {
    if (!isStale(error)) fill(byId("section"), el("p", { class: "notice" }, answers.excuse(error)));
  }
  if (answers.wantsPlan()) await showPlan(request, signal);
}

/**
 * @param {Request} request
 * @param {AbortSignal} signal
 */
async function showPlan(request, signal) {
  try {
    const plan = await (await ask("v1/drawings/plan.svg?title=none", { body: JSON.stringify(request), accept: "image/svg+xml", signal })).text();
    if (!signal.aborted) await answers.showPicture("plan", plan);
  } catch (error) {
    if (!isStale(error)) fill(byId("plan"), el("p", { class: "notice" }, answers.excuse(error)));
  }
}

/**
 * Look for what would make a case fit.
 * @param {Request} request
 * @param {AbortSignal} signal
 */
async function seekCures(request, signal) {
  answers.seekCures();
  const cured = await (await ask("v1/fittings?include=cures", { body: JSON.stringify(request), signal })).json();
  if (!signal.aborted) answers.showCures(cured, (changes) => take(changed(request, changes)));
}

/**
 * Look for how far the measures of a case may go, once it has stood for a while.
 * @param {string} body
 * @param {Record<string, any>} answer
 * @param {AbortSignal} signal
 */
async function seekLimits(body, answer, signal) {
  await rested(signal);
  if (signal.aborted) return;
  try {
    const { limits } = await (await ask("v1/fittings/limits", { body })).json();
    const { slat, mount } = answer.audit.request.shutter;
    if (!signal.aborted) form.showLimits(limits.find((/** @type {any} */ one) => one.slat === slat && one.mount === mount) ?? null);
  } catch (error) {
    if (!signal.aborted) notice(answers.excuse(error));
  }
}

/**
 * Wait until a case has stood for a while, or is gone.
 * @param {AbortSignal} signal
 * @returns {Promise<void>}
 */
function rested(signal) {
  return new Promise((done) => {
    setTimeout(done, RESTING_MS);
    signal.addEventListener("abort", () => done());
  });
}

/** @param {unknown} error */
function isAboutKeys(error) {
  return error instanceof Refused && error.problem.status === 401;
}

/** @param {unknown} error */
function refused(error) {
  const told = answers.excuse(error);
  const problem = /** @type {Refused} */ (error).problem;
  if (isAboutKeys(error)) showKeyForm(true);
  const others = form.showFaults(problem.errors ?? []);
  answers.showVerdict(
    "none",
    el("p", {}, el("strong", {}, told)),
    others.length ? el("ul", {}, ...others.map((text) => el("li", {}, text))) : null,
    problem.status === 401 || problem.status === 422 ? null : el("p", {}, el("button", { type: "button", click: () => ask_soon(0) }, say("again"))),
  );
}
