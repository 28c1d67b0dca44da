// What a page's records come to as evidence for its model: signs, codes, checks and touches, sent or still waiting.

import { plain } from "./holds.js";
import { figure } from "./words.js";

const DAY_MS = 86_400_000;
const records = (known, kind, where) =>
  known.all(kind).map((ref) => ({ ref, ...known.fields(ref) })).filter((one) => !one.void_reason && where(one));

/** The evidence on a ticket, as rank.js takes it, and `noted`: every sign somebody said something of, {sign: record}. */
export function seenOn(ticket, model, known) {
  const noted = Object.fromEntries(records(known, "sign", (one) => one.ticket === ticket).map((one) => [one.sign, one]));
  const checks = records(known, "direct_check", (one) => one.ticket === ticket).sort(inOrder);
  const { codes, ...signs } = noted;
  const text = plain(codes?.outcome);
  return {
    noted,
    signs: outcomes(model, signs, known),
    codes: text === "" ? null : codesIn(text).filter((code) => code !== model.codes.none.toUpperCase()),
    checks: resultsOf(model, checks),
    unclear: new Set(Object.values(lastOf(checks)).filter((one) => one.result === "unclear").map(keyOf)),
    touches: touchesBefore(known.fields(`ticket/${ticket}`), model, known),
  };
}

const inOrder = (a, b) => (a.done_at === b.done_at ? (a.ref < b.ref ? -1 : 1) : a.done_at < b.done_at ? -1 : 1);
const thingOf = (one) => one.line || one.component || one.suspect;
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

// The server's touches count from the moment it knew; those that wait, and a corrected moment, shift them.
function touchesBefore(ticket, model, known) {
  const noticed = plain(ticket.noticed_at) || model.noticed;
  const later = (new Date(noticed) - new Date(model.noticed)) / DAY_MS;
  const reads = plain(ticket.noticed_odometer) === "" ? model.reads : figure(ticket.noticed_odometer);
  const further = reads === null || model.reads === null ? 0 : (reads - model.reads) * model.km;
  const changed = new Set(known.all("touch").map((ref) => ref.slice("touch/".length)));
  const sent = model.touches.filter(([place, , , , , , job]) => !(job && changed.has(`${job}.${model.candidates[place].id}`)));
  const shifted = sent.map(([place, how, days, km, degrees, checked]) => [
    place, how, days === null ? null : days + later, km === null ? null : km + further, degrees, checked,
  ]);
  const here = records(known, "touch", ({ at }) => at <= noticed).flatMap((one) => touchOf(one, { noticed, reads, model, known }));
  return [...shifted, ...here].filter(([, , days]) => days === null || (days >= 0 && days <= model.days)).sort((a, b) => a[2] - b[2]);
}

function touchOf(touch, { noticed, reads, model, known }) {
  const place = model.candidates.findIndex(({ id }) => id === (touch.line || touch.component));
  const job = known.fields(`job/${touch.job}`);
  if (place < 0 || (job.car ?? model.car) !== model.car || job.void_reason) return [];
  const [jobReads, jobDegrees] = model.jobs[touch.job] ?? [null, null];
  const then = plain(job.odometer) === "" ? jobReads ?? (job.car ? model.reads : null) : figure(job.odometer);
  const degrees = plain(job.air_temp_c) === "" ? jobDegrees : figure(job.air_temp_c);
  const km = reads === null || then === null ? null : Math.max(reads - then, 0) * model.km;
  return [[place, touch.how, (new Date(noticed) - new Date(touch.at)) / DAY_MS, km, degrees, isChecked(touch, noticed, known) ? 1 : 0]];
}

// Looked at since and found good: the thing itself, or each joint that came off and is back on.
function isChecked(touch, noticed, known) {
  const good = (one) => plain(one.good || "yes") === "yes" && one.done_at >= touch.at && one.done_at <= noticed;
  if (records(known, "check", (one) => thingOf(one) === thingOf(touch) && good(one)).length > 0) return true;
  if (!touch.line || !["disconnected", "replaced"].includes(touch.how)) return false;
  const ends = touch.ends === "from" || touch.ends === "to" ? [touch.ends] : ["from", "to"];
  return ends.every((end) => {
    const id = `${touch.job}.${touch.line}.${end}`;
    const check = known.fields(`check/${id}`);
    return known.fields(`loose_end/${id}`).back_on_at && check.done_at && !check.void_reason && good(check);
  });
}
