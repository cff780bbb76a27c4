// The forces over the lift as a small chart.

import { el, svg } from "./dom.js";
import { say } from "./texts.js";
import { length, written } from "./units.js";

const [WIDE, HIGH] = [560, 240];
const [LEFT, RIGHT, TOP, BOTTOM] = [48, 12, 14, 40];

/**
 * @param {{lift_mm: number, hand_up_n: number, hand_down_n: number}[]} curve
 * @param {number} limitN what a hand may need
 */
export function chart(curve, limitN) {
  const forces = curve.flatMap((point) => [point.hand_up_n, point.hand_down_n]);
  const step = niceStep(Math.max(...forces, limitN) - Math.min(...forces, 0));
  const most = Math.ceil(Math.max(...forces, limitN) / step) * step;
  const least = Math.floor(Math.min(...forces, 0) / step) * step;
  const liftMax = curve[curve.length - 1].lift_mm;
  const x = (/** @type {number} */ lift) => LEFT + (lift / liftMax) * (WIDE - LEFT - RIGHT);
  const y = (/** @type {number} */ force) => TOP + ((most - force) / (most - least)) * (HIGH - TOP - BOTTOM);
  const line = (/** @type {"hand_up_n" | "hand_down_n"} */ name) =>
    svg("polyline", { class: name, points: curve.map((point) => `${x(point.lift_mm).toFixed(1)},${y(point[name]).toFixed(1)}`).join(" ") });
  const grid = [];
  for (let force = least; force <= most + step / 2; force += step) {
    grid.push(
      svg("line", { class: force === 0 ? "zero" : "grid", x1: LEFT, x2: WIDE - RIGHT, y1: y(force), y2: y(force) }),
      svg("text", { x: LEFT - 6, y: y(force) + 4, "text-anchor": "end" }, written(force)),
    );
  }
  const described = say("chart_about", {
    up: written(Math.max(...curve.map((point) => point.hand_up_n)), 0),
    down: written(Math.max(...curve.map((point) => point.hand_down_n)), 0),
    limit: written(limitN),
  });
  return el(
    "figure",
    { class: "chart" },
    svg(
      "svg",
      { viewBox: `0 0 ${WIDE} ${HIGH}`, role: "img", "aria-label": described },
      ...grid,
      svg("line", { class: "limit", x1: LEFT, x2: WIDE - RIGHT, y1: y(limitN), y2: y(limitN) }),
      line("hand_up_n"),
      line("hand_down_n"),
      svg("text", { x: 4, y: 11 }, "N"),
      svg("text", { x: LEFT, y: HIGH - 22 }, say("chart_closed")),
      svg("text", { x: WIDE - RIGHT, y: HIGH - 22, "text-anchor": "end" }, say("chart_open", { lift: length(liftMax, 0) })),
      ...["hand_up_n", "hand_down_n", "limit"].flatMap((name, index) => [
        svg("line", { class: name, x1: LEFT + index * 172, x2: LEFT + index * 172 + 26, y1: HIGH - 8, y2: HIGH - 8 }),
        svg("text", { x: LEFT + index * 172 + 32, y: HIGH - 4 }, say(`chart_${name}`)),
      ]),
    ),
    el("figcaption", {}, described),
  );
}

/** @param {number} span */
function niceStep(span) {
  const rough = span / 5;
  const ten = 10 ** Math.floor(Math.log10(rough));
  return [1, 2, 5, 10].map((one) => one * ten).find((one) => one >= rough) ?? rough;
}
