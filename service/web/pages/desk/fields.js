// What the form asks for besides the five measures: a row for each member of a request, in the order of the page.

/**
 * @typedef {object} Field
 * @property {string} pointer JSON Pointer to the request's member
 * @property {"length" | "number" | "choice" | "text"} kind
 * @property {string} text key of its label; `<text>_about` explains it
 * @property {string} [unit] of a number
 * @property {string[]} [choices] values whose texts are `choice_<value>`; a choice without them comes from the catalogue
 */

/** @type {Field[]} */
export const SHUTTER = [
  { pointer: "/shutter/slat", kind: "choice", text: "slat" },
  { pointer: "/shutter/mount", kind: "choice", text: "mount", choices: ["reveal", "face"] },
  { pointer: "/shutter/tube", kind: "choice", text: "tube" },
  { pointer: "/shutter/side_plate", kind: "choice", text: "side_plate" },
  { pointer: "/shutter/fitted_from", kind: "choice", text: "fitted_from", choices: ["outside", "inside"] },
];

/** @type {Field[]} */
export const EXISTING = [
  { pointer: "/shutter/slat_count", kind: "number", text: "slat_count" },
  { pointer: "/shutter/measured_coil_radius_mm", kind: "length", text: "measured_radius" },
];

/** @type {Field[]} */
export const SURROUNDINGS = [
  { pointer: "/opening/plate_offset_mm", kind: "length", text: "plate_offset" },
  { pointer: "/opening/wall_gap_left_mm", kind: "length", text: "wall_gap_left" },
  { pointer: "/opening/wall_gap_right_mm", kind: "length", text: "wall_gap_right" },
  { pointer: "/opening/body", kind: "choice", text: "body", choices: ["steel", "aluminium", "composite"] },
  { pointer: "/opening/sill_above_ground_mm", kind: "length", text: "sill_above_ground" },
  { pointer: "/opening/load_gap_mm", kind: "length", text: "load_gap" },
];

/** @type {Field[]} */
export const DUTY = [
  { pointer: "/duty/road_speed_km_h", kind: "number", text: "road_speed", unit: "km/h" },
  { pointer: "/duty/temperature_min_c", kind: "number", text: "temperature_min", unit: "°C" },
  { pointer: "/duty/temperature_max_c", kind: "number", text: "temperature_max", unit: "°C" },
  { pointer: "/duty/supply_v", kind: "number", text: "supply", unit: "V" },
  { pointer: "/duty/cable_run_m", kind: "number", text: "cable_run", unit: "m" },
  { pointer: "/duty/cycles_per_day", kind: "number", text: "cycles" },
  { pointer: "/duty/service_years", kind: "number", text: "service_years" },
  { pointer: "/duty/hand_force_limit_n", kind: "number", text: "hand_force_limit", unit: "N" },
  { pointer: "/duty/measuring_tolerance_mm", kind: "length", text: "tolerance" },
];

/** Readings of a survey: the member, how many the contract takes, the key of the text. */
export const SURVEY = /** @type {const} */ ([
  ["/opening/survey/widths_mm", 5, "survey_widths"],
  ["/opening/survey/heights_mm", 5, "survey_heights"],
  ["/opening/survey/diagonals_mm", 2, "survey_diagonals"],
]);

/** @type {Field[]} members of an obstacle; their pointers begin with that of the obstacle */
export const OBSTACLE = [
  { pointer: "name", kind: "text", text: "obstacle_name" },
  { pointer: "x_mm", kind: "length", text: "obstacle_x" },
  { pointer: "z_mm", kind: "length", text: "obstacle_z" },
  { pointer: "deep_mm", kind: "length", text: "obstacle_deep" },
  { pointer: "high_mm", kind: "length", text: "obstacle_high" },
];

export const OPTIONS = ["perimeter_seal", "drip_rail", "pull_strap", "inside_release", "door_switch", "electric_lock", "strip_light"];
