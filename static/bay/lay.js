// Lays what the phone knows over a page of the server's: forms, lists, and the words that follow from a record.
//
// The page says what follows from what, in attributes; nothing here knows what a job or a hose is:
//   data-if="touch/j.l how = disconnected|replaced & ! touch/j.l void_reason"   shown or hidden
//   data-text="job/j title"            data-text=". opened_at moment"          what an element says
//   <template data-new="finding" data-where="job = j">                          a row for each record of this phone's
//   data-count="#ends [data-open]" data-word="loose end"                        how many of them are shown
//   data-label="how"                    (on data-text) the field's value is looked up in the page's labels
// In a row, "." is the record the row is about.

import { know } from "./known.js";
import { filters } from "./words.js";

/** Lay everything over the page, and again whenever the outbox changes. */
export async function lay(root = document) {
  const known = await know();
  for (const template of root.querySelectorAll("template[data-new]")) addRows(template, known);
  for (const element of root.querySelectorAll("[data-if]")) {
    element.hidden = !holds(element.dataset.if, element, known);
  }
  for (const element of root.querySelectorAll("[data-text]")) write(element, known);
  for (const form of root.querySelectorAll("form[data-kind][data-record]")) fill(form, known);
  for (const element of root.querySelectorAll("[data-record]:not(form)")) mark(element, known);
  for (const element of root.querySelectorAll("[data-count]")) count(element, root);
  document.dispatchEvent(new CustomEvent("laid", { detail: known }));
}

function refOf(word, element) {
  return word === "." ? element.closest("[data-record]").dataset.record : word;
}

/** A stored or typed value as text: a yes or no as the forms send it, nothing as nothing. */
export function plain(value) {
  if (value === true) return "yes";
  if (value === false) return "no";
  return value === null || value === undefined ? "" : String(value);
}

/** Whether every condition of a data-if holds. */
export function holds(conditions, element, known) {
  return conditions.split(" & ").every((condition) => {
    const not = condition.startsWith("! ");
    const [ref, field, operator, ...rest] = condition.slice(not ? 2 : 0).trim().split(" ");
    const value = plain(known.fields(refOf(ref, element))[field]);
    const values = rest.join(" ").split("|");
    const found = operator === "=" ? values.includes(value) : operator === "<>" ? !values.includes(value) : value !== "";
    return not ? !found : found;
  });
}

function write(element, known) {
  const [ref, field, filter, ...args] = element.dataset.text.split(" ");
  const value = plain(known.fields(refOf(ref, element))[field]);
  if (value === "") {
    if (known.has(refOf(ref, element))) element.textContent = "";
    return;
  }
  if (element.dataset.label) element.textContent = label(element.dataset.label, value);
  else element.textContent = filter ? filters[filter](value, ...args) : value;
}

function label(name, value) {
  const labels = JSON.parse(document.getElementById("labels").textContent);
  return labels[name]?.[value] ?? value;
}

function addRows(template, known) {
  for (const old of template.parentElement.querySelectorAll(":scope > [data-laid]")) old.remove();
  const rows = known.fresh(template.dataset.new).map((ref) => rowOf(template, ref));
  const wanted = rows.filter((row) => !template.dataset.where || holds(template.dataset.where, row, known));
  template[template.dataset.at === "top" ? "after" : "before"](...wanted.reverse());
}

function rowOf(template, ref) {
  const row = template.content.firstElementChild.cloneNode(true);
  row.dataset.laid = "";
  row.dataset.record = ref;
  const id = ref.slice(ref.indexOf("/") + 1);
  for (const element of [row, ...row.querySelectorAll("*")]) {
    for (const attribute of element.attributes) attribute.value = attribute.value.replaceAll("{id}", id);
  }
  return row;
}

// A form shows what stands, unless the person is filling it in just now.
function fill(form, known) {
  const ref = `${form.dataset.kind}/${form.dataset.record}`;
  if (!known.waits(ref) || form.contains(document.activeElement) || form.dataset.typed === "yes") return;
  const fields = known.fields(ref);
  for (const control of form.elements) {
    if (!(control.name in fields) || control.type === "hidden" || control.closest("[data-kind]") !== form) continue;
    const value = plain(fields[control.name]);
    if (control.type === "radio") control.checked = control.value === value;
    else if (control.type === "submit") control.setAttribute("aria-pressed", String(control.value === value));
    else if (control.type === "datetime-local") control.value = value && localMinute(value);
    else control.value = value;
  }
}

function localMinute(text) {
  const when = new Date(text);
  return new Date(when.getTime() - when.getTimezoneOffset() * 60_000).toISOString().slice(0, 16);
}

function mark(element, known) {
  element.classList.toggle("waits", known.waits(element.dataset.record));
  if (element.closest("[data-list]") && known.fields(element.dataset.record).void_reason) element.hidden = true;
}

function count(element, root) {
  const n = [...root.querySelectorAll(element.dataset.count)].filter((one) => !one.closest("[hidden]")).length;
  const [one, many] = (element.dataset.word ?? "").split("|");
  element.textContent = one ? `${n} ${n === 1 ? one : many ?? `${one}s`}` : String(n);
}
