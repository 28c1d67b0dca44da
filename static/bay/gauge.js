// The arithmetic of a gauge, as the garage does it: a figure in SI, how it reads on a scale, and what is usual.
//
// All numbers come with the page (app/pages/gauges.py): units, the air, how spreads are counted. The tests hold this to
// app/workings and app/records/shown.py.

import { figure as read, number } from "./words.js";

const numbers = JSON.parse(document.getElementById("gauges")?.textContent ?? "{}");

/** The page's numbers: {units, kinds, air, spread, series}. */
export const gauges = numbers;

const unitOf = (unit) => numbers.units[unit] ?? { one: 1, label: unit };
const oneOf = (what, unit) => (numbers.kinds[what].quantity === "free" ? 1 : unitOf(unit).one);

/** The pressure of the air around the car in kPa: by barometer, else by the height, else a standard day's. */
export function airOf({ barometer_value: barometer, barometer_unit: unit, altitude_m: height }) {
  if (isFilled(barometer)) return read(barometer) * unitOf(unit).one;
  const { standard, lapse, exponent } = numbers.air;
  return isFilled(height) ? standard * (1 - lapse * read(height)) ** exponent : standard;
}

const isFilled = (text) => text !== undefined && text !== null && text !== "";

/** A reading as entered, in figures: {value, si, air, what, unit, basis, step}; `step` is what it was read to. */
export function taken(fields, value = read(fields.value)) {
  const { what, unit } = fields;
  const one = oneOf(what, unit);
  const isPressure = numbers.kinds[what].quantity === "pressure";
  const air = isPressure ? airOf(fields) : null;
  const basis = isPressure ? fields.basis : null;
  const from = { vacuum: air - value * one, gauge: air + value * one }[basis];
  const step = one * 10 ** -decimals(Number(value.toFixed(3)));
  return { value, si: from ?? value * one, air, what, unit, basis, step, one };
}

/** A figure kept in SI, as it reads on the scale of the reading `last`. */
export function shown(si, { basis, air, one }) {
  if (!basis || air === null) return si / one;
  return { vacuum: (air - si) / one, gauge: (si - air) / one }[basis] ?? si / one;
}

/** A figure with as many decimals as its gauge can be read to. */
export function figure(value, unit) {
  const places = numbers.units[unit]?.places;
  return number(Number(value.toFixed(9)), places ?? decimals(Number(value.toFixed(2))));
}

/** A unit as printed. */
export const labelOf = (unit) => unitOf(unit).label;

/** `usually 19.5 ± 0.6 inHg`, on the scale of the reading `last`. */
export function usually(usual, last) {
  if (!usual) return "nothing usual yet";
  const either = (numbers.spread.edge * usual.spread) / last.one;
  const text = figure(either, last.unit);
  const spread = either === 0 || /[^0.]/.test(text) ? text : number(either, decimals(Number(either.toPrecision(1))));
  return `usually ${figure(shown(usual.centre, last), last.unit)} ± ${spread} ${labelOf(last.unit)}`;
}

/** Where a figure in SI lies: inside, edge, outside, or nothing without a baseline. */
export function placed(si, usual) {
  if (!usual) return "";
  const { edge, outside } = numbers.spread;
  const off = Math.abs(si - usual.centre) / usual.spread - 1e-9;
  return off <= edge ? "inside" : off <= outside ? "edge" : "outside";
}

/** What healthy readings ([{si, step}], the latest ones) teach: {centre, spread}; null of none. */
export function learned(healthy) {
  if (healthy.length === 0) return null;
  const { consistency, few, enough } = numbers.spread;
  const values = healthy.map((one) => one.si);
  const n = values.length;
  const centre = median(values);
  const measured = n === 1 ? 0 : consistency * (few[n] ?? n / (n - 0.8)) * median(values.map((si) => Math.abs(si - centre)));
  const step = Math.min(...healthy.map((one) => one.step));
  return { centre, spread: Math.max(measured, n >= enough ? step : 2 * step) };
}

/** A baseline as typed: {centre, spread}. */
export function stated(fields) {
  const { si, one } = taken(fields, read(fields.centre));
  return { centre: si, spread: (read(fields.spread) * one) / numbers.spread.edge };
}

function median(values) {
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  return sorted.length % 2 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
}

const decimals = (value) => (String(value).split(".")[1] ?? "").length;
