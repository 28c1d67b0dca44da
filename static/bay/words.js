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

/** A figure with spaces between thousands and as many decimals as it needs, up to two (or just `places`). */
export function number(text, places) {
  const value = figure(text);
  if (!Number.isFinite(value)) return String(text);
  const fixed = places === undefined ? value.toFixed(2).replace(/\.?0+$/, "") : value.toFixed(Number(places));
  const [whole, rest] = (Number(fixed) === 0 ? fixed.replace("-", "") : fixed).split(".");
  const grouped = whole.replaceAll(/\B(?=(\d{3})+$)/g, SPACE);
  return (rest ? `${grouped}.${rest}` : grouped).replace("-", "\u2212");
}

/** A distance or odometer figure in the car's own unit. */
export function distance(text, unit) {
  return `${number(text, 0)}${SPACE}${unit}`;
}

export const filters = { day, clock, moment, number, distance };
