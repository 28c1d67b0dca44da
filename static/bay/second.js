// A second fault: one was found and repaired, and what was seen before that may be the work of either, or of both
// (app/triage/two_faults.py, where the arithmetic is explained).

import { says } from "./table.js";

/** One thing seen before the repair, as the first fault and a second one of each kind show it together. */
export function withBoth(model, table, { sign, place, says: words }, first) {
  const { kind, label } = model.candidates[first.candidate];
  const rows = table[sign].chance;
  const a = rows[kind];
  const chance = [...rows.map((b) => together(a, b, place, model.signs[sign].apart)), a[place]];
  const reason = (sort) =>
    `before ${label} was repaired, ${words}: ${sort === model.kinds ? says(model, sign, place, kind) : `beside that fault, ${says(model, sign, place, sort)}`}`;
  return { chance, reason };
}

function together(a, b, place, isApart) {
  if (place === 0) return a[0] * b[0];
  if (isApart) return 1 - (1 - a[place]) * (1 - b[place]);
  return (a[place] * (1 + b[0]) + b[place] * (1 + a[0])) / 2;
}

/** The weights, that of the one repaired such that it is to blame as often as repairs fail. */
export function repairedOnce(model, weights, first) {
  if (!first) return weights;
  const { held } = model.limits;
  const others = weights.reduce((total, each) => total + each, 0) - weights[first.candidate];
  return weights.map((weight, place) => (place === first.candidate ? (others * held) / (1 - held) : weight));
}

/** The checks that still tell: those since, and of those before it all but the repaired one's. */
export function stillTell(first, since) {
  return [...first.checks.filter(({ candidate }) => candidate !== first.candidate), ...since];
}

/** Why the one that was repaired is still among them. */
export function notHeld(model, by) {
  return { kind: "prior", by, reason: `it was repaired; about 1 repair in ${Math.round(1 / model.limits.held)} does not hold` };
}
