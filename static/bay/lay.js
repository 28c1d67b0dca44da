// Lays what the phone knows over a page of the server's: forms, lists, and the words that follow from a record.
//
// The page says what follows from what, in attributes; nothing here knows what a job or a hose is:
//   data-if="touch/j.l how = disconnected|replaced & ! touch/j.l void_reason"   shown or hidden
//   data-text="job/j title"            data-text=". opened_at moment"          what an element says
//   <template data-new="finding" data-where="job = j">                          a row for each record of this phone's,
//     at the list's end, or data-at="top", or in order: data-order="opened_at down" (or up)
//   <template data-each="joint" data-where="...">                               a row for each known one, see rows.js
//   data-count="#ends [data-open]" data-word="loose end"                        how many of them are shown
//   data-any="#ends .row"              data-none="#ends .row"                   shown while any of them, or none, is
//   data-word="loose end|loose ends"    (on data-text) the field is a number of these
//   data-share=". share"                                                        how wide a bar is
//   data-label="how"                    (on data-text) the field's value is looked up in the page's labels
//   data-not-counted="touch check" data-of="tern"  shown while entries of these kinds are not in it, see uncounted.js
//   data-class, data-pressed, and conditions about other elements: see shape.js
// In a row, "." is the record the row is about.

import { holdFor, plain } from "./holds.js";
import { know } from "./known.js";
import { addRows } from "./rows.js";
import { aboutOf, shape, withElements } from "./shape.js";
import { sayUncounted } from "./uncounted.js";
import { filters } from "./words.js";

/** Lay everything over the page, and again whenever the outbox changes. */
export async function lay(root = document) {
  const known = withElements(await know());
  addRows(root, known);
  for (const element of root.querySelectorAll("[data-if]")) {
    element.hidden = !holds(element.dataset.if, element, known);
  }
  shape(root, known);
  for (const element of root.querySelectorAll("[data-text]")) write(element, known);
  for (const form of root.querySelectorAll("form[data-kind][data-record]")) fill(form, known);
  for (const element of root.querySelectorAll("[data-record]:not(form)")) mark(element, known);
  for (const bar of root.querySelectorAll("[data-share]")) bar.setAttribute("width", widthOf(bar, known));
  for (const element of root.querySelectorAll("[data-any]")) showWhileAny(element, root);
  for (const element of root.querySelectorAll("[data-none]")) element.hidden = shown(element.dataset.none, root).length > 0;
  for (const element of root.querySelectorAll("[data-count]")) count(element, root);
  sayUncounted(root, known);
  document.dispatchEvent(new CustomEvent("laid", { detail: known }));
}

function refOf(word, element) {
  return word === "." ? aboutOf(element) : word;
}

/** Whether every condition of a data-if holds. */
export function holds(conditions, element, known) {
  return holdFor(conditions, aboutOf(element), known);
}

function write(element, known) {
  const [ref, field, filter, ...args] = element.dataset.text.split(" ");
  const value = plain(known.fields(refOf(ref, element))[field]);
  if (value === "") {
    if (known.has(refOf(ref, element))) element.textContent = "";
    return;
  }
  if (element.dataset.label) element.textContent = label(element.dataset.label, value);
  else if (element.dataset.word) element.textContent = counted(Number(value), element.dataset.word);
  else element.textContent = filter ? filters[filter](value, ...args) : value;
}

function widthOf(bar, known) {
  const [ref, field] = bar.dataset.share.split(" ");
  return `${Math.min(1, Number(known.fields(refOf(ref, bar))[field] ?? 0)) * 100}%`;
}

let labels = null;

function label(name, value) {
  labels ??= JSON.parse(document.getElementById("labels").textContent);
  return labels[name]?.[value] ?? value;
}

// A form shows what stands, unless the person is filling it in just now.
function fill(form, known) {
  const ref = `${form.dataset.kind}/${form.dataset.record}`;
  if (!known.unseen(ref) || form.contains(document.activeElement) || form.dataset.typed === "yes") return;
  const fields = known.fields(ref);
  for (const control of form.elements) {
    if (!(control.name in fields) || control.type === "hidden" || control.closest("[data-kind]") !== form) continue;
    const value = plain(fields[control.name]);
    if (control.type === "radio") control.checked = control.value === value;
    else if (control.type === "submit") press(control, control.value === value);
    else if (control.type === "datetime-local") control.value = value && localMinute(value);
    else control.value = value;
  }
}

function press(button, isPressed) {
  if (!button.dataset.pressed) button.setAttribute("aria-pressed", String(isPressed));
}

/** A moment as a box of this phone shows it. */
export function localMinute(text) {
  const when = new Date(text);
  return new Date(when.getTime() - when.getTimezoneOffset() * 60_000).toISOString().slice(0, 16);
}

function mark(element, known) {
  element.classList.toggle("waits", known.waits(element.dataset.record));
  if (!element.closest("[data-list]")) return;
  const isStruck = Boolean(known.fields(element.dataset.record).void_reason);
  if (isStruck) element.hidden = true;
  else if ("struck" in element.dataset && !element.dataset.if) element.hidden = false; // it was called back
  element.toggleAttribute("data-struck", isStruck);
}

function count(element, root) {
  const n = shown(element.dataset.count, root).length;
  element.textContent = element.dataset.word ? counted(n, element.dataset.word) : String(n);
}

function counted(n, words) {
  const [one, many] = words.split("|");
  return filters.count(n, one, many);
}

function showWhileAny(element, root) {
  element.hidden = false; // or what it holds would count as hidden for its sake
  element.hidden = shown(element.dataset.any, root).length === 0;
}

const shown = (selector, root) => [...root.querySelectorAll(selector)].filter((one) => !one.closest("[hidden]"));
