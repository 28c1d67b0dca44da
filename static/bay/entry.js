// From a form to the entries it makes.
//
// A form says what it fills: `data-kind` and `data-record`, its controls named after the record's fields. A part of it
// with a `data-kind` of its own makes a further entry. A form for a new record has no `data-record` but a hidden
// `record`; a fresh id takes its place each time, since a page kept on the phone may be used more than once.
// Only what was begun and refused in part goes on with the same id (`data-begun`).
//
// Further attributes of a form or a part of it:
//   data-with="job=j&back_on_at={now}"          fields that no box shows
//   data-takes="after_days since_at=closed_at"  (a part) fields it takes from boxes of the form
//   data-if-ticked="next" or "recheck=j.k"      (a part) it counts only while that box is ticked
//   data-if-filled="job part|off_part"          (a part) only while these boxes are, of those with | any
//   data-if-typed="from_hold|to_hold"           (a part) only if any of these boxes was changed
//   data-else="{=on_now} is on"                 (a box) what it says if it is left empty
// In data-with and in a part's data-record, {record} stands for the form's record, {=box} for what a box says (in
// data-else for the words of what was chosen there), {=box|none} for that or "none", {ticket/t what} for a field. {now},
// {job/j worked_at or now} and {=day or now} are moments, {today} a day: what the field says, the noon of a day that is not today.
//   data-changes                                (a form) only what was typed into it, not what stood there already
//   data-parts="id"                             (a form) parts that stand elsewhere, in the element with this id
// What is hidden, a part or a box, says nothing.

import { plain } from "./holds.js";
import { shown } from "./known.js";
import { momentIn, now } from "./moments.js";
import { today } from "./words.js";

export { now };

const NO_FIELDS = new Set(["entry", "record", "sure"]);

/** A fresh id. */
export function newId() {
  return crypto.randomUUID();
}

/** The entries a form makes when `button` sends it, and the id of its record: {record, entries}. */
export function entriesOf(form, button) {
  const fresh = form.querySelector(":scope input[name=record]");
  const record = form.dataset.record ?? (fresh ? form.dataset.begun ?? newId() : "");
  const at = now();
  const said = button?.textContent.trim() ?? "";
  const says = form.dataset.says?.replaceAll("{button}", said) ?? said;
  const elsewhere = document.getElementById(form.dataset.parts ?? "");
  const parts = [...form.querySelectorAll("[data-kind]"), ...(elsewhere?.querySelectorAll("[data-kind]") ?? [])];
  const groups = [form, ...parts.filter((part) => counts(part, form))];
  const entries = groups.map((group) => ({
    id: newId(),
    kind: group.dataset.kind,
    record: group === form ? record : meant(group.dataset.record, form, record),
    version: Number(group.dataset.version ?? 1),
    fields: fieldsOf(group, form, button, record),
    happened_at: at,
    entered_at: at,
    says,
    page: document.title,
  }));
  return { record, entries: entries.filter((entry) => Object.keys(entry.fields).length > 0) };
}

/** Whether a part of a form makes its entry as the form stands. */
export function counts(part, form) {
  if (part.hidden || isHiddenIn(form, part)) return false;
  const { ifFilled, ifTyped } = part.dataset;
  const isFilledIn = (name) => form.elements.namedItem(name).value.trim() !== "";
  if (ifFilled && !ifFilled.split(" ").every((names) => names.split("|").some(isFilledIn))) return false;
  if (ifTyped && !ifTyped.split("|").some((name) => "typed" in form.elements.namedItem(name).dataset)) return false;
  if (!part.dataset.ifTicked) return true;
  const [name, value] = part.dataset.ifTicked.split("=");
  const which = value ? `[value="${CSS.escape(value)}"]` : "";
  return form.querySelector(`input[name="${CSS.escape(name)}"]${which}:checked`) !== null;
}

// In one pass: what is filled in may itself hold braces.
const meant = (text, form, record) =>
  text.replaceAll(/\{(?:(record)|=(\w+)(?:\|([^}]*))?|([^ {}]+\/[^ {}]+) (\w+))\}/g, (_, own, box, none, ref, field) => {
    if (own) return record;
    return ref ? plain(shown().fields(ref)[field]) : form.elements.namedItem(box).value.trim() || (none ?? "");
  });

function momentMeant(text, form) {
  if (text === "{now}") return now();
  if (text === "{today}") return today();
  const [, ref, field] = /^\{(\S+) (\w+) or now\}$/.exec(text) ?? [];
  if (ref) return plain(shown().fields(ref)[field]) || now();
  const [, box] = /^\{=(\w+) or now\}$/.exec(text) ?? [];
  if (!box) return null;
  const day = form.elements.namedItem(box).value;
  return day === "" || day === today() ? now() : new Date(`${day}T12:00`).toISOString();
}

const isHiddenIn = (form, element) => form.contains(element) && form.contains(element.closest("[hidden]"));

function fieldsOf(group, form, button, record) {
  const fields = {};
  for (const [name, value] of new URLSearchParams(group.dataset.with ?? "")) {
    fields[name] = momentMeant(value, form) ?? meant(value, form, record);
  }
  for (const taken of (group.dataset.takes ?? "").split(" ").filter(Boolean)) {
    const [name, box = name] = taken.split("=");
    fields[name] = valueOf(form.elements.namedItem(box));
  }
  const controls = [...form.elements].filter((one) => one.closest("[data-kind]") === group);
  const changed = "changes" in form.dataset ? changedOf(controls, group.dataset.kind) : null;
  for (const control of controls) {
    if (!isFilled(control) || isHiddenIn(form, control) || (changed && !changed.has(control.name))) continue;
    fields[control.name] = valueOf(control).replaceAll("{record}", record);
  }
  if (button?.name && button.closest("[data-kind]") === group && !NO_FIELDS.has(button.name)) {
    fields[button.name] = button.value;
  }
  return fields;
}

// The boxes somebody typed into, and those that are only ever set together with one of them.
function changedOf(controls, kind) {
  const typed = controls.filter((one) => "typed" in one.dataset).map((one) => one.name);
  const together = JSON.parse(document.getElementById("together")?.textContent ?? "{}")[kind] ?? [];
  return new Set([...typed, ...together.filter((group) => group.some((name) => typed.includes(name))).flat()]);
}

function isFilled(control) {
  if (!control.name || control.disabled || NO_FIELDS.has(control.name) || "noField" in control.dataset) return false;
  if (control.type === "radio" || control.type === "checkbox") return control.checked;
  return !["submit", "button", "file", "fieldset"].includes(control.type);
}

function valueOf(control) {
  const isMoment = "now" in control.dataset || (control.type === "datetime-local" && control.value);
  if (isMoment) return momentIn(control);
  return control.value.trim() || (control.dataset.else ?? "").replaceAll(/\{=(\w+)\}/g, (_, box) => chosenIn(control.form, box));
}

const chosenIn = (form, box) => form.querySelector(`[name="${box}"]:checked`)?.closest("label").textContent.trim() ?? "";

/** The box of a moment shows this one: the page may have lain on the phone for hours. */
export function setMoments(root) {
  const here = new Date(Date.now() - new Date().getTimezoneOffset() * 60_000);
  for (const box of root.querySelectorAll('input[type="datetime-local"][data-now]')) {
    box.value = here.toISOString().slice(0, 16);
  }
}
