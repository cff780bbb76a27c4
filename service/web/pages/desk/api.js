// Asks the service. The language goes with every request, the key where one was entered.

import { language } from "./texts.js";

const KEY = "lathwind-key";
let own = stored() || "";

/** What the tab's session has, where the browser lets the page have one; elsewhere a key lasts until the page is left. */
function stored() {
  try {
    return sessionStorage.getItem(KEY);
  } catch {
    return null;
  }
}

export function key() {
  return own;
}

/** @param {string} text stays in this tab, and goes when it is closed */
export function setKey(text) {
  own = text;
  try {
    if (text) sessionStorage.setItem(KEY, text);
    else sessionStorage.removeItem(KEY);
  } catch {
    // kept in memory alone
  }
}

/**
 * @typedef {object} Problem
 * @property {number} status 0 where the service could not be reached
 * @property {string} title
 * @property {string} detail
 * @property {string} [instance]
 * @property {{pointer?: string, detail: string}[]} [errors]
 */

/** What the service refuses, with its problem document. */
export class Refused extends Error {
  /**
   * @param {Problem} problem
   * @param {number} retryS in how many seconds to try again, 0 where that is not said
   */
  constructor(problem, retryS = 0) {
    super(problem.detail);
    this.problem = problem;
    this.retryS = retryS;
  }
}

/**
 * @param {string} path
 * @param {{body?: BodyInit, type?: string, accept?: string, signal?: AbortSignal}} [asked]
 * @returns {Promise<Response>}
 * @throws {Refused} the service says no, or is not there
 */
export async function ask(path, { body, type = "application/json", accept = "application/json", signal } = {}) {
  /** @type {Record<string, string>} */
  const headers = { Accept: accept, "Accept-Language": language() };
  if (body !== undefined) headers["Content-Type"] = type;
  if (own) headers["X-API-Key"] = own;
  /** @type {Response} */
  let answer;
  try {
    answer = await fetch(path, { method: body === undefined ? "GET" : "POST", headers, body, signal, credentials: "omit" });
  } catch (error) {
    if (signal?.aborted) throw error;
    throw new Refused({ status: 0, title: "", detail: "" });
  }
  if (answer.ok) return answer;
  const again = Number(answer.headers.get("Retry-After")) || 0;
  const problem = await answer.json().catch(() => ({ title: answer.statusText, detail: "" }));
  throw new Refused({ ...problem, status: answer.status }, again);
}

/**
 * The name under which the service wants a file saved.
 * @param {Response} answer
 * @param {string} otherwise
 */
export function fileName(answer, otherwise) {
  return /filename="([^"]+)"/.exec(answer.headers.get("Content-Disposition") || "")?.[1] || otherwise;
}

/**
 * Whether an error only says that nobody waits for the answer any more.
 * @param {unknown} error
 */
export function isStale(error) {
  return error instanceof DOMException && error.name === "AbortError";
}
