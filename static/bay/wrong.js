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
//   data-ask="baseline" data-ask-if="! proving/p back" data-ask-says   asked about while that holds; {proving/p value}
//   data-ask="torque" data-ask-below data-ask-above data-ask-says   {value} outside these is asked about once
//   data-ask-small="wrench" data-ask-small-below ...   those instead, if the option chosen there has data-small
//   data-ask="wrench" data-ask-range="torque_value"  (a list) the figure in that box is beyond the chosen option's data-least
//     and data-most, asked about once; {range}
//   data-ask-unit="torque_unit"                      the chosen option's data-times turns the value into theirs; {unit}
// A choice that is no longer shown can't be made (data-gone-says on its list says why).
// A choice that may not be made says why: data-why="That goes round in a circle: ...".
// And a form: data-one-of="line component" data-one-says   one of these boxes is filled, and no more;
//   data-barred="line/l retired_on" data-barred-says      it can't be sent while that holds (data-barred-at: the box).

import { barometerDoubt } from "./barometer.js";
import { counts } from "./entry.js";
import { holdFor, plain } from "./holds.js";
import { shown as known } from "./known.js";
import { meterDoubt } from "./meter.js";
import { followed, momentIn } from "./moments.js";
import { figure, moment, today } from "./words.js";

const GONE = "This is off the car for good. Bring it back first.";

/** What is wrong with a form: {name: sentence}; "" is no box's name but the form's as a whole. */
export function missing(form) {
  const wrong = { ...barred(form), ...untimely(form) };
  for (const box of form.querySelectorAll('[inputmode="decimal"], [inputmode="numeric"]')) {
    // Kept unread it would stand on every page as a figure, until the garage is near enough to refuse it.
    const value = box.value.trim() === "" || box.closest("[hidden]") ? 0 : figure(box.value);
    if (!Number.isFinite(value)) wrong[box.name] = "Write a number, such as 5 or 5.5.";
    else if (box.inputMode === "numeric" && !Number.isInteger(value)) wrong[box.name] = "Write a whole number, such as 5.";
  }
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
    const why = list.selectedOptions[0]?.dataset.why;
    if (why && !list.closest("[hidden]")) wrong[list.name] = why;
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
  if (control === null || control.closest?.("[hidden]")) return false;
  return control.type === "checkbox" ? control.checked : control.value.trim() !== "";
}

/** What is unlikely but may be right, asked about once with the server's own sentence: {"?key": question}. */
export function doubts(form) {
  const asks = {};
  for (const control of form.querySelectorAll("[data-ask-below], [data-ask-above], [data-ask-at], [data-ask-air], [data-ask-if], [data-ask-range]")) {
    const { ask } = control.dataset;
    if (!control.value || form.querySelector(`[name="sure"][value="${ask}"]:checked`)) continue;
    const asked = counted(control, form) && doubtOf(control)(control, form, known());
    if (asked) Object.assign(asks, typeof asked === "string" ? { [`?${ask}`]: asked } : asked);
  }
  return asks;
}

function doubtOf({ dataset }) {
  if ("askIf" in dataset) return unlikely;
  if ("askAt" in dataset) return meterDoubt;
  if ("askRange" in dataset) return beyond;
  return "askAir" in dataset ? barometerDoubt : outside;
}

// A figure that stood there already was asked about when it was entered, and one that makes no entry is no question.
function counted(control, form) {
  const part = control.closest("[data-kind]");
  if (control.closest("[hidden]") || ("changes" in form.dataset && !("typed" in control.dataset))) return false;
  return part === form || !form.contains(part) || counts(part, form);
}

function unlikely({ dataset }, form, known) {
  if (!holdFor(dataset.askIf, "", known)) return null;
  return dataset.askSays.replaceAll(/\{(\S+) (\w+)\}/g, (_, ref, field) => plain(known.fields(ref)[field]));
}

function outside(control, form) {
  const { askUnit = "", askSmall = "", ...asks } = control.dataset;
  const isSmall = "small" in (form.elements.namedItem(askSmall)?.selectedOptions?.[0]?.dataset ?? {});
  const [askBelow, askAbove, askSays] = isSmall
    ? [asks.askSmallBelow, asks.askSmallAbove, asks.askSmallSays]
    : [asks.askBelow, asks.askAbove, asks.askSays];
  const unit = form.elements.namedItem(askUnit)?.selectedOptions[0];
  const value = figure(control.value.trim()) * Number(unit?.dataset.times ?? 1);
  if (!(value < Number.parseFloat(askBelow) || value > Number.parseFloat(askAbove))) return null;
  return askSays.replaceAll("{value}", control.value).replaceAll("{unit}", unit?.text);
}

function beyond(control, form) {
  const box = form.elements.namedItem(control.dataset.askRange);
  const unit = form.elements.namedItem(control.dataset.askUnit)?.selectedOptions[0];
  const { least, most, range } = control.selectedOptions[0].dataset;
  const value = figure(box.value.trim()) * Number(unit?.dataset.times ?? 1);
  if (box.value.trim() === "" || !(value < least * (1 - 1e-9) || value > most * (1 + 1e-9))) return null;
  return control.dataset.askSays.replaceAll("{value}", box.value).replaceAll("{unit}", unit?.text).replaceAll("{range}", range);
}
