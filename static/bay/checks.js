// The list of checks to make on a ticket's page: each with how it is done, what it takes, and what it lacks.

import { arrange } from "./suspects.js";
import { filters, number } from "./words.js";

const SHOWN = 3;
const MORE = 9;
const TIMED = { hand_vacuum_pump: "vacuum", pressure_test: "pressure" };
const part = (element, name) => element.querySelector(`[data-part="${name}"]`);

/** Write the checks among these steps, in their order. */
export function drawChecks(model, next, { unclear }) {
  const keyOf = ({ sheet, candidate }) => `${model.checks[sheet].method}:${model.candidates[candidate].id}`;
  const all = next.filter((step) => "sheet" in step).map((step) => ({ ...step, key: keyOf(step) }));
  // One that did not tell comes again, but after those nobody has tried.
  const steps = all.toSorted((a, b) => unclear.has(a.key) - unclear.has(b.key)).slice(0, MORE);
  const section = document.getElementById("checks");
  section.hidden = steps.length === 0;
  const list = section.querySelector("[data-list]");
  const rows = new Map([...list.querySelectorAll("[data-check]")].map((row) => [row.dataset.check, row]));
  const wanted = steps.map((step) => rows.get(step.key) ?? rowOf(model, step));
  for (const [key, row] of rows) if (!steps.some((step) => step.key === key)) row.remove();
  arrange(list, wanted, SHOWN);
  steps.forEach((step, n) => {
    part(wanted[n], "number").textContent = String(n + 1);
    part(wanted[n], "about").textContent = aboutStep(model, step) + (unclear.has(step.key) ? " · did not tell last time" : "");
    writeNotes(part(wanted[n], "notes"), notesOf(model, step));
  });
  const more = part(list, "more");
  more.textContent = filters.count(Math.max(steps.length - SHOWN, 0), "more check");
  more.closest("details").hidden = steps.length <= SHOWN;
}

// Its own minutes; what goes by until the engine is ready is said apart.
function aboutStep(model, { minutes, ready, needs }) {
  return [`${number(minutes - ready, 0)} min`, ...needs.map((need) => model.needed.labels[need])].join(" · ");
}

/** What is so of a step only as things stand: until when it has to wait, what is paid already, what is lacking. */
export function notesOf({ needed }, { state, ready, kept, opened, lacks }) {
  const notes = [];
  if (ready > kept) notes.push(`${needed.until[state]}: ${lasts(ready)}`);
  if (opened > 0) notes.push(`already open: ${number(opened, 0)} min less`);
  if (lacks.length > 0) notes.push(`needs ${lacks.map((need) => needed.labels[need]).join(" and ")}, not there`);
  return notes;
}

const lasts = (minutes) => (minutes < 120 ? `${number(minutes, 0)} min` : `${number(minutes / 60, 0)} h`);

/** Write them into their element; nothing is no line. */
export function writeNotes(element, notes) {
  element.hidden = notes.length === 0;
  element.textContent = notes.join(" · ");
}

function rowOf(model, { sheet, candidate, key }) {
  const row = document.getElementById("check").content.firstElementChild.cloneNode(true);
  const { label, caution, how, pass, method } = model.checks[sheet];
  const { id, label: name } = model.candidates[candidate];
  row.dataset.check = key;
  part(row, "label").textContent = `${label}: ${name}`;
  part(row, "caution").textContent = caution;
  part(row, "how").append(...how.map((line) => Object.assign(document.createElement("li"), { textContent: line })));
  part(row, "pass").textContent = pass;
  Object.assign(part(row, "thing"), { name: model.fields[candidate], value: id });
  const side = TIMED[method];
  if (side && model.fields[candidate] === "line") {
    part(row, "time").hidden = false;
    part(row, "time").querySelector("a").href += `&line=${encodeURIComponent(id)}&medium=${side}`;
  }
  row.querySelector("[name=method]").value = method;
  row.querySelector("form").dataset.says = `${label}: ${name}`;
  return row;
}
