// Calls every operation with openapi-fetch and types from openapi-typescript; prints a figure of each answer.
import { readFileSync } from "node:fs";
import createClient from "openapi-fetch";
import type { components, paths } from "./client.js";

type FittingRequest = components["schemas"]["FittingRequest"];
type CuttingRequest = components["schemas"]["CuttingRequest"];

const [base = "", key = "", examples = ""] = process.argv.slice(2);
const client = createClient<paths>({ baseUrl: base, headers: { Authorization: `Bearer ${key}` } });

const truck: FittingRequest = {
  reference: "lock-gate truck, nearside 2",
  opening: { width_mm: 1180, height_mm: 1420, headroom_mm: 310, depth_mm: 620, header_thickness_mm: 40 },
  shutter: { slat: "slim" },
  options: ["drip_rail", "strip_light"],
};
const locker: FittingRequest = {
  opening: {
    survey: { widths_mm: [300, 300], heights_mm: [1900, 1900] },
    headroom_mm: 330,
    depth_mm: 620,
    header_thickness_mm: 40,
  },
  shutter: { slat: "slim" },
};
const unserved: FittingRequest = { ...locker, shutter: { slat: "featherweight" } };
const include: ("trace" | "geometry" | "balance_curve" | "candidates" | "cures")[] = [
  "trace", "geometry", "balance_curve", "candidates", "cures",
];

const tell = (operation: string, figure: unknown) => console.log(operation, figure);

function read<T>({ data, response }: { data?: T; response: Response }): T {
  if (data === undefined) throw new Error(`${response.url}: ${response.status}`);
  return data;
}

for (const body of [truck, locker]) {
  const fitting = read(await client.POST("/v1/fittings", { body, params: { query: { include } } }));
  tell("calculateFitting", fitting.coil.radius_mm);
  tell("verifyResult", read(await client.POST("/v1/audits/verification", { body: fitting })).outcome);
}
const { error } = await client.POST("/v1/fittings", { body: unserved });
tell("problem", error?.errors?.[0]?.pointer);

tell("calculateShort", read(await client.POST("/v1/fittings/short", { body: truck })).coil.radius_mm);
const batch = read(await client.POST("/v1/fittings/batch", { body: { items: [truck, unserved] } }));
tell("calculateBatch", [batch.items[0]?.fitting?.coil.radius_mm, batch.items[1]?.problem?.errors?.[0]?.pointer].join());
// the text of a file is sent as it is
const asItIs = { bodySerializer: (text: string) => text, parseAs: "blob" } as const;
tell(
  "calculateStream",
  read(
    await client.POST("/v1/fittings/stream", {
      ...asItIs,
      body: readFileSync(`${examples}/evening-order.request.ndjson`, "utf8"),
      params: { query: { fields: "short" }, header: { "X-Request-Id": "example" } },
      headers: { "Content-Type": "application/x-ndjson" },
    }),
  ).size,
);
tell(
  "calculateTable",
  read(
    await client.POST("/v1/fittings/table", {
      ...asItIs,
      body: readFileSync(`${examples}/evening-order.request.csv`, "utf8"),
      headers: { "Content-Type": "text/csv" },
    }),
  ).size,
);
tell("rankAlternatives", read(await client.POST("/v1/fittings/alternatives", { body: truck })).alternatives.length);
tell("findLimits", read(await client.POST("/v1/fittings/limits", { body: truck })).limits.length);

const file = { body: truck, parseAs: "blob" } as const;
tell("drawSection", read(await client.POST("/v1/drawings/section.svg", file)).size);
tell("drawPlan", read(await client.POST("/v1/drawings/plan.svg", { ...file, params: { query: { title: "none" } } })).size);
tell("drawFront", read(await client.POST("/v1/drawings/front.svg", file)).size);
tell("drawPlate", read(await client.POST("/v1/drawings/plate.svg", file)).size);
tell("exportPlate", read(await client.POST("/v1/drawings/plate.dxf", file)).size);
tell("printPlate", read(await client.POST("/v1/drawings/plate.pdf", { ...file, params: { query: { paper: "a3" } } })).size);
tell("printSheet", read(await client.POST("/v1/sheets/fitting.pdf", file)).size);

const coils = [
  { slat_count: 30, radius_mm: 64.5 },
  { slat_count: 38, radius_mm: 71 },
  { slat_count: 44, radius_mm: 75 },
];
tell("calibrateSlat", read(await client.POST("/v1/calibrations", { body: { slat: "slim", tube: "T50", coils } })).nesting);

const order: CuttingRequest = {
  pieces: [
    { profile: "slim", length_mm: 1180, count: 4 },
    { profile: "slim", length_mm: 927.4, count: 3, reference: "weed-boat trailer" },
  ],
  stock: [{ profile: "slim", length_mm: 6500, kerf_mm: 3.2 }],
};
tell("planCutting", read(await client.POST("/v1/cutting-plans", { body: order })).profiles[0]?.bar_count);
tell("listCutting", read(await client.POST("/v1/cutting-plans/table", { body: order, parseAs: "blob" })).size);
tell("drawCutting", read(await client.POST("/v1/cutting-plans/picture.svg", { body: order, parseAs: "blob" })).size);

tell("getCatalogue", read(await client.GET("/v1/catalogue")).catalogue.id);
tell("getRules", read(await client.GET("/v1/rules")).rules.length);
tell("getWarnings", read(await client.GET("/v1/warnings")).warnings.length);
tell("getProblem", read(await client.GET("/problems/{kind}", { params: { path: { kind: "busy" } } })).status);
tell("getLiveness", read(await client.GET("/health/live")).status);
tell("getReadiness", read(await client.GET("/health/ready")).status);
tell("getMetrics", read(await client.GET("/metrics", { parseAs: "text" })).slice(0, 6));
tell("getContract", Object.keys(read(await client.GET("/openapi.json"))).length);
