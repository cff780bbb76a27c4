// Lengths as people write them, and as they are shown. Inside, everything is mm.

import { language } from "./texts.js";

const MM = { mm: 1, cm: 10, m: 1000, in: 25.4, ft: 304.8 };
const NAMES = [
  [/(?:millimeters?|millimetres?|millimètres?|mm)$/u, "mm"],
  [/(?:centimeters?|centimetres?|centimètres?|zentimeter|cm)$/u, "cm"],
  [/(?:inches|inch|zoll|pouces?|in\.?|["″”“]|'')$/u, "in"],
  [/(?:feet|foot|fuß|pieds?|ft\.?|['′’])$/u, "ft"],
  [/(?:meters?|metres?|mètres?|m)$/u, "m"],
];

const KEPT = "\u00a0"; // a number and its unit stay in one line

/** @type {"mm" | "in"} */
let shown = "mm";

export function unit() {
  return shown;
}

/** @param {string} name */
export function setUnit(name) {
  shown = name === "in" ? "in" : "mm";
}

/**
 * @typedef {object} Reading
 * @property {number} [value] what was read; absent where it cannot be
 * @property {boolean} [hasUnit]
 */

/**
 * Read a length: `1180,5`, `1.180`, `118 cm`, `46 1/2 in`, `3' 10"`. Where a separator can be read both ways, the reading
 * that lies in the range counts. Without a unit it is in the unit that is shown.
 * @param {string} text
 * @param {{minimum?: number, maximum?: number}} range in mm
 * @returns {Reading} in mm
 */
export function readLength(text, range) {
  const typed = spaced(text);
  const feet = /^(.+?)\s*(?:feet|foot|fuß|pieds?|ft\.?|['′’](?!'))\s*(\d.*)$/u.exec(typed);
  if (feet) {
    const whole = numbers(feet[1])[0];
    const rest = readLength(/["″”“n]$|zoll$|pouces?$/u.test(feet[2]) ? feet[2] : `${feet[2]} in`, {});
    if (whole === undefined || rest.value === undefined) return {};
    return { value: thousandth(whole * MM.ft + rest.value), hasUnit: true };
  }
  for (const [name, named] of NAMES) {
    if (/** @type {RegExp} */ (name).test(typed)) {
      const factor = MM[/** @type {keyof typeof MM} */ (named)];
      return { value: chosen(numbers(typed.replace(name, "").trim()), factor, range), hasUnit: true };
    }
  }
  return { value: chosen(numbers(typed), MM[shown], range), hasUnit: false };
}

/**
 * Read a plain number.
 * @param {string} text
 * @param {{minimum?: number, maximum?: number}} range
 * @returns {Reading}
 */
export function readNumber(text, range) {
  return { value: chosen(numbers(spaced(text)), 1, range) };
}

/** @param {string} text */
function spaced(text) {
  return text
    .trim()
    .toLowerCase()
    .replace(/[\u00a0\u2009\u202f]/g, " ")
    .replace(/^[−–]/, "-")
    .replace(/[¼½¾⅐-⅞]/g, (sign) => ` ${sign.normalize("NFKD").replace("⁄", "/")}`)
    .trim();
}

/**
 * What a text can mean as a number, the likelier first.
 * @param {string} text
 * @returns {number[]}
 */
function numbers(text) {
  const fraction = /^(?:(\d+)[ -]+)?(\d+)\s*[/⁄]\s*(\d+)$/.exec(text);
  if (fraction) return Number(fraction[3]) ? [Number(fraction[1] || 0) + Number(fraction[2]) / Number(fraction[3])] : [];
  if (/^-?\d+$/.test(text)) return [Number(text)];
  if (/^-?\d{1,3}( \d{3})+([.,]\d+)?$/.test(text)) return [Number(text.replaceAll(" ", "").replace(",", "."))];
  if (/^-?\d{1,3}(\.\d{3})+,\d+$/.test(text)) return [Number(text.replaceAll(".", "").replace(",", "."))];
  if (/^-?\d{1,3}(,\d{3})+\.\d+$/.test(text)) return [Number(text.replaceAll(",", ""))];
  if (!/^-?\d*[.,]\d+$/.test(text)) return [];
  const decimal = Number(text.replace(",", "."));
  return /^-?[1-9]\d{0,2}[.,]\d{3}$/.test(text) ? [decimal, Number(text.replace(/[.,]/, ""))] : [decimal];
}

/**
 * @param {number[]} readings
 * @param {number} factor
 * @param {{minimum?: number, maximum?: number}} range
 */
function chosen(readings, factor, { minimum = -Infinity, maximum = Infinity }) {
  const values = readings.map((one) => thousandth(one * factor));
  return values.find((one) => one >= minimum && one <= maximum) ?? values[0];
}

/** @param {number} value */
function thousandth(value) {
  return Math.round(value * 1000) / 1000;
}

/**
 * A number as the language writes it, without thousands separators: they are read as decimal points.
 * @param {number} value
 * @param {number} [places] most decimals
 */
export function written(value, places = 3) {
  return new Intl.NumberFormat(language(), { maximumFractionDigits: places, useGrouping: false }).format(value);
}

/**
 * A length in the unit that is shown, mm beside inches.
 * @param {number} mm
 * @param {number} [places]
 */
export function length(mm, places = 1) {
  return shown === "in" ? `${inches(mm)} (${written(mm, places)}${KEPT}mm)` : `${written(mm, places)}${KEPT}mm`;
}

/**
 * Inches to the sixteenth.
 * @param {number} mm
 */
export function inches(mm) {
  const sixteenths = Math.round((Math.abs(mm) / 25.4) * 16);
  const [whole, rest] = [Math.floor(sixteenths / 16), sixteenths % 16];
  const sign = mm < 0 && sixteenths ? "−" : "";
  if (!rest) return `${sign}${whole}${KEPT}in`;
  let [above, below] = [rest, 16];
  while (above % 2 === 0) [above, below] = [above / 2, below / 2];
  return `${sign}${whole ? `${whole}${KEPT}` : ""}${above}/${below}${KEPT}in`;
}
