// What else follows from records than words: how an element looks, whether a button counts as pressed, and what
// follows from another element of the page.
//
//   data-class="on if . back_on_at; done if check/j.k good = yes"   its classes
//   data-pressed=". how = replaced"                                 on a button: it says what already stands
//   data-like="end.k name.l"     its `data-is` holds the classes that these elements, if shown, have by their data-class
//   data-value="ticket/t found_line"                                on a hidden box: what it holds
//   data-gone="line/{choice} retired_on"                            on a list, or one button of several: a choice can't be
//     made while that holds (one of several, joined by " or "); {choice} is what it stands for, after its last "="
//   data-about="ticket/t found_line"                                on a part of a form: the id of its record
// In a condition "#id" stands for an element, as a record with a field `shown` and one for each of its classes:
//   data-if="#end.k shown & ! #end.k done"
// (An element that a condition names must not itself hang on another element; one that is only liked may.)

import { holdFor, plain } from "./holds.js";

/** `known`, and what "#id" stands for besides. */
export function withElements(known) {
  return { ...known, fields: (ref) => (ref?.startsWith("#") ? stateOf(ref.slice(1)) : known.fields(ref)) };
}

function stateOf(id) {
  const element = document.getElementById(id);
  if (element === null || element.hidden) return {};
  return { shown: "yes", ...Object.fromEntries([...element.classList].map((name) => [name, "yes"])) };
}

/** Classes and pressed buttons; then whatever hangs on other elements, which have come out by then. */
export function shape(root, known) {
  for (const box of root.querySelectorAll("[data-value]")) box.value = fieldOf(box.dataset.value, known);
  for (const list of root.querySelectorAll("[data-gone]")) leaveOut(list, known);
  for (const part of root.querySelectorAll("[data-about]")) part.dataset.record = fieldOf(part.dataset.about, known);
  const shaped = [...root.querySelectorAll("[data-class]")];
  for (const element of shaped.filter((one) => !one.dataset.class.includes("#"))) classes(element, known);
  for (const element of root.querySelectorAll('[data-if*="#"]')) {
    element.hidden = !holdFor(element.dataset.if, aboutOf(element), known);
  }
  for (const element of shaped.filter((one) => one.dataset.class.includes("#"))) classes(element, known);
  for (const element of root.querySelectorAll("[data-like]")) element.dataset.is = likeness(element.dataset.like);
  for (const button of root.querySelectorAll("[data-pressed]")) {
    button.setAttribute("aria-pressed", String(holdFor(button.dataset.pressed, aboutOf(button), known)));
  }
}

function leaveOut(list, known) {
  for (const one of list.options ?? [list]) {
    const conditions = list.dataset.gone.replaceAll("{choice}", one.value.split("=").at(-1)).split(" or ");
    one.hidden = one.disabled = one.value !== "" && conditions.some((each) => holdFor(each, "", known));
    if (one.disabled) one.checked = false;
  }
}

function fieldOf(rule, known) {
  const [ref, field] = rule.split(" ");
  return plain(known.fields(ref)[field]);
}

function classes(element, known) {
  for (const [name, conditions] of rulesOf(element)) {
    element.classList.toggle(name, holdFor(conditions, aboutOf(element), known));
  }
}

function likeness(ids) {
  const others = ids.split(" ").map((id) => document.getElementById(id)).filter((one) => one?.hidden === false);
  return others.flatMap((one) => rulesOf(one).map(([name]) => name).filter((name) => one.classList.contains(name))).join(" ");
}

const rulesOf = (element) => element.dataset.class.split("; ").map((one) => one.split(" if "));

/** The ref ("kind/id") of the record an element is about. */
export function aboutOf(element) {
  const near = element.closest("[data-record]");
  if (near === null) return undefined;
  return near.dataset.kind ? `${near.dataset.kind}/${near.dataset.record}` : near.dataset.record;
}
