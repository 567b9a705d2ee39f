// Calls by fetch, typed by what openapi-typescript generates: node calls.js ADDRESS KEY VESSEL CONDITION.
// The last two are files. Prints one line of JSON with what was answered.
import { readFileSync } from "node:fs";
import type { components, paths } from "./api.js";

type Method = "get" | "post" | "patch";
type Content<Of> = Of extends { content: infer Types } ? Types[keyof Types] : never;
type Answer<Operation, Status> = Operation extends { responses: infer Answers }
  ? Status extends keyof Answers
    ? JsonOf<Answers[Status]>
    : never
  : never;
type JsonOf<Of> = Of extends { content: { "application/json": infer Json } }
  ? Json
  : Of extends { content: { "application/problem+json": infer Problem } }
    ? Problem
    : never;
type Body<Operation> = Operation extends { requestBody: infer Sent } ? Content<Sent> : undefined;
type Query<Operation> = Operation extends { parameters: { query?: infer Asked } } ? Asked : undefined;
type Steps<Operation> = Operation extends { parameters: { path: infer Named } } ? Named : undefined;

interface Options<Operation> {
  body?: Body<Operation>;
  query?: Query<Operation>;
  steps?: Steps<Operation>;
  headers?: Record<string, string>;
}

const [address = "", key = "", vesselFile = "", conditionFile = ""] = process.argv.slice(2);

async function ask<
  Path extends keyof paths,
  Asked extends Method & keyof paths[Path],
  Status extends number,
>(
  method: Asked,
  path: Path,
  status: Status,
  options: Options<paths[Path][Asked]> = {},
): Promise<{ json: Answer<paths[Path][Asked], Status>; tag: string }> {
  const steps = (options.steps ?? {}) as Record<string, string>;
  const url = new URL(path.replace(/\{(\w+)\}/g, (_, name: string) => encodeURIComponent(steps[name] ?? "")), address);
  for (const [name, value] of Object.entries((options.query ?? {}) as Record<string, unknown>)) {
    for (const one of Array.isArray(value) ? value : [value]) url.searchParams.append(name, String(one));
  }
  const headers: Record<string, string> = { Authorization: `Bearer ${key}`, ...options.headers };
  const init: RequestInit = { method: method.toUpperCase(), headers };
  if (options.body !== undefined) {
    headers["Content-Type"] = method === "patch" ? "application/merge-patch+json" : "application/json";
    init.body = JSON.stringify(options.body);
  }
  const response = await fetch(url, init);
  if (response.status !== status) throw new Error(`${method} ${url}: ${response.status} ${await response.text()}`);
  return { json: (await response.json()) as Answer<paths[Path][Asked], Status>, tag: response.headers.get("etag") ?? "" };
}

const vessel = JSON.parse(readFileSync(vesselFile, "utf-8")) as components["schemas"]["Vessel"];
const read = JSON.parse(readFileSync(conditionFile, "utf-8")) as components["schemas"]["Condition"];
const condition: components["schemas"]["Condition"] = {
  units: "metric",
  title: read.title,
  water_density: read.water_density,
  free_surface: { basis: "as_filled" },
  tanks: read.tanks.map(({ tank, fill }) => ({ tank, fill: fill ?? 0 })),
  weights: [{ name: "Deck load", category: "deck_cargo", mass: 400, lcg: 30, vcg: 6.5 }],
};
// @ts-expect-error: a basis that the description does not list
const refused: components["schemas"]["Condition"] = { ...condition, free_surface: { basis: "none" } };

const sets = await ask("get", "/v1/rule-sets", 200);
const kept = await ask("post", "/v1/vessels", 201, { body: { ...vessel, id: "typed-barge", reference: "TS" } });
const id: string = kept.json.vessel;
const answer = await ask("post", "/v1/assessments", 200, { body: { vessel_id: id, condition } });
if (!("criteria" in answer.json)) throw new Error("not an assessment");
const assessment = answer.json;
const problem = await ask("post", "/v1/assessments", 422, { body: { vessel_id: id, condition: refused } });
const made = await ask("post", "/v1/vessels/{vessel}/conditions", 201, { steps: { vessel: id }, body: condition });
const patched = await ask("patch", "/v1/conditions/{condition}", 200, {
  steps: { condition: made.json.condition },
  body: { title: "Changed by a typed fetch" },
  headers: { "If-Match": made.tag },
});
const listed = await ask("get", "/v1/conditions", 200, { query: { vessel: [id], verdict: [assessment.verdict] } });
const fleet = await ask("get", "/v1/fleet", 200);
const changes = await ask("get", "/v1/changes", 200);
console.log(
  JSON.stringify({
    vessel: id,
    rule_sets: sets.json.items.length,
    verdict: assessment.verdict,
    gm_corrected: assessment.stability.gm_corrected,
    criteria: assessment.criteria.map((row) => [row.id, row.verdict]),
    draft: assessment.flotation.draft_at_lcf,
    refused: [problem.json.code, problem.json.errors?.[0]?.pointer],
    revision: patched.json.revision,
    listed: listed.json.items.map((line) => line.title),
    fleet: fleet.json.items.map((line) => line.vessel),
    events: changes.json.items.map((line) => line.event),
  }),
);
