// Calls every operation with a client of @hey-api/openapi-ts; prints a figure of each answer.
import { readFileSync } from "node:fs";
import { client } from "./client/client.gen.js";
import * as lathwind from "./client/index.js";

const [base = "", key = "", examples = ""] = process.argv.slice(2);
client.setConfig({ baseUrl: base, auth: key });

const truck: lathwind.FittingRequest = {
  reference: "lock-gate truck, nearside 2",
  opening: { width_mm: 1180, height_mm: 1420, headroom_mm: 310, depth_mm: 620, header_thickness_mm: 40 },
  shutter: { slat: "slim" },
  options: ["drip_rail", "strip_light"],
};
const locker: lathwind.FittingRequest = {
  opening: {
    survey: { widths_mm: [300, 300], heights_mm: [1900, 1900] },
    headroom_mm: 330,
    depth_mm: 620,
    header_thickness_mm: 40,
  },
  shutter: { slat: "slim" },
};
const unserved: lathwind.FittingRequest = { ...locker, shutter: { slat: "featherweight" } };

const tell = (operation: string, figure: unknown) => console.log(operation, figure);

const throwOnError = true; // where the answer is a problem

for (const body of [truck, locker]) {
  const query = { include: ["trace", "geometry", "balance_curve", "candidates", "cures"] } satisfies lathwind.CalculateFittingData["query"];
  const { data } = await lathwind.calculateFitting({ body, query, throwOnError });
  tell("calculateFitting", data.coil.radius_mm);
  tell("verifyResult", (await lathwind.verifyResult({ body: data, throwOnError })).data.outcome);
}
const { error } = await lathwind.calculateFitting({ body: unserved, throwOnError: false });
tell("problem", error?.errors?.[0]?.pointer);

tell("calculateShort", (await lathwind.calculateShort({ body: truck, throwOnError })).data.coil.radius_mm);
const { items } = (await lathwind.calculateBatch({ body: { items: [truck, unserved] }, throwOnError })).data;
tell("calculateBatch", [items[0]?.fitting?.coil.radius_mm, items[1]?.problem?.errors?.[0]?.pointer].join());
const stream = await lathwind.calculateStream({
  body: new Blob([readFileSync(`${examples}/evening-order.request.ndjson`)]),
  query: { fields: "short" },
  headers: { "X-Request-Id": "example" },
  bodySerializer: null, // as it is, not as JSON
  throwOnError,
});
tell("calculateStream", stream.data.size);
// a text would be read as one, the contract says a file
const table = await lathwind.calculateTable({
  body: new Blob([readFileSync(`${examples}/evening-order.request.csv`)]),
  parseAs: "blob",
  throwOnError,
});
tell("calculateTable", table.data.size);
tell("rankAlternatives", (await lathwind.rankAlternatives({ body: truck, throwOnError })).data.alternatives.length);
tell("findLimits", (await lathwind.findLimits({ body: truck, throwOnError })).data.limits.length);

tell("drawSection", (await lathwind.drawSection({ body: truck, throwOnError })).data.size);
tell("drawPlan", (await lathwind.drawPlan({ body: truck, query: { title: "none" }, throwOnError })).data.size);
tell("drawFront", (await lathwind.drawFront({ body: truck, throwOnError })).data.size);
tell("drawPlate", (await lathwind.drawPlate({ body: truck, throwOnError })).data.size);
tell("exportPlate", (await lathwind.exportPlate({ body: truck, throwOnError })).data.size);
tell("printPlate", (await lathwind.printPlate({ body: truck, query: { paper: "a3" }, throwOnError })).data.size);
tell("printSheet", (await lathwind.printSheet({ body: truck, throwOnError })).data.size);

const coils = [
  { slat_count: 30, radius_mm: 64.5 },
  { slat_count: 38, radius_mm: 71 },
  { slat_count: 44, radius_mm: 75 },
];
tell("calibrateSlat", (await lathwind.calibrateSlat({ body: { slat: "slim", tube: "T50", coils }, throwOnError })).data.nesting);

const order: lathwind.CuttingRequest = {
  pieces: [
    { profile: "slim", length_mm: 1180, count: 4 },
    { profile: "slim", length_mm: 927.4, count: 3, reference: "weed-boat trailer" },
  ],
  stock: [{ profile: "slim", length_mm: 6500, kerf_mm: 3.2 }],
};
tell("planCutting", (await lathwind.planCutting({ body: order, throwOnError })).data.profiles[0]?.bar_count);
tell("listCutting", (await lathwind.listCutting({ body: order, parseAs: "blob", throwOnError })).data.size);
tell("drawCutting", (await lathwind.drawCutting({ body: order, throwOnError })).data.size);

tell("getCatalogue", (await lathwind.getCatalogue({ throwOnError })).data.catalogue.id);
tell("getRules", (await lathwind.getRules({ throwOnError })).data.rules.length);
tell("getWarnings", (await lathwind.getWarnings({ throwOnError })).data.warnings.length);
tell("getProblem", (await lathwind.getProblem({ path: { kind: "busy" }, throwOnError })).data.status);
tell("getLiveness", (await lathwind.getLiveness({ throwOnError })).data.status);
tell("getReadiness", (await lathwind.getReadiness({ throwOnError })).data.status);
tell("getMetrics", (await lathwind.getMetrics({ throwOnError })).data.slice(0, 6));
tell("getContract", Object.keys((await lathwind.getContract({ throwOnError })).data).length);
