// Rows that the phone adds to a page's lists, each cloned from the list's own template.
//
//   <template data-new="touch" data-where="job/{job} car = tern">
//     a row for each record of this phone's that the server's page does not show yet
//   <template data-each="joint" data-where="touch/j.{line} how = replaced" data-asked="sheet.{id}">
//     a row for each record the page knows of, in its order (or that of the figure in data-order), while the conditions hold, or (data-asked) once asked for;
//     what the server has shown already stays. The row's own `data-record` says what it is about.
// {id} stands for the record's id, {field} for its fields, {line.name} for the name of the line it names (and
// {line.@end} for the field of it that its own field `end` names), in every attribute. What follows in a form from a field goes
// by data-chosen="{unit}" on a select, data-ticked="{due}" (yes or not) on a box to tick.

import { setMoments } from "./entry.js";
import { holdFor, plain } from "./holds.js";

// Places that are filled later: by a form's sending, a question, or a link.
const LATER = new Set(["now", "record", "button", "n", "value", "unit", "last"]);
const asked = new Set();
const made = new WeakMap();

/** From now on the row that `data-asked` names so is there. */
export function ask(name) {
  asked.add(name);
}

/** Every list's rows as they should be now; a row may bring lists of its own. */
export function addRows(root, known) {
  for (const template of root.querySelectorAll("template[data-new]")) addFresh(template, known);
  const done = new Set();
  for (let left = 1; left > 0; ) {
    const next = [...root.querySelectorAll("template[data-each]")].filter((one) => !done.has(one));
    for (const template of next) addEach(template, known);
    for (const template of next) done.add(template);
    left = next.length;
  }
}

function addFresh(template, known) {
  // A row that is there already stays: somebody may be typing in it.
  const there = rowsOf(template);
  const { new: kind, where, order, at } = template.dataset;
  const wanted = known.fresh(kind).filter((ref) => !where || holdFor(filled(where, ref, known), ref, known));
  dropOthers(there, wanted);
  const fresh = wanted.filter((ref) => !there.has(ref)).map((ref) => {
    const row = rowOf(template, ref, known);
    row.dataset.record = ref;
    there.set(ref, row);
    return row;
  });
  if (order) for (const row of fresh) putInOrder(template, row, known);
  else if (at === "top") template.after(...fresh.reverse());
  else template.before(...fresh);
}

function addEach(template, known) {
  const there = rowsOf(template);
  const { each, where, asked: name, order } = template.dataset;
  const about = template.content.firstElementChild.dataset.record;
  const beside = new Map([...template.parentElement.children].map((one) => [one.dataset.record, one]));
  const wanted = [];
  let last = template;
  const place = (ref) => Number(known.fields(ref)[order]);
  const refs = order ? known.all(each).toSorted((a, b) => place(a) - place(b)) : known.all(each);
  for (const ref of refs) {
    const record = filled(about, ref, known);
    const isWanted = name ? asked.has(filled(name, ref, known)) : !where || holdFor(filled(where, ref, known), ref, known);
    if (isWanted) wanted.push(record);
    if (isWanted && !beside.has(record)) {
      const row = rowOf(template, ref, known);
      there.set(record, row);
      last.after(row);
    }
    last = there.get(record) ?? beside.get(record) ?? last;
  }
  dropOthers(there, wanted);
}

function rowsOf(template) {
  if (!made.has(template)) made.set(template, new Map());
  return made.get(template);
}

function dropOthers(there, wanted) {
  for (const [record, row] of there) {
    if (wanted.includes(record)) continue;
    row.remove();
    there.delete(record);
  }
}

// Where the list's own order has it: before the first row that comes after it, or last.
function putInOrder(template, row, known) {
  const [by, way] = template.dataset.order.split(" ");
  const key = (of) => plain(known.fields(of.dataset.record)[by]);
  const isAfter = (other) => key(other) !== "" && (way === "down" ? key(other) < key(row) : key(other) > key(row));
  const rows = [...template.parentElement.children].filter((one) => one.dataset.record);
  const next = rows.find(isAfter);
  if (next) next.before(row);
  else if (rows.length > 0) rows.at(-1).after(row);
  else template.after(row);
}

function rowOf(template, ref, known) {
  const row = template.content.firstElementChild.cloneNode(true);
  row.dataset.laid = "";
  for (const element of [row, ...row.querySelectorAll(":not(template)")]) {
    for (const attribute of element.attributes) attribute.value = filled(attribute.value, ref, known);
  }
  for (const choice of row.querySelectorAll("select[data-chosen]")) choose(choice, choice.dataset.chosen);
  for (const box of row.querySelectorAll("input[data-ticked]")) box.defaultChecked = box.dataset.ticked === "yes";
  setMoments(row);
  return row;
}

function choose(select, value) {
  if ([...select.options].some((one) => one.value === value)) select.value = value;
}

function filled(text, ref, known) {
  if (!text.includes("{")) return text;
  const fields = { ...known.fields(ref), id: ref.slice(ref.indexOf("/") + 1) };
  return text.replaceAll(/\{(\w+)(?:\.(@?\w+))?\}/g, (whole, name, further) => {
    if (!(name in fields)) return LATER.has(name) ? whole : "";
    if (further === undefined) return plain(fields[name]);
    return plain(known.fields(`${name}/${fields[name]}`)[further.startsWith("@") ? fields[further.slice(1)] : further]);
  });
}
