// What can be told to be wrong with a form before it is kept. A box says of itself:
//   data-need                                        it must be filled;
//   data-need-while="#ends .off"                     so it must while any such element is shown;
//   data-need-or="after_days"                        unless one of these others is filled
//   data-need-with="torque_value"                    if that other one is filled
//   data-past                                        it is no day still to come
//   data-need-says="Say why. {n} are off."           what to say then; {n} is how many such elements are shown
//   data-ask="odometer" data-ask-below data-ask-above data-ask-says   {value} outside these is asked about once
//   data-ask-unit="torque_unit"                      the chosen option's data-times turns the value into theirs; {unit}
// And a form: data-one-of="line component" data-one-says   one of these boxes is filled, and no more.

import { today } from "./words.js";

/** Boxes that must be filled and are not: {name: sentence}. */
export function missing(form) {
  const wrong = {};
  for (const day of form.querySelectorAll("[data-past]")) {
    if (day.value > today()) wrong[day.name] = "This is still to come. Look at the date.";
  }
  for (const control of form.querySelectorAll("[data-need], [data-need-while], [data-need-with]")) {
    const { needWhile, needWith, needOr = "", needSays = "This is needed." } = control.dataset;
    const there = needWhile ? shown(needWhile) : [];
    const isFree = (needWhile !== undefined && there.length === 0) || (needWith && !isFilled(form, needWith));
    const others = needOr.split(" ").filter(Boolean);
    if (isFree || control.closest("[hidden]") || [control.name, ...others].some((name) => isFilled(form, name))) continue;
    wrong[control.name] = needSays.replaceAll("{n}", there.length);
  }
  const { oneOf, oneSays } = form.dataset;
  if (oneOf && oneOf.split(" ").filter((name) => isFilled(form, name)).length !== 1) wrong[oneOf.split(" ")[0]] = oneSays;
  return wrong;
}

const shown = (selector) => [...document.querySelectorAll(selector)].filter((one) => !one.closest("[hidden]"));

function isFilled(form, name) {
  const control = form.elements.namedItem(name); // of radio buttons, their list: its value is the chosen one's
  return control !== null && control.value.trim() !== "";
}

/** What is unlikely but may be right, asked about once with the server's own sentence: {"?key": question}. */
export function doubts(form) {
  const asks = {};
  for (const control of form.querySelectorAll("[data-ask-below]")) {
    const { ask, askBelow, askAbove = Infinity, askSays, askUnit = "" } = control.dataset;
    if (!control.value || form.querySelector(`[name="sure"][value="${ask}"]:checked`)) continue;
    const unit = form.elements.namedItem(askUnit)?.selectedOptions[0];
    const value = Number(control.value.replaceAll(/[\s\u00a0]/g, "").replace(",", ".")) * Number(unit?.dataset.times ?? 1);
    if (value < Number.parseFloat(askBelow) || value > Number.parseFloat(askAbove)) {
      asks[`?${ask}`] = askSays.replaceAll("{value}", control.value).replaceAll("{unit}", unit?.text);
    }
  }
  return asks;
}
