// Ranks what could be at fault from a page's model of plain numbers (app/triage/plain_numbers.py says what is in it).
//
// It multiplies, normalises and sorts; what the numbers and words mean, it does not know.

import { doubts } from "./doubts.js";
import { nextSteps } from "./next.js";
import { priorsOf } from "./priors.js";

const tables = new WeakMap();
const sum = (numbers) => numbers.reduce((total, each) => total + each, 0);

/**
 * Rank all candidates. `evidence`: {signs: {sign: outcome}, codes: null | [code], checks: [{candidate, sheet, fault}],
 * touches: [[candidate, how, days, km, degrees, checked]]}, candidates and sheets by their place in the model.
 * The answer: {suspects: [{place, chance, without, why: [{kind, by, reason}]}], next, doubts, unusedCodes}, best first.
 */
export function rank(model, evidence) {
  const table = tableOf(model);
  const { seen, unusedCodes } = whatWasSeen(model, evidence);
  const priors = priorsOf(model, evidence.touches);
  const checked = checkedOf(model, evidence.checks);
  const byKind = Array.from({ length: model.kinds }, (_, kind) => sum(seen.map(({ sign, place }) => table[sign].logs[kind][place])));
  const likelihood = model.candidates.map((one, place) => byKind[one.kind] + (checked.has(place) ? Math.log(checked.get(place).by) : 0));
  const chances = normalised(priors.map((prior, place) => Math.log(prior.weight) + likelihood[place]));
  const without = normalised(priors.map((prior, place) => Math.log(prior.untouched) + likelihood[place]));
  const mass = massOf(model, priors);
  const bySign = signFactors(model, table, seen, mass);
  const suspects = model.candidates.map((candidate, place) => ({
    place,
    chance: chances[place],
    without: without[place],
    why: strongestFirst([...bySign[candidate.kind], ...priors[place].factors, ...(checked.has(place) ? [checked.get(place)] : [])]),
  }));
  return {
    suspects: suspects.toSorted((a, b) => b.chance - a.chance),
    next: nextSteps(model, table, chances, evidence),
    doubts: doubts(model, table, seen, mass),
    unusedCodes,
  };
}

/** Each sign's rows written out once a page: chances, their logarithms, and what a question expects to hear. */
export function tableOf(model) {
  if (!tables.has(model)) tables.set(model, Object.fromEntries(Object.entries(model.signs).map(([key, sign]) => [key, rowsOf(model, sign)])));
  return tables.get(model);
}

function rowsOf(model, sign) {
  const rows = sign.rows.map(([digits]) => {
    const weights = [...digits].map((digit) => model.grades[digit][0]);
    const total = sum(weights);
    const asked = weights.map((weight) => weight / total);
    const chance = sign.apart ? weights : asked;
    return { asked, chance, logs: chance.map(Math.log), entropy: -sum(asked.map((p) => p * Math.log2(p))) };
  });
  const each = (name) => sign.of.map((row) => rows[row][name]);
  return { asked: each("asked"), chance: each("chance"), logs: each("logs"), entropy: each("entropy") };
}

function whatWasSeen(model, { signs, codes }) {
  const seen = Object.entries(signs)
    .filter(([sign]) => sign in model.signs)
    .map(([sign, outcome]) => at(model, sign, outcome));
  const groups = new Map();
  const unusedCodes = [];
  for (const code of new Set(codes ?? [])) {
    const group = Object.keys(model.codes.groups).find((name) => model.codes.groups[name].split(" ").includes(code));
    if (group) groups.set(group, [...(groups.get(group) ?? []), code]);
    else unusedCodes.push(code);
  }
  for (const [group, members] of groups) {
    const one = at(model, "codes", group);
    seen.push({ ...one, says: `${members.join(", ")}: ${one.says}` });
  }
  if (codes?.length === 0) seen.push(at(model, "codes", model.codes.none));
  return { seen, unusedCodes };
}

function at(model, sign, outcome) {
  const place = model.signs[sign].outcomes.indexOf(outcome);
  return { sign, place, says: model.signs[sign].phrases[place] };
}

function normalised(logs) {
  const highest = Math.max(...logs);
  const weights = logs.map((each) => Math.exp(each - highest));
  const total = sum(weights);
  return weights.map((weight) => weight / total);
}

function massOf(model, priors) {
  const mass = new Array(model.kinds).fill(0);
  priors.forEach((prior, place) => (mass[model.candidates[place].kind] += prior.weight));
  const total = sum(mass);
  return mass.map((weight) => weight / total);
}

function checkedOf(model, checks) {
  const found = new Map();
  for (const { candidate, sheet, fault } of checks) {
    const { hit, alarm, label } = model.checks[sheet];
    const ratio = fault ? hit / alarm : (1 - hit) / (1 - alarm);
    const says = `${label.toLowerCase()}: ${fault ? "a fault" : "nothing found"}`;
    const before = found.get(candidate);
    found.set(candidate, { kind: "check", by: (before?.by ?? 1) * ratio, reason: before ? `${before.reason}; ${says}` : says });
  }
  return found;
}

function signFactors(model, table, seen, mass) {
  const usual = seen.map(({ sign, place }) => sum(mass.map((share, kind) => share * table[sign].chance[kind][place])));
  return mass.map((_, kind) =>
    seen.map(({ sign, place, says }, n) => {
      const [digits, because] = model.signs[sign].rows[model.signs[sign].of[kind]];
      const often = model.grades[digits[place]][1];
      const reason = `${says}: ${often} so when this is at fault${because ? `; ${because}` : ""}`;
      return { kind: "sign", by: table[sign].chance[kind][place] / usual[n], reason };
    }),
  );
}

function strongestFirst(factors) {
  return factors.toSorted((a, b) => Math.abs(Math.log(b.by)) - Math.abs(Math.log(a.by)));
}
