// The case in the address: `#c=<base64url of the deflated request>&d=<digest of the result>`, as printed sheets have it in
// their code. `lang`, `units` and `view` stand there while the page is used, and not in links that are handed over.

const CASE_BYTES_MAX = 65_536; // what the service takes; a link that unpacks to more is none of ours

/**
 * A request as text for the address; empty where the browser cannot deflate, so that the page works without links.
 * @param {unknown} request
 */
export async function pack(request) {
  if (typeof CompressionStream === "undefined") return "";
  const packed = await passed(new TextEncoder().encode(JSON.stringify(request)), new CompressionStream("deflate-raw"), Infinity);
  let text = "";
  for (const byte of packed) text += String.fromCharCode(byte);
  return btoa(text).replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "");
}

/**
 * The request of an address.
 * @param {string} text
 * @returns {Promise<Record<string, any>>}
 * @throws {Error} it is no request
 */
export async function unpack(text) {
  const packed = Uint8Array.from(atob(text.replaceAll("-", "+").replaceAll("_", "/")), (sign) => sign.charCodeAt(0));
  const unpacked = await passed(packed, new DecompressionStream("deflate-raw"), CASE_BYTES_MAX);
  const request = JSON.parse(new TextDecoder("utf-8", { fatal: true }).decode(unpacked));
  if (!isRecord(request) || !isRecord(request.opening) || !isRecord(request.shutter)) throw new Error("no request");
  return request;
}

/**
 * @param {unknown} value
 * @returns {value is Record<string, any>}
 */
function isRecord(value) {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

/**
 * @param {Uint8Array} bytes
 * @param {CompressionStream | DecompressionStream} stream
 * @param {number} most
 */
async function passed(bytes, stream, most) {
  const body = new Response(/** @type {BodyInit} */ (bytes)).body;
  if (!body) throw new Error("empty");
  const reader = body.pipeThrough(stream).getReader();
  /** @type {Uint8Array[]} */
  const pieces = [];
  let length = 0;
  for (;;) {
    const { done, value } = await reader.read();
    if (done) break;
    length += value.length;
    if (length > most) {
      await reader.cancel();
      throw new Error("too long");
    }
    pieces.push(value);
  }
  const whole = new Uint8Array(length);
  let at = 0;
  for (const piece of pieces) {
    whole.set(piece, at);
    at += piece.length;
  }
  return whole;
}

/** What the address says now. */
export function read() {
  return new URLSearchParams(location.hash.slice(1));
}

/**
 * Write the address; what has no value is left out.
 * @param {Record<string, string>} members
 * @param {"push" | "replace"} how whether the way back leads to what stands there now
 */
export function write(members, how) {
  const text = fragment(members);
  const address = `${location.pathname}${text ? `#${text}` : ""}`;
  if (how === "push") history.pushState(null, "", address);
  else history.replaceState(null, "", address);
}

/** @param {Record<string, string>} members */
export function fragment(members) {
  return new URLSearchParams(Object.entries(members).filter(([, value]) => value)).toString();
}
