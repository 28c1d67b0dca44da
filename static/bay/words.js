// How figures and moments are written on a page: as the server's pages write them (app/pages/words.py).

const DAYS = ["Sunday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday"];
const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
const SPACE = "\u00a0";

const midnight = (date) => new Date(date.getFullYear(), date.getMonth(), date.getDate());
const pad = (n) => String(n).padStart(2, "0");

/** A day in words: today, yesterday, a weekday of the past week, or 18 Apr 2026. */
export function day(text) {
  const when = text.includes("T") ? new Date(text) : new Date(`${text}T00:00`);
  const back = Math.round((midnight(new Date()) - midnight(when)) / 86_400_000);
  const near = { 0: "today", 1: "yesterday", "-1": "tomorrow" }[back];
  if (near) return near;
  if (back > 1 && back < 7) return DAYS[when.getDay()];
  return `${when.getDate()} ${MONTHS[when.getMonth()]} ${when.getFullYear()}`;
}

/** The time of day of a moment. */
export function clock(text) {
  const when = new Date(text);
  return `${pad(when.getHours())}:${pad(when.getMinutes())}`;
}

/** A moment in words: today 10:40. */
export function moment(text) {
  return `${day(text)} ${clock(text)}`;
}

/** A typed or stored figure; a decimal comma is as good as a point. */
export function figure(text) {
  const plain = String(text).replaceAll(/[ \u00a0]/g, "").replace("\u2212", "-");
  return Number(/^[^.]*,[^.,]*$/.test(plain) ? plain.replace(",", ".") : plain);
}

// With this many decimals; a tie goes to the even digit, as in Python (where toFixed would go up).
function fixed(value, places) {
  const size = Math.abs(value);
  const isTie = (size * 2 ** (places + 1)) % 2 === 1;
  const lower = Math.floor(size * 10 ** places);
  const text = isTie && lower % 2 === 0 ? (lower / 10 ** places).toFixed(places) : size.toFixed(places);
  return value < 0 && Number(text) !== 0 ? `\u2212${text}` : text;
}

/** A figure with spaces between thousands and as many decimals as it needs, up to two (or just `places`). */
export function number(text, places) {
  const value = figure(text);
  if (!Number.isFinite(value)) return String(text);
  const [whole, rest] = fixed(value, places === undefined ? 2 : Number(places)).split(".");
  const needed = places === undefined ? rest.replace(/0+$/, "") : rest;
  const grouped = whole.replaceAll(/\B(?=(\d{3})+$)/g, SPACE);
  return needed ? `${grouped}.${needed}` : grouped;
}

/** A distance or odometer figure in the car's own unit. */
export function distance(text, unit) {
  return `${number(text, 0)}${SPACE}${unit}`;
}

/** `1 loose end`, `2 loose ends`. */
export function count(n, one, many) {
  return `${n} ${Number(n) === 1 ? one : many ?? `${one}s`}`;
}

/** The date on this phone's clock, as entries write a day. */
export function today() {
  const now = new Date();
  return `${now.getFullYear()}-${pad(now.getMonth() + 1)}-${pad(now.getDate())}`;
}

// How many days ahead a day or a moment is.
function ahead(text) {
  const when = text.includes("T") ? new Date(text) : new Date(`${text}T00:00`);
  return Math.round((midnight(when) - midnight(new Date())) / 86_400_000);
}

/** How far off a day is: today, in 3 days, 2 days ago. */
export function inDays(text) {
  const off = ahead(text);
  if (off === 0) return "today";
  return off > 0 ? `in ${count(off, "day")}` : `${count(-off, "day")} ago`;
}

/** When something is to arrive: due Friday, due 24 Apr 2026, was due yesterday. */
export function due(text) {
  const off = ahead(text);
  const weekday = DAYS[new Date(`${text}T00:00`).getDay()];
  const said = off > 1 && off < 7 ? weekday : day(text);
  return off < 0 ? `was due ${said}` : `due ${said}`;
}

/** A share as a whole percentage; what is small but not nothing never shows as 0. */
export function percent(share) {
  const whole = Number(fixed(Number(share) * 100, 0));
  return whole < 1 ? "under 1%" : `${whole}%`;
}

/** A time that is expected, no finer than it can be known: 8 min, 45 min. */
export function roughly(minutes) {
  const step = minutes < 10 ? 1 : 5;
  return `${Math.max(Number(fixed(minutes / step, 0)) * step, 1)} min`;
}

/** The first line of a note, cut where it would fill the screen. */
export function headline(text) {
  const line = text.trim().split("\n")[0];
  return [...line].length <= 80 ? line : `${[...line].slice(0, 79).join("")}…`;
}

/** Begun with a capital. */
export function capital(text) {
  return text.slice(0, 1).toUpperCase() + text.slice(1);
}

export const filters = { day, clock, moment, number, distance, count, in_days: inDays, due, percent, roughly, headline, capital };
