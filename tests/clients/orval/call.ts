// Calls every operation with a client of orval; prints a figure of each answer.
import { readFileSync } from "node:fs";
import axios, { AxiosError } from "axios";
import * as lathwind from "./client.js";

const [base = "", key = "", examples = ""] = process.argv.slice(2);
axios.defaults.baseURL = base;
axios.defaults.headers.common.Authorization = `Bearer ${key}`;
axios.defaults.adapter = "fetch"; // the only one that answers with blobs outside a browser
axios.defaults.paramsSerializer = { indexes: null }; // `include` stands once for each of its values

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
const params: lathwind.CalculateFittingParams = { include: ["trace", "geometry", "balance_curve", "candidates", "cures"] };

const tell = (operation: string, figure: unknown) => console.log(operation, figure);

for (const request of [truck, locker]) {
  const { data } = await lathwind.calculateFitting(request, params);
  tell("calculateFitting", data.coil.radius_mm);
  tell("verifyResult", (await lathwind.verifyResult(data)).data.outcome);
}
await lathwind.calculateFitting(unserved).catch((refused: AxiosError<lathwind.Problem>) => {
  tell("problem", refused.response?.data.errors?.[0]?.pointer);
});

tell("calculateShort", (await lathwind.calculateShort(truck)).data.coil.radius_mm);
const { items } = (await lathwind.calculateBatch({ items: [truck, unserved] })).data;
tell("calculateBatch", [items[0]?.fitting?.coil.radius_mm, items[1]?.problem?.errors?.[0]?.pointer].join());
// of a file axios has to be told the type
const lines = new Blob([readFileSync(`${examples}/evening-order.request.ndjson`)]);
const streamed = { headers: { "Content-Type": "application/x-ndjson", "X-Request-Id": "example" } };
tell("calculateStream", (await lathwind.calculateStream(lines, { fields: "short" }, streamed)).data.size);
const table = new Blob([readFileSync(`${examples}/evening-order.request.csv`)]);
tell("calculateTable", (await lathwind.calculateTable(table, { fields: "short" }, { headers: { "Content-Type": "text/csv" } })).data.size);
tell("rankAlternatives", (await lathwind.rankAlternatives(truck)).data.alternatives.length);
tell("findLimits", (await lathwind.findLimits(truck)).data.limits.length);

tell("drawSection", (await lathwind.drawSection(truck)).data.size);
tell("drawPlan", (await lathwind.drawPlan(truck, { title: "none" })).data.size);
tell("drawFront", (await lathwind.drawFront(truck)).data.size);
tell("drawPlate", (await lathwind.drawPlate(truck)).data.size);
tell("exportPlate", (await lathwind.exportPlate(truck)).data.size);
tell("printPlate", (await lathwind.printPlate(truck, { paper: "a3" })).data.size);
tell("printSheet", (await lathwind.printSheet(truck)).data.size);

const coils = [
  { slat_count: 30, radius_mm: 64.5 },
  { slat_count: 38, radius_mm: 71 },
  { slat_count: 44, radius_mm: 75 },
];
tell("calibrateSlat", (await lathwind.calibrateSlat({ slat: "slim", tube: "T50", coils })).data.nesting);

const order: lathwind.CuttingRequest = {
  pieces: [
    { profile: "slim", length_mm: 1180, count: 4 },
    { profile: "slim", length_mm: 927.4, count: 3, reference: "weed-boat trailer" },
  ],
  stock: [{ profile: "slim", length_mm: 6500, kerf_mm: 3.2 }],
};
tell("planCutting", (await lathwind.planCutting(order)).data.profiles[0]?.bar_count);
tell("listCutting", (await lathwind.listCutting(order)).data.size);
tell("drawCutting", (await lathwind.drawCutting(order)).data.size);

tell("getCatalogue", (await lathwind.getCatalogue()).data.catalogue.id);
tell("getRules", (await lathwind.getRules()).data.rules.length);
tell("getWarnings", (await lathwind.getWarnings()).data.warnings.length);
tell("getProblem", (await lathwind.getProblem("busy")).data.status);
tell("getLiveness", (await lathwind.getLiveness()).data.status);
tell("getReadiness", (await lathwind.getReadiness()).data.status);
tell("getMetrics", (await lathwind.getMetrics()).data.slice(0, 6));
tell("getContract", Object.keys((await lathwind.getContract()).data).length);
