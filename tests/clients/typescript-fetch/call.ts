// Calls every operation with a client of openapi-generator's typescript-fetch; prints a figure of each answer.
import { readFileSync } from "node:fs";
import * as lathwind from "./client/index.js";

const [base = "", key = "", examples = ""] = process.argv.slice(2);
const configuration = new lathwind.Configuration({ basePath: base, accessToken: key });
const fittings = new lathwind.FittingsApi(configuration);
const drawings = new lathwind.DrawingsAndSheetsApi(configuration);
const plans = new lathwind.CuttingPlansApi(configuration);
const data = new lathwind.ReferenceDataApi(configuration);
const health = new lathwind.HealthApi(configuration);

const truck: lathwind.FittingRequest = {
  reference: "lock-gate truck, nearside 2",
  opening: { widthMm: 1180, heightMm: 1420, headroomMm: 310, depthMm: 620, headerThicknessMm: 40 },
  shutter: { slat: "slim" },
  options: ["drip_rail", "strip_light"],
};
const locker: lathwind.FittingRequest = {
  opening: {
    survey: { widthsMm: [300, 300], heightsMm: [1900, 1900] },
    headroomMm: 330,
    depthMm: 620,
    headerThicknessMm: 40,
  },
  shutter: { slat: "slim" },
};
const unserved: lathwind.FittingRequest = { ...locker, shutter: { slat: "featherweight" } };

const tell = (operation: string, figure: unknown) => console.log(operation, figure);

for (const fittingRequest of [truck, locker]) {
  const include = new Set<lathwind.CalculateFittingIncludeEnum>(["trace", "geometry", "balance_curve", "candidates", "cures"]);
  const fitting = await fittings.calculateFitting({ fittingRequest, include });
  tell("calculateFitting", fitting.coil.radiusMm);
  tell("verifyResult", (await new lathwind.AuditApi(configuration).verifyResult({ fitting })).outcome);
}
try {
  await fittings.calculateFitting({ fittingRequest: unserved });
} catch (refused) {
  if (!(refused instanceof lathwind.ResponseError)) throw refused;
  tell("problem", lathwind.ProblemFromJSON(await refused.response.json()).errors?.[0]?.pointer);
}

const asked = { fittingRequest: truck };
tell("calculateShort", (await fittings.calculateShort(asked)).coil.radiusMm);
const { items } = await fittings.calculateBatch({ batchRequest: { items: [truck, unserved] } });
tell("calculateBatch", [items[0]?.fitting?.coil.radiusMm, items[1]?.problem?.errors?.[0]?.pointer].join());
const lines = new Blob([readFileSync(`${examples}/evening-order.request.ndjson`)]);
tell("calculateStream", (await fittings.calculateStream({ body: lines, fields: "short", xRequestId: "example" })).size);
const table = new Blob([readFileSync(`${examples}/evening-order.request.csv`)]);
tell("calculateTable", (await fittings.calculateTable({ body: table })).size);
tell("rankAlternatives", (await fittings.rankAlternatives(asked)).alternatives.length);
tell("findLimits", (await fittings.findLimits(asked)).limits.length);

tell("drawSection", (await drawings.drawSection(asked)).size);
tell("drawPlan", (await drawings.drawPlan({ ...asked, title: "none" })).size);
tell("drawFront", (await drawings.drawFront(asked)).size);
tell("drawPlate", (await drawings.drawPlate(asked)).size);
tell("exportPlate", (await drawings.exportPlate(asked)).size);
tell("printPlate", (await drawings.printPlate({ ...asked, paper: "a3" })).size);
tell("printSheet", (await drawings.printSheet(asked)).size);

const calibrationRequest: lathwind.CalibrationRequest = {
  slat: "slim",
  tube: "T50",
  coils: [
    { slatCount: 30, radiusMm: 64.5 },
    { slatCount: 38, radiusMm: 71 },
    { slatCount: 44, radiusMm: 75 },
  ],
};
tell("calibrateSlat", (await new lathwind.CalibrationApi(configuration).calibrateSlat({ calibrationRequest })).nesting);

const cuttingRequest: lathwind.CuttingRequest = {
  pieces: [
    { profile: "slim", lengthMm: 1180, count: 4 },
    { profile: "slim", lengthMm: 927.4, count: 3, reference: "weed-boat trailer" },
  ],
  stock: [{ profile: "slim", lengthMm: 6500, kerfMm: 3.2 }],
};
tell("planCutting", (await plans.planCutting({ cuttingRequest })).profiles[0]?.barCount);
tell("listCutting", (await plans.listCutting({ cuttingRequest })).size);
tell("drawCutting", (await plans.drawCutting({ cuttingRequest })).size);

tell("getCatalogue", (await data.getCatalogue()).catalogue.id);
tell("getRules", (await data.getRules()).rules.length);
tell("getWarnings", (await data.getWarnings()).warnings.length);
tell("getProblem", (await data.getProblem({ kind: "busy" })).status);
tell("getLiveness", (await health.getLiveness()).status);
tell("getReadiness", (await health.getReadiness()).status);
tell("getMetrics", (await health.getMetrics()).slice(0, 6));
tell("getContract", Object.keys(await new lathwind.ContractApi(configuration).getContract()).length);
