// What a page's records come to as evidence for its model: signs, codes, checks and touches, sent or still waiting.

import { plain } from "./holds.js";
import { mendedOn } from "./mended.js";
import { patchedAt, records, thingOf, touchesBefore } from "./touched.js";
import { figure } from "./words.js";

/**
 * The evidence on a ticket, as rank.js takes it, and `noted`: every sign somebody said something of, {sign: record}.
 * Once a fault was repaired and the ticket reopened, that is what was seen since; `repaired` has what was before.
 */
export function seenOn(ticket, model, known) {
  const stands = known.fields(`ticket/${ticket}`);
  const mended = mendedOn(ticket, model, known);
  const noticed = plain(stands.noticed_at) || model.noticed;
  const until = mended ? plain(stands.reopened_at) : noticed;
  const candidate = mended ? model.candidates.findIndex(({ id }) => id === mended.thing) : -1;
  const isBefore = (moment) => candidate >= 0 && moment <= mended.at;
  const signs = records(known, "sign", (one) => one.ticket === ticket);
  const checks = records(known, "direct_check", (one) => one.ticket === ticket).sort(inOrder);
  const seen = (counts) => ({
    ...saidBy(model, signs.filter((one) => counts(one.noted_at)), known),
    checks: resultsOf(model, checks.filter((one) => counts(one.done_at))),
  });
  return {
    noted: Object.fromEntries(signs.filter((one) => !isBefore(one.noted_at)).map((one) => [one.sign, one])),
    ...seen((moment) => !isBefore(moment)),
    repaired: candidate < 0 ? null : { candidate, ...seen(isBefore) },
    unclear: new Set(Object.values(lastOf(checks)).filter((one) => one.result === "unclear").map(keyOf)),
    touches: touchesBefore({ noticed, until, odometer: stands.noticed_odometer }, model, known),
    patched: patchedAt(until, model, known),
  };
}

function saidBy(model, noted, known) {
  const { codes, ...signs } = Object.fromEntries(noted.map((one) => [one.sign, one]));
  const text = plain(codes?.outcome);
  return {
    signs: outcomes(model, signs, known),
    codes: text === "" ? null : codesIn(text).filter((code) => code !== model.codes.none.toUpperCase()),
  };
}

const inOrder = (a, b) => (a.done_at === b.done_at ? (a.ref < b.ref ? -1 : 1) : a.done_at < b.done_at ? -1 : 1);
const keyOf = (one) => `${one.method}:${thingOf(one)}`;
const codesIn = (text) => [...new Set(text.toUpperCase().split(/[\s,;]+/).filter(Boolean))];

// In the model's order; what rests on another sign is judged after it.
function outcomes(model, signs, known) {
  const found = {};
  for (const [key, sign] of Object.entries(signs)) if (plain(sign.outcome)) found[key] = sign.outcome;
  const read = Object.entries(signs).filter(([key, sign]) => !(key in found) && sign.reading);
  const judged = read.map(([key, sign]) => [key, judge(model, sign.reading, known)]);
  for (const [key, { outcome }] of judged) if (outcome) found[key] = outcome;
  for (const [key, { rests }] of judged) {
    if (rests && rests.of in found) found[key] = rests.is[found[rests.of]] ?? rests.else;
  }
  const order = [...Object.keys(model.signs), ...Object.keys(found)];
  return Object.fromEntries([...new Set(order)].filter((key) => key in found).map((key) => [key, found[key]]));
}

// By the limits the page brings, unless the server has judged it: {outcome} or what it rests on.
function judge(model, reading, known) {
  const { what, value, unit, basis } = known.fields(`reading/${reading}`);
  const rules = model.readings[what];
  if (!rules?.steps) return {};
  const [from, times] = rules.bases[basis] ?? [0, 1];
  const si = from + times * figure(value) * rules.units[unit];
  const said = reading in model.judged ? model.judged[reading] : rules.steps.find(([limit]) => limit === null || si <= limit)[1];
  return said === "low" ? { rests: rules.low } : { outcome: said };
}

// Two looks at one thing are not two witnesses: the later one counts, in the first one's place.
function lastOf(checks) {
  const last = {};
  for (const one of checks) last[keyOf(one)] = one;
  return last;
}

function resultsOf(model, checks) {
  return Object.values(lastOf(checks)).flatMap((one) => {
    const candidate = model.candidates.findIndex(({ id }) => id === thingOf(one));
    if (candidate < 0 || one.result === "unclear") return [];
    const { checks: usual = [], tried = [] } = model.candidates[candidate];
    const sheet = [...usual, ...tried].find((place) => model.checks[place].method === one.method);
    return sheet === undefined ? [] : [{ candidate, sheet, fault: one.result === "fault" }];
  });
}
