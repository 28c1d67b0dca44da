// What follows from records: fields that are worked out of others, as the server's tables and read models keep them.
//
// The page brings the rules in <script type="application/json" id="follows"> as {kind: {field: rule}}; nothing here
// knows what they are about. They are worked out in the order they stand in, so one may rest on those before it.
// A rule is a field of the record ("fitted_at"), of another ("line/{line} name"), or one operation:
//   {first: [rule, ...]}                           the first that says something
//   {latest: [[kind, moment, figure], ...], where, start: [moment, figure], until}   the figure of the latest moment ("id": whose it is)
//   {count: kind, where}   {sum: kind, of: field, where, start: rule}   {list: kind, name, where}   names in words
//   {least: kind, by: field, where, give: field}   a field of the one that comes first
//     `where` says which of them, and `but` which of those not
//   {less: [rule, rule]}   {days: [from, until]}   {elapsed: [from]}   {share: [[gone, limit], ...]}
//   {afterwards: [began, entered], days}           when it began, if it was entered more than that many days later
//   {within: [figure, low, high], while}           yes or no, and nothing unless these conditions hold
//   {once: [conditions, ...], else: rule}          1 as soon as any of them hold
//   {any: [conditions, ...]}   {step: [[word, moment], ...], since, else: word}   the furthest step since then
// {id} and {field} stand for the record's own, {of.id} and {of.field} for those of a record that is counted, {today}.

import { holdFor, plain } from "./holds.js";
import { figure, today } from "./words.js";

/** Work out every rule's field for every record of its kind, into `records` (Map of ref -> fields). */
export function follow(records, rules) {
  const known = { fields: (ref) => records.get(ref) ?? {} };
  for (const [kind, fields] of Object.entries(rules)) {
    for (const [ref] of of(kind, records)) {
      const work = { ref, records, known };
      for (const [name, rule] of Object.entries(fields)) {
        records.set(ref, { ...records.get(ref), [name]: value(rule, work) });
      }
    }
  }
}

const of = (kind, records) => [...records].filter(([ref]) => ref.startsWith(`${kind}/`));
const idOf = (ref) => ref.slice(ref.indexOf("/") + 1);
const filled = (text, work, other) =>
  text.replaceAll(/\{(of\.)?(\w+)\}/g, (_, foreign, name) => {
    if (name === "today") return today();
    const ref = foreign ? other : work.ref;
    return name === "id" ? idOf(ref) : plain(work.known.fields(ref)[name]);
  });

function value(rule, work) {
  if (typeof rule === "string") return field(rule, work);
  const name = Object.keys(rule).find((key) => key in OPERATIONS);
  return OPERATIONS[name](rule, work);
}

function field(rule, work, other) {
  if (rule === "id") return idOf(work.ref);
  const [ref, name] = rule.includes(" ") ? filled(rule, work, other).split(" ") : [work.ref, rule];
  return plain(work.known.fields(ref)[name]);
}

function those(kind, { where, but }, work) {
  const holds = (conditions, ref) => holdFor(filled(conditions, work, ref), ref, work.known);
  return of(kind, work.records).filter(([ref]) => holds(where, ref) && !(but && holds(but, ref)));
}

const OPERATIONS = {
  first: (rule, work) => rule.first.map((one) => value(one, work)).find((said) => said !== "") ?? "",

  latest(rule, work) {
    const until = rule.until ? value(rule.until, work) : "\uffff";
    const found = rule.latest.flatMap(([kind, at, figured]) =>
      those(kind, rule, work).map(([ref, fields]) => [plain(fields[at]), figured === "id" ? idOf(ref) : plain(fields[figured])]),
    );
    found.unshift(rule.start.map((one) => value(one, work)));
    const said = found.filter(([at, figured]) => at !== "" && at <= until && figured !== "");
    return said.reduce((last, one) => (last === null || one[0] >= last[0] ? one : last), null)?.[1] ?? "";
  },

  count: (rule, work) => those(rule.count, rule, work).length,

  sum(rule, work) {
    const more = those(rule.sum, rule, work).reduce((sum, [, fields]) => sum + figure(fields[rule.of] ?? 0), 0);
    return more + Number(value(rule.start, work));
  },

  list(rule, work) {
    const names = [...new Set(those(rule.list, rule, work).map(([ref]) => field(rule.name, work, ref)))];
    const shown = names.length > 3 ? [...names.slice(0, 3), `${names.length - 3} more`] : names;
    return shown.length < 2 ? shown.join("") : `${shown.slice(0, -1).join(", ")} and ${shown.at(-1)}`;
  },

  least(rule, work) {
    const found = those(rule.least, rule, work).map(([, fields]) => fields);
    found.sort((a, b) => (plain(a[rule.by]) < plain(b[rule.by]) ? -1 : 1));
    return plain(found[0]?.[rule.give]);
  },

  less(rule, work) {
    const [a, b] = rule.less.map((one) => value(one, work));
    return a === "" || b === "" ? "" : Math.max(0, figure(a) - figure(b));
  },

  days(rule, work) {
    const [from, until] = rule.days.map((one) => value(one, work));
    if (from === "") return "";
    const at = (text) => new Date(text).setHours(0, 0, 0, 0);
    // A day with a change of the clocks is an hour longer or shorter than the others.
    return Math.max(0, Math.round((at(until || Date.now()) - at(from)) / 86_400_000));
  },

  elapsed(rule, work) {
    const from = value(rule.elapsed[0], work);
    return from === "" ? "" : Math.max(0, Math.floor((Date.now() - new Date(from)) / 86_400_000));
  },

  afterwards(rule, work) {
    const [began, entered] = rule.afterwards.map((one) => value(one, work));
    const isLate = began !== "" && entered !== "" && new Date(entered) - new Date(began) > rule.days * 86_400_000;
    return isLate ? began : "";
  },

  within(rule, work) {
    if (!holdFor(filled(rule.while, work), work.ref, work.known)) return "";
    const [one, low, high] = rule.within.map((each) => figure(value(each, work)));
    return one >= low && one <= high ? "yes" : "no";
  },

  share(rule, work) {
    const pairs = rule.share.map((pair) => pair.map((one) => value(one, work)));
    const shares = pairs.filter(([gone, limit]) => gone !== "" && limit !== "");
    return Math.max(0, ...shares.map(([gone, limit]) => figure(gone) / figure(limit)));
  },

  once: (rule, work) =>
    rule.once.some((one) => holdFor(filled(one, work), work.ref, work.known)) ? 1 : value(rule.else, work),

  any: (rule, work) => (rule.any.some((one) => holdFor(filled(one, work), work.ref, work.known)) ? "yes" : ""),

  step(rule, work) {
    const since = value(rule.since, work);
    const taken = rule.step.find(([, at]) => value(at, work) !== "" && value(at, work) > since);
    return taken ? taken[0] : rule.else;
  },
};
