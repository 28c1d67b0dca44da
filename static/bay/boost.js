// A boost beside the car's target, as the garage holds it (app/workings/boost_target.py, app/records/boost_targets.py):
// while a figure is typed, in the element with `data-over-target`, and for the lists of readings. And the boxes of the
// target's own points (`data-points`), which make one field.

import { figure, gauges, labelOf, shown, taken } from "./gauge.js";
import { know, shown as knownNow } from "./known.js";
import { figure as read, number } from "./words.js";

const ROUNDING_KPA = 1e-9;

function targetOf(known, car) {
  const fields = known.fields(`boost_target/${car}.boost`);
  if (!fields.curve || fields.void_reason) return null;
  const { si: nought, one } = taken({ ...fields, what: "peak_boost" }, 0);
  const kpa = (value) => nought + read(value) * one;
  const points = JSON.parse(fields.curve).map(([speed, boost]) => [read(speed), kpa(boost)]);
  const hasLimit = (fields.boost_limit ?? "") !== "";
  return { points: points.sort(([a], [b]) => a - b), tolerance: read(fields.tolerance) * one, limit: hasLimit ? kpa(fields.boost_limit) : Infinity };
}

function at(points, speed) {
  if (speed === null) return Math.max(...points.map(([, kpa]) => kpa));
  const n = points.findIndex(([one]) => one > speed);
  if (n <= 0) return points.at(n)[1];
  const [[before, low], [after, high]] = [points[n - 1], points[n]];
  return low + ((high - low) * (speed - before)) / (after - before);
}

/** What to say of a reading ({what, si, speed, unit, basis, air, one}) that is over the car's target; else nothing. */
export function over(reading, known, car) {
  const target = reading.what.endsWith("_boost") ? targetOf(known, car) : null;
  if (target === null) return "";
  const written = (kpa) => figure(shown(kpa, reading), reading.unit);
  const off = (kpa) => `${figure((reading.si - kpa) / reading.one, reading.unit)} ${labelOf(reading.unit)}`;
  if (reading.si > target.limit + ROUNDING_KPA) return `${off(target.limit)} above the limit of ${written(target.limit)}`;
  const aim = at(target.points, reading.speed);
  if (!(reading.si - aim > target.tolerance + ROUNDING_KPA)) return "";
  const where = reading.speed === null ? "the highest target" : `the target at ${number(reading.speed, 0)} rpm`;
  return `${off(aim)} over ${where}, ${written(aim)}`;
}

/** An engine speed as a record or a box has it; null for none. */
export const speedOf = (text) => ((text ?? "") === "" ? null : read(text));

function sayIn(plate) {
  const fields = Object.fromEntries(new FormData(plate.closest("form")));
  const isFilled = (fields.value ?? "").trim() !== "" && fields.unit;
  const says = isFilled ? over({ ...taken(fields), speed: speedOf(fields.engine_speed.trim()) }, knownNow(), plate.dataset.overTarget) : "";
  plate.querySelector("[data-part=says]").textContent = says && `${says}.`;
  plate.hidden = says === "";
}

const named = (part, name, n) => part.querySelector(`[name=${name}_${n}]`);

// What stands in the boxes, as the one field they make.
function join(part) {
  const rows = [...part.querySelectorAll("[name^=speed_]")].map((_, n) => ["speed", "boost"].map((name) => named(part, name, n + 1).value.trim()));
  const points = rows.filter(([speed, boost]) => speed && boost).map((row) => row.map(read));
  part.closest("form").elements.namedItem(part.dataset.points).value = JSON.stringify(points);
}

// What this phone says of it since the page was made, in the boxes.
function spread(part, known) {
  const form = part.closest("form");
  const ref = `${form.dataset.kind}/${form.dataset.record}`;
  if (!known.unseen(ref) || form.dataset.typed === "yes") return;
  const { curve = "[]" } = known.fields(ref);
  const points = JSON.parse(curve ?? "[]").sort(([a], [b]) => a - b);
  for (const n of part.querySelectorAll("[name^=speed_]").keys()) {
    const [speed = "", boost = ""] = points[n] ?? [];
    named(part, "speed", n + 1).value = speed;
    named(part, "boost", n + 1).value = boost;
  }
  join(part);
}

function follow(known) {
  for (const plate of document.querySelectorAll("[data-over-target]")) sayIn(plate);
  for (const part of document.querySelectorAll("[data-points]")) spread(part, known);
}

if (gauges.units && document.querySelector("[data-over-target], [data-points]")) {
  document.addEventListener("input", ({ target }) => {
    for (const plate of target.form?.querySelectorAll("[data-over-target]") ?? []) sayIn(plate);
    const part = target.closest("[data-points]");
    if (part) join(part);
  });
  document.addEventListener("laid", (event) => follow(event.detail));
  know().then(follow);
}
