// A car's series of readings as they stand once all is sent: the server's part of each, which the page brings, with the
// readings, marks and baselines of this phone worked in.

import { speedOf } from "./boost.js";
import { gauges, learned, stated, taken } from "./gauge.js";
import { plain } from "./holds.js";

/** Every series by its key: {key, fields, past, last, usual, origin, waits}; `past` oldest first. */
export function seriesOf(known) {
  const all = new Map(Object.entries(gauges.series).map(([key, one]) => [key, served(key, one)]));
  for (const ref of known.all("reading")) add(all, ref.slice("reading/".length), known.fields(ref), known.waits(ref));
  for (const [key, one] of all) if (!finish(one, known)) all.delete(key);
  return all;
}

function served(key, { past, healthy, typed }) {
  const [what, condition] = key.split(".");
  const readings = past.map(([id, at, value, unit, basis, air, si, name, speed]) => {
    const one = taken({ what, unit, basis }, value);
    return { ...one, id, at, air, si, name, speed };
  });
  const marked = healthy.map(([id, si, step]) => ({ id, si, step }));
  return { key, what, condition, past: readings, healthy: marked, typed, waits: false };
}

function add(all, id, fields, waits) {
  const { what } = fields;
  if (what === undefined) {
    for (const series of all.values()) mend(series, id, fields, waits);
    return;
  }
  if (fields.car !== gauges.car || fields.void_reason) return;
  const name = plain(fields.free_name);
  const key = what === gauges.free ? `${what}.${fields.condition}.${name.toLowerCase()}.${fields.unit}` : `${what}.${fields.condition}`;
  if (!all.has(key)) all.set(key, { ...served(key, { past: [], healthy: [], typed: null }), condition: fields.condition });
  const series = all.get(key);
  const one = { ...taken(fields), id, at: fields.taken_at, name, speed: speedOf(fields.engine_speed) };
  series.past = [...series.past, one].sort((a, b) => (a.at < b.at ? -1 : 1));
  if (plain(fields.healthy) === "yes") series.healthy.push(one);
  series.waits ||= waits;
}

// A reading the server has, marked or struck out on this phone. Of the healthy ones the page brings the last letters.
function mend(series, id, fields, waits) {
  const mark = series.healthy.find((one) => id.endsWith(one.id));
  const reading = series.past.find((one) => one.id === id);
  if (!mark && !reading) return;
  series.waits ||= waits;
  const healthy = plain(fields.healthy);
  if (fields.void_reason || healthy === "no") series.healthy = series.healthy.filter((one) => one !== mark);
  if (fields.void_reason) series.past = series.past.filter((one) => one !== reading);
  else if (healthy === "yes" && !mark && reading) series.healthy.push(reading);
}

function finish(series, known) {
  if (series.past.length === 0) return false;
  series.past = series.past.slice(-gauges.pictured);
  series.last = series.past.at(-1);
  series.healthy = series.healthy.slice(-gauges.learn_from);
  const ref = `baseline/${gauges.car}.${series.what}.${series.condition}`;
  const fields = known.fields(ref);
  const typed = fields.void_reason ? null : fields.centre ? stated(fields) : series.typed && { centre: series.typed[0], spread: series.typed[1] };
  series.usual = typed ?? learned(series.healthy);
  series.count = typed ? 0 : series.healthy.length;
  series.waits ||= known.waits(ref);
  return true;
}
