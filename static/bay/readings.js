// Lays this phone's readings over the lists of a car's readings: the latest of each series, and the past of one.

import { over } from "./boost.js";
import { figure, gauges, labelOf, placed, usually } from "./gauge.js";
import { know } from "./known.js";
import { draw } from "./picture.js";
import { seriesOf } from "./series.js";
import { count } from "./words.js";

function write(known) {
  const all = seriesOf(known);
  for (const list of document.querySelectorAll("[data-series-list]")) latest(list, all, known);
  for (const list of document.querySelectorAll("[data-past-of]")) past(list, all.get(list.dataset.pastOf));
  for (const element of document.querySelectorAll("[data-usual-of]")) usual(element, all.get(element.dataset.usualOf));
}

function latest(list, all, known) {
  const rows = new Map([...list.querySelectorAll(":scope > [data-series]")].map((row) => [row.dataset.series, row]));
  for (const [key, row] of rows) row.hidden = !all.has(key);
  for (const [key, series] of [...all].sort(inOrder)) {
    const row = rows.get(key) ?? rowOf(list, series);
    list.append(row); // in order, whichever were there
    fill(row, series, known);
  }
  const isOver = list.querySelector(":scope > a:not([hidden]) [data-part=over]:not([hidden])") !== null;
  for (const plate of document.querySelectorAll("[data-any-over]")) plate.hidden = !isOver;
}

// As the garage orders them: by kind, then by name.
function inOrder([, a], [, b]) {
  const place = (one) => Object.keys(gauges.kinds).indexOf(one.what);
  return place(a) - place(b) || (nameOf(a) < nameOf(b) ? -1 : 1);
}

function nameOf({ what, condition, last }) {
  const { label, conditions } = gauges.kinds[what];
  if (what === gauges.free) return last.name;
  return Object.keys(conditions).length === 1 ? label : `${label}, ${conditions[condition]}`;
}

function rowOf(list, series) {
  const row = list.querySelector("template").content.firstElementChild.cloneNode(true);
  row.dataset.series = series.key;
  const free = new URLSearchParams({ name: series.last.name ?? "", unit: series.last.unit });
  const several = Object.keys(gauges.kinds[series.what].conditions).length > 1;
  const asked = series.what === gauges.free ? `?${free}` : several ? `?condition=${series.condition}` : "";
  row.href = `/cars/${gauges.car}/readings/${series.what}${asked}`;
  row.querySelector("[data-part=label]").textContent = nameOf(series);
  return row;
}

function fill(row, series, known) {
  const { last } = series;
  const isOutside = placed(last.si, series.usual) === "outside";
  row.classList.toggle("waits", series.waits);
  row.querySelector("[data-part=usual]").textContent = usually(series.usual, last);
  const says = over(last, known, gauges.car);
  row.querySelector("[data-part=over]").textContent = says;
  row.querySelector("[data-part=over]").hidden = says === "";
  const said = row.querySelector("[data-part=figure]");
  said.textContent = figure(last.value, last.unit);
  said.classList.toggle("stop", isOutside);
  draw(row.querySelector("svg.spark"), nameOf(series), series);
}

// The rows themselves are laid by the page's own attributes; here is what a figure means.
function past(list, series) {
  for (const row of series ? list.querySelectorAll("[data-record]") : []) {
    const id = row.dataset.record.slice("reading/".length);
    const mine = series.past.find((one) => one.id === id);
    const si = row.dataset.si === undefined ? mine?.si : Number(row.dataset.si);
    if (si === undefined) continue;
    const where = placed(si, series.usual);
    row.querySelector("[data-part=where]").textContent = { edge: ", at the edge", outside: ", outside" }[where] ?? "";
    row.querySelector("strong").classList.toggle("stop", where === "outside");
    if (mine) row.querySelector("[data-part=figure]").textContent = `${figure(mine.value, mine.unit)} ${labelOf(mine.unit)}`;
  }
}

function usual(element, series) {
  if (!series) return;
  const origin = series.count === 0 ? ", as you stated it" : `, learned from ${count(series.count, "healthy reading")}`;
  element.textContent = usually(series.usual, series.last) + (series.usual ? origin : "");
}

if (gauges.series) {
  document.addEventListener("laid", (event) => write(event.detail));
  know().then(write);
}
