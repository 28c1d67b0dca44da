// What was repaired on a ticket before it was last reopened: from then on a second fault is hunted
// (app/records/second_fault.py).

import { plain } from "./holds.js";

const thingOf = (said) => ["line", "component", "suspect", "own_suspect"].map((of) => plain(said[`found_${of}`])).find(Boolean) ?? "";

/** {thing, at} of the fault repaired, or nothing. A ticket's own fields tell of its last one alone; entries tell of all. */
export function mendedOn(ticket, model, known) {
  const stands = known.fields(`ticket/${ticket}`);
  const until = plain(stands.reopened_at);
  const entered = known.entries.filter(({ kind, record }) => kind === "ticket" && record === ticket);
  const told = [...model.told, ...entered.map(({ fields }) => [plain(fields.found_at), thingOf(fields), plain(fields.repaired_at)])];
  const at = latest(told.map(([, , repaired]) => repaired).filter((moment) => moment !== "" && moment < until));
  if (at === undefined) return null;
  const found = plain(stands.found_at);
  if (found !== "" && found <= at) return thingOf(stands) === "" ? null : { thing: thingOf(stands), at };
  const before = told.filter(([moment, thing]) => moment !== "" && thing !== "" && moment <= at);
  const last = latest(before.map(([moment, thing]) => `${moment} ${thing}`));
  return last === undefined ? null : { thing: last.slice(last.indexOf(" ") + 1), at };
}

const latest = (all) => all.sort().at(-1);
