// What was touched before a fault was noticed, and what a stopgap held then, sent or still waiting.

import { plain } from "./holds.js";
import { figure } from "./words.js";

const DAY_MS = 86_400_000;
const days = (from, to) => (new Date(to) - new Date(from)) / DAY_MS;

/** The records of a kind that are not struck out and for which `where` holds, each with its `ref`. */
export function records(known, kind, where) {
  return known.all(kind).map((ref) => ({ ref, ...known.fields(ref) })).filter((one) => !one.void_reason && where(one));
}

/** The id of what a record is about. */
export function thingOf(one) {
  return one.line || one.component || one.suspect || one.own_suspect;
}

/**
 * What was touched `until` a moment, newest first, as rank.js takes it. The server's touches count from the moment it
 * knew; those that wait, and a corrected moment, shift them. One made after the fault was noticed can be to blame for a
 * second one, and lies before that.
 */
export function touchesBefore({ noticed, until, odometer }, model, known) {
  const later = days(model.noticed, noticed);
  const second = days(model.until, until);
  const reads = plain(odometer) === "" ? model.reads : figure(odometer);
  const further = reads === null || model.reads === null ? 0 : (reads - model.reads) * model.km;
  const changed = new Set(known.all("touch").map((ref) => ref.slice("touch/".length)));
  const sent = model.touches.map((touch, n) => ({ touch, isSince: n < model.since }));
  const still = sent.filter(({ touch: [place, , , , , , job] }) => !(job && changed.has(`${job}.${model.candidates[place].id}`)));
  const shifted = still.map(({ touch: [place, how, before, km, degrees, checked], isSince }) => [
    isSince, place, how, before + (isSince ? second : later), km === null ? null : km + further, degrees, checked,
  ]);
  const since = model.later.filter(
    ([place, , at, , , , job]) => at > noticed && at <= until && !changed.has(`${job}.${model.candidates[place].id}`),
  );
  const more = since.map(([place, how, at, km, degrees, checked]) => [true, place, how, days(at, until), km, degrees, checked]);
  const here = records(known, "touch", ({ at }) => at <= until).flatMap((one) => {
    const isSince = one.at > noticed;
    // How far the car went between such a touch and the second fault, nobody wrote down.
    return touchOf(one, { from: isSince ? until : noticed, reads: isSince ? null : reads, model, known }).map((touch) => [isSince, ...touch]);
  });
  const age = ([isSince, , , before]) => before + (isSince ? 0 : days(noticed, until));
  const counted = [...shifted, ...more, ...here].filter((touch) => touch[3] >= 0 && age(touch) <= model.days);
  return counted.sort((a, b) => age(a) - age(b)).map(([, ...touch]) => touch);
}

function touchOf(touch, { from, reads, model, known }) {
  const place = model.candidates.findIndex(({ id }) => id === (touch.line || touch.component));
  const job = known.fields(`job/${touch.job}`);
  if (place < 0 || (job.car ?? model.car) !== model.car || job.void_reason) return [];
  const [jobReads, jobDegrees] = model.jobs[touch.job] ?? [null, null];
  const then = plain(job.odometer) === "" ? jobReads ?? (job.car ? model.reads : null) : figure(job.odometer);
  const degrees = plain(job.air_temp_c) === "" ? jobDegrees : figure(job.air_temp_c);
  const km = reads === null || then === null ? null : Math.max(reads - then, 0) * model.km;
  return [[place, touch.how, days(touch.at, from), km, degrees, isChecked(touch, from, known) ? 1 : 0]];
}

// Looked at since and found good: the thing itself, or each joint that came off and is back on.
function isChecked(touch, until, known) {
  const good = (one) => plain(one.good || "yes") === "yes" && one.done_at >= touch.at && one.done_at <= until;
  if (records(known, "check", (one) => thingOf(one) === thingOf(touch) && good(one)).length > 0) return true;
  if (!touch.line || !["disconnected", "replaced"].includes(touch.how)) return false;
  const ends = touch.ends === "from" || touch.ends === "to" ? [touch.ends] : ["from", "to"];
  return ends.every((end) => {
    const id = `${touch.job}.${touch.line}.${end}`;
    const check = known.fields(`check/${id}`);
    return known.fields(`loose_end/${id}`).back_on_at && check.done_at && !check.void_reason && good(check);
  });
}

/** What a stopgap holds at a moment: as the model has it, but for those changed here, or when the model's is another. */
export function patchedAt(until, model, known) {
  const gaps = known.all("stopgap").map((ref) => ({ ref, ...known.fields(ref) }));
  const holds = (one) => !one.void_reason && one.fitted_at <= until && (plain(one.ended_at) === "" || one.ended_at > until);
  const isPatched = ({ id, patched }) => {
    const own = gaps.filter((one) => thingOf(one) === id && (until !== model.until || known.unseen(one.ref)));
    return own.length > 0 ? own.some(holds) : patched;
  };
  return new Set([...model.candidates.keys()].filter((place) => isPatched(model.candidates[place])));
}
