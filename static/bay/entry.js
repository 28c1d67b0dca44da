// From a form to the entries it makes.
//
// A form says what it fills: `data-kind` and `data-record`, its controls named after the record's fields. A part of it
// with a `data-kind` of its own makes a further entry. A form for a new record has no `data-record` but a hidden
// `record`; a fresh id takes its place each time, since a page kept on the phone may be used more than once.

const NO_FIELDS = new Set(["entry", "record", "sure"]);

/** A moment as entries write it. */
export function now() {
  return new Date().toISOString();
}

/** A fresh id. */
export function newId() {
  return crypto.randomUUID();
}

/** The entries a form makes when `button` sends it, and the id of its record: {record, entries}. */
export function entriesOf(form, button) {
  const fresh = form.querySelector(":scope input[name=record]");
  const record = form.dataset.record ?? (fresh ? newId() : "");
  const at = now();
  const says = form.dataset.says ?? button?.textContent.trim() ?? "";
  const groups = [form, ...form.querySelectorAll("[data-kind]")].filter((group) => isWanted(group, form));
  const entries = groups.map((group) => ({
    id: newId(),
    kind: group.dataset.kind,
    record: group === form ? record : group.dataset.record.replaceAll("{record}", record),
    version: Number(group.dataset.version ?? 1),
    fields: fieldsOf(group, form, button, record),
    happened_at: at,
    entered_at: at,
    says,
    page: document.title,
  }));
  return { record, entries: entries.filter((entry) => Object.keys(entry.fields).length > 0) };
}

// A part with `data-if-ticked` counts only while the named box in it is ticked.
function isWanted(group, form) {
  const box = group.dataset.ifTicked;
  return group === form || !box || form.querySelector(`input[name="${CSS.escape(box)}"]:checked`) !== null;
}

function fieldsOf(group, form, button, record) {
  const fields = {};
  for (const control of form.elements) {
    if (control.closest("[data-kind]") !== group || !isFilled(control)) continue;
    fields[control.name] = valueOf(control).replaceAll("{record}", record);
  }
  if (button?.name && button.closest("[data-kind]") === group && !NO_FIELDS.has(button.name)) {
    fields[button.name] = button.value;
  }
  return fields;
}

function isFilled(control) {
  if (!control.name || control.disabled || NO_FIELDS.has(control.name) || "noField" in control.dataset) return false;
  if (control.type === "radio" || control.type === "checkbox") return control.checked;
  return !["submit", "button", "file", "fieldset"].includes(control.type);
}

function valueOf(control) {
  if ("now" in control.dataset && control.type === "hidden") return now();
  // What a date-and-time box holds is this phone's local time; the entry says which moment that was.
  if (control.type === "datetime-local" && control.value) return new Date(control.value).toISOString();
  return control.value;
}
