// Calculates a fitting, keeps the answer, and lets it be verified, with types that are made from the contract:
//   npm install openapi-fetch openapi-typescript typescript @types/node
//   npx openapi-typescript http://127.0.0.1:8000/openapi.json -o lathwind.ts
//   npx tsc --strict --skipLibCheck --module nodenext --target es2022 --types node call.ts && node call.js [ADDRESS [KEY]]
import createClient from "openapi-fetch";
import type { components, paths } from "./lathwind.js";

const [baseUrl = "http://127.0.0.1:8000", key] = process.argv.slice(2);
const lathwind = createClient<paths>({ baseUrl, headers: key ? { Authorization: `Bearer ${key}` } : {} });
const opening = { width_mm: 1180, height_mm: 1420, headroom_mm: 310, depth_mm: 620, header_thickness_mm: 40 };

/** Print what is to be known of one opening; the answer, where there is one. */
async function calculate(body: components["schemas"]["FittingRequest"]) {
  const { data, error } = await lathwind.POST("/v1/fittings", { body });
  for (const fault of error?.errors ?? []) console.log("refused:", fault.pointer, fault.detail);
  if (data === undefined) return undefined;
  console.log(data.verdict, "- coil radius", data.coil.radius_mm, "mm, bracket hole", data.bracket.hole);
  for (const warning of data.words?.warnings ?? []) console.log(warning.message, warning.remedy);
  return data;
}

await calculate({ opening: { ...opening, width_mm: 118 }, shutter: { slat: "slim" } });
const stored = await calculate({ opening, shutter: { slat: "slim" } }); // keep it whole: it proves itself
if (stored !== undefined) {
  const { data } = await lathwind.POST("/v1/audits/verification", { body: stored });
  console.log("verified:", data?.outcome);
}
