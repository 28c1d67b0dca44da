// Ranks what could be at fault from a page's model of plain numbers (app/triage/plain_numbers.py says what is in it).
//
// It multiplies, normalises and sorts; what the numbers and words mean, it does not know.

import { doubts } from "./doubts.js";
import { whatNext } from "./next.js";
import { priorsOf } from "./priors.js";
import { notHeld, repairedOnce, stillTell, withBoth } from "./second.js";
import { says, tableOf, whatWasSeen } from "./table.js";

const sum = (numbers) => numbers.reduce((total, each) => total + each, 0);

/**
 * Rank all candidates. `evidence`: {signs: {sign: outcome}, codes: null | [code], checks: [{candidate, sheet, fault}],
 * touches: [[candidate, how, days, km, degrees, checked]], engine, patched, repaired}, candidates and sheets by their
 * place in the model. `engine` is one of its states or nothing, `patched` a Set of the candidates that a stopgap holds.
 * `repaired`: {candidate, signs, codes, checks} of a fault before this one; then the others are those since.
 * The answer: {suspects: [{place, chance, without, touched, why}], next, minutesLeft, doubts, unusedCodes}, best first;
 * `touched` is the share of it that its own touches brought, `why()` its reasons: [{kind, by, reason}].
 */
export function rank(model, evidence) {
  const table = tableOf(model);
  const first = evidence.repaired ?? null;
  const since = whatWasSeen(model, evidence);
  const before = first ? whatWasSeen(model, first) : { seen: [], unusedCodes: [] };
  const observed = [
    ...before.seen.map((one) => withBoth(model, table, one, first)),
    ...since.seen.map((one) => alone(model, table, one, first)),
  ];
  const checks = first ? stillTell(first, evidence.checks) : evidence.checks;
  const checked = checkedOf(model, checks);
  const priors = priorsOf(model, evidence.touches, evidence.patched);
  const weights = repairedOnce(model, priors.map(({ weight }) => weight), first);
  const untouched = repairedOnce(model, priors.map((prior) => prior.untouched), first);
  const sorts = model.candidates.map(({ kind }, place) => (place === first?.candidate ? model.kinds : kind));
  const bySort = Array.from({ length: model.kinds + 1 }, (_, sort) => sum(observed.map(({ chance }) => Math.log(chance[sort]))));
  const likelihood = sorts.map((sort, place) => bySort[sort] + (checked.has(place) ? Math.log(checked.get(place).by) : 0));
  const chances = normalised(weights.map((weight, place) => Math.log(weight) + likelihood[place]));
  const without = normalised(untouched.map((weight, place) => Math.log(weight) + likelihood[place]));
  const why = reasons(observed, sharesOf(sorts, weights, model.kinds + 1));
  const suspects = priors.map((prior, place) => ({
    place,
    chance: chances[place],
    without: without[place],
    touched: place === first?.candidate ? 0 : 1 - prior.untouched / prior.weight,
    why: () => why(sorts[place], ownOf(model, { place, prior, weight: weights[place], first, checked })),
  }));
  const { steps, minutesLeft } = whatNext(model, table, chances, { ...evidence, checks });
  return {
    suspects: suspects.sort((a, b) => b.chance - a.chance),
    next: steps,
    minutesLeft,
    doubts: doubts(model, table, since.seen, sharesOf(model.candidates.map(({ kind }) => kind), weights, model.kinds)),
    unusedCodes: [...new Set([...since.unusedCodes, ...before.unusedCodes])],
  };
}

// One thing seen: how likely each sort of candidate shows it, the one repaired before being a sort of its own.
function alone(model, table, { sign, place, says: words }, first) {
  const chance = table[sign].chance.map((row) => row[place]);
  const kindOf = (sort) => (sort === model.kinds ? model.candidates[first.candidate].kind : sort);
  if (first) chance.push(chance[kindOf(model.kinds)]);
  return { chance, reason: (sort) => `${words}: ${says(model, sign, place, kindOf(sort))}` };
}

function normalised(logs) {
  const highest = Math.max(...logs);
  const weights = logs.map((each) => Math.exp(each - highest));
  const total = sum(weights);
  return weights.map((weight) => weight / total);
}

function sharesOf(sorts, weights, many) {
  const mass = new Array(many).fill(0);
  sorts.forEach((sort, place) => (mass[sort] += weights[place]));
  const total = sum(mass);
  return mass.map((weight) => weight / total);
}

function checkedOf(model, checks) {
  const found = new Map();
  for (const { candidate, sheet, fault } of checks) {
    const { hit, alarm, label } = model.checks[sheet];
    const ratio = fault ? hit / alarm : (1 - hit) / (1 - alarm);
    const words = `${label.toLowerCase()}: ${fault ? "a fault" : "nothing found"}`;
    const before = found.get(candidate);
    found.set(candidate, { kind: "check", by: (before?.by ?? 1) * ratio, reason: before ? `${before.reason}; ${words}` : words });
  }
  return found;
}

// The reasons that are a candidate's alone.
function ownOf(model, { place, prior, weight, first, checked }) {
  const held = place === first?.candidate ? [notHeld(model, weight / prior.weight)] : [];
  return [...prior.factors, ...held, ...(checked.has(place) ? [checked.get(place)] : [])];
}

// Strongest first. Worked out when they are asked for: few of them are ever shown.
function reasons(observed, mass) {
  const usual = observed.map(({ chance }) => mass.reduce((so, share, sort) => so + (share && share * chance[sort]), 0));
  const strength = ({ by }) => Math.abs(Math.log(by));
  return (sort, own) => {
    const signs = observed.map(({ chance, reason }, n) => ({ kind: "sign", by: chance[sort] / usual[n], reason: reason(sort) }));
    return [...signs, ...own].sort((a, b) => strength(b) - strength(a));
  };
}
