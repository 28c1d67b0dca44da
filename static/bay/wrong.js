// What can be told to be wrong with a form before it is kept. A box says of itself:
//   data-need                                        it must be filled;
//   data-need-while="#ends .off"                     so it must while any such element is shown;
//   data-need-or="after_days"                        unless one of these others is filled
//   data-need-with="torque_value"                    if that other one is filled
//   data-past                                        it is no day still to come
//   data-need-says="Say why. {n} are off."           what to say then; {n} is how many such elements are shown
//   data-after, data-after-what                      its moment follows others, see moments.js
//   data-differs="from_component" data-differs-says  it says something else than that other one
//   data-ask="odometer" data-ask-at="fitted_at"      its figure is held against what the meter read before, see meter.js
//   data-ask="barometer_value" data-ask-air data-ask-height="altitude_m" data-ask-unit   see barometer.js
//   data-ask="torque" data-ask-below data-ask-above data-ask-says   {value} outside these is asked about once
//   data-ask-unit="torque_unit"                      the chosen option's data-times turns the value into theirs; {unit}
// A choice that is no longer shown can't be made (data-gone-says on its list says why).
// And a form: data-one-of="line component" data-one-says   one of these boxes is filled, and no more;
//   data-barred="line/l retired_on" data-barred-says      it can't be sent while that holds (data-barred-at: the box).

import { barometerDoubt } from "./barometer.js";
import { counts } from "./entry.js";
import { holdFor } from "./holds.js";
import { shown as known } from "./known.js";
import { meterDoubt } from "./meter.js";
import { followed, momentIn } from "./moments.js";
import { figure, moment, today } from "./words.js";

const GONE = "This is off the car for good. Bring it back first.";

/** What is wrong with a form: {name: sentence}; "" is no box's name but the form's as a whole. */
export function missing(form) {
  const wrong = { ...barred(form), ...untimely(form) };
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
  for (const control of form.querySelectorAll("[data-differs]")) {
    if (control.value && control.value === form.elements.namedItem(control.dataset.differs).value) {
      wrong[control.name] = control.dataset.differsSays;
    }
  }
  const { oneOf, oneSays } = form.dataset;
  if (oneOf && oneOf.split(" ").filter((name) => isFilled(form, name)).length !== 1) wrong[oneOf.split(" ")[0]] = oneSays;
  return wrong;
}

function barred(form) {
  const wrong = {};
  const { barred: when, barredSays, barredAt = "" } = form.dataset;
  if (when && holdFor(when, `${form.dataset.kind}/${form.dataset.record}`, known())) wrong[barredAt] = barredSays;
  for (const list of form.querySelectorAll("select")) {
    // What stood there already may stay.
    const isOld = "changes" in form.dataset && !("typed" in list.dataset);
    if (list.selectedOptions[0]?.hidden && !isOld && !list.closest("[hidden]")) wrong[list.name] = list.dataset.goneSays ?? GONE;
  }
  return wrong;
}

function untimely(form) {
  const wrong = {};
  for (const box of form.querySelectorAll("[data-after]")) {
    const step = followed(box);
    const at = momentIn(box);
    if (step && at && at <= step.at) wrong[box.name] = `That is before ${step.what}, ${moment(step.at)}.`;
  }
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
  for (const control of form.querySelectorAll("[data-ask-below], [data-ask-above], [data-ask-at], [data-ask-air]")) {
    const { ask } = control.dataset;
    if (!control.value || form.querySelector(`[name="sure"][value="${ask}"]:checked`)) continue;
    const asked = counted(control, form) && doubtOf(control)(control, form, known());
    if (asked) asks[`?${ask}`] = asked;
  }
  return asks;
}

function doubtOf({ dataset }) {
  if ("askAt" in dataset) return meterDoubt;
  return "askAir" in dataset ? barometerDoubt : outside;
}

// A figure that stood there already was asked about when it was entered, and one that makes no entry is no question.
function counted(control, form) {
  const part = control.closest("[data-kind]");
  if (control.closest("[hidden]") || ("changes" in form.dataset && !("typed" in control.dataset))) return false;
  return part === form || !form.contains(part) || counts(part, form);
}

function outside(control, form) {
  const { askBelow, askAbove, askSays, askUnit = "" } = control.dataset;
  const unit = form.elements.namedItem(askUnit)?.selectedOptions[0];
  const value = figure(control.value.trim()) * Number(unit?.dataset.times ?? 1);
  if (!(value < Number.parseFloat(askBelow) || value > Number.parseFloat(askAbove))) return null;
  return askSays.replaceAll("{value}", control.value).replaceAll("{unit}", unit?.text);
}
