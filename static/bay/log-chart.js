// The chart of a log: a panel for each channel, all on one clock, with a line that is read out in figures.
//
// <section data-chart="/logs/l/samples" data-seconds="3600" data-over="12.5 13.1;"> holds the links of the ways to move
// (`data-way`), which work without this script too, a slide for the line, and the table of what is shown. uPlot is loaded
// before this, on these pages alone.

import { colours, panel } from "./log-panel.js";

const section = document.querySelector("[data-chart]");
const part = (name) => section.querySelector(`[data-part=${name}]`);
const over = (section?.dataset.over ?? "").split(";").filter(Boolean).map((one) => one.split(" ").map(Number));
let plots = [];
let told = null;
let at = null; // where the line stands, s
let asked = null;

async function show(query, { push = true } = {}) {
  asked?.abort();
  asked = new AbortController();
  const columns = Math.max(100, Math.round(part("plots").clientWidth * Math.min(2, devicePixelRatio)));
  try {
    const answer = await fetch(`${section.dataset.chart}?${query}&columns=${columns}`, { signal: asked.signal });
    if (!answer.ok) throw new Error(`${answer.url} answers ${answer.status}`);
    told = await answer.json();
  } catch (error) {
    if (error.name !== "AbortError") location.search = query; // the page says what is wrong
    return;
  }
  if (push) history.replaceState(null, "", `?${query}`);
  if (at === null || at < told.from || at > told.to) at = (told.from + told.to) / 2;
  draw();
  say();
}

function draw() {
  const box = part("plots");
  for (const one of plots) one.destroy();
  const look = colours(box);
  plots = told.channels.map((channel, n) =>
    panel(box, channel, told, { look, over, isLast: n === told.channels.length - 1, line: () => at }),
  );
  box.replaceChildren(...plots.map((one) => one.element));
  for (const one of plots) one.fit();
  read();
}

// Where the line stands, in figures, over each panel.
function read() {
  part("at").textContent = clock(at);
  part("slide").value = Math.round(((at - told.from) / (told.to - told.from || 1)) * 1000);
  part("slide").setAttribute("aria-valuetext", clock(at));
  for (const one of plots) one.read(at);
}

function say() {
  part("from").textContent = clock(told.from);
  part("to").textContent = clock(told.to);
  for (const [way, query] of Object.entries(told.ways)) section.querySelector(`[data-way=${way}]`).href = `?${query}#chart`;
  const rows = told.channels.map(({ label, unit, spread }) => {
    const row = document.createElement("tr");
    const head = Object.assign(document.createElement("th"), { scope: "row", textContent: label });
    if (unit) head.append(" ", Object.assign(document.createElement("small"), { textContent: unit }));
    row.append(head, ...spread.map((one) => Object.assign(document.createElement("td"), { textContent: one })));
    return row;
  });
  part("spread").tBodies[0].replaceChildren(...rows);
}

/** `12:05.4`, minutes and seconds (app/pages/log_charts.py's clock_in). */
function clock(seconds) {
  const tenths = Math.round(seconds * 10);
  return `${Math.floor(tenths / 600)}:${String(Math.floor(tenths / 10) % 60).padStart(2, "0")}.${tenths % 10}`;
}

const channelsOf = () => told.channels.map((one) => `channel=${encodeURIComponent(one.name)}`).join("&");

// Around `middle`, `wide` seconds of the log.
function around(middle, wide) {
  const all = Number(section.dataset.seconds);
  const shown = Math.min(all, Math.max(wide, 0.5));
  const from = Math.min(Math.max(0, middle - shown / 2), all - shown);
  return show(`from=${from.toFixed(3)}&to=${(from + shown).toFixed(3)}&${channelsOf()}`);
}

function move(event) {
  const link = event.target.closest("a[data-way], a[data-stretch]");
  if (!link || told === null || event.metaKey || event.ctrlKey) return;
  event.preventDefault();
  if (link.dataset.stretch) {
    const [from, to] = link.dataset.stretch.split(" ").map(Number);
    at = (from + to) / 2;
    around(at, to - from + 4);
    section.scrollIntoView();
  } else if (["closer", "wider"].includes(link.dataset.way)) {
    // About the line, so that what is read stays in sight.
    const wide = (told.to - told.from) * (link.dataset.way === "closer" ? 0.5 : 2);
    around(link.dataset.way === "closer" ? at : (told.from + told.to) / 2, wide);
  } else show(told.ways[link.dataset.way]);
}

// One finger reads, two pull the time apart; what they do is only drawn anew once they are off.
const fingers = new Map();
let pinched = null;

function placeOf(event) {
  const { left, width } = plots[0].over();
  return told.from + Math.min(1, Math.max(0, (event.clientX - left) / width)) * (told.to - told.from);
}

function touch(event) {
  if (told === null || plots.length === 0) return;
  if (event.type === "pointerdown") fingers.set(event.pointerId, { begun: event.clientX, now: event.clientX });
  else if (fingers.has(event.pointerId)) fingers.get(event.pointerId).now = event.clientX;
  if (fingers.size === 2) {
    const [a, b] = [...fingers.values()];
    pinched = { by: Math.max(8, Math.abs(a.now - b.now)) / Math.max(8, Math.abs(a.begun - b.begun)), x: (a.begun + b.begun) / 2 };
  } else if (fingers.size === 1 && pinched === null) {
    at = placeOf(event);
    read();
  }
}

function release(event) {
  fingers.delete(event.pointerId);
  if (fingers.size > 0 || pinched === null) return;
  const { by, x } = pinched;
  pinched = null;
  around(placeOf({ clientX: x }), (told.to - told.from) / by);
}

function slid({ target }) {
  at = told.from + (Number(target.value) / 1000) * (told.to - told.from);
  read();
}

if (section && window.uPlot) {
  part("plots").hidden = false;
  section.querySelector(".slide").hidden = false;
  document.addEventListener("click", move);
  part("slide").addEventListener("input", slid);
  for (const type of ["pointerdown", "pointermove"]) part("plots").addEventListener(type, touch);
  for (const type of ["pointerup", "pointercancel", "pointerleave"]) part("plots").addEventListener(type, release);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => told && draw());
  addEventListener("resize", () => told && draw());
  show(location.search.slice(1), { push: false });
}
