// The page of a leak's size, answered on the phone, with or without the garage, as app/pages/hole_answers.py does.
//
// What it reckons with, and the sentences, come with the page (<script type="application/json" id="numbers">). A form
// says by which way (data-hole); data-answer says where an answer goes, data-wrong what is wrong with a box, data-size
// a form that puts the size on a ticket.

import { Untold, leaks } from "./hole-leak.js";
import { figure, number } from "./words.js";

const WORTH_SAYING_KPA = 0.1;
const DIGITS = /^[+-]?\d*\.?(\d*)(?:e([+-]?\d{1,3}))?$/i;

/** What is told of what was typed: {says: {place: text}, wrong: {box: text}}. */
export function answers(way, typed, numbers) {
  if (numbers.cant[way]) return { says: { untold: numbers.cant[way] }, wrong: {} };
  const boxes = new Boxes(typed, numbers);
  let found;
  try {
    found = WAYS[way](boxes, leaks(numbers), numbers.says);
  } catch (error) {
    if (!(error instanceof Untold)) throw error;
    return { says: boxes.isWrong ? {} : { untold: error.message }, wrong: boxes.wrong };
  }
  if (found === null || boxes.isWrong) return { says: {}, wrong: boxes.wrong };
  const beside = [...found.beside];
  if (boxes.supposed.length > 0) beside.push(said(numbers.says.supposed, { parts: boxes.supposed.join("; ") }));
  const says = told(found.leak, numbers);
  beside.forEach((text, place) => (says[`beside${place + 1}`] = text));
  return { says, wrong: {} };
}

const said = (text, filled) => text.replaceAll(/\{(\w+)\}/g, (_, name) => filled[name]);

function halfADigit(text) {
  const found = DIGITS.exec(text.replaceAll(/[ \u00a0]/g, "").replace("\u2212", "-").replaceAll(",", "."));
  return found ? 0.5 * 10 ** (Number(found[2] ?? 0) - found[1].length) : 0.5;
}

class Boxes {
  constructor(typed, numbers) {
    Object.assign(this, { typed, numbers, wrong: {}, supposed: [] });
  }

  text(name) {
    return (this.typed[name] ?? "").trim();
  }

  get isWrong() {
    return Object.keys(this.wrong).length > 0;
  }

  read(name) {
    const text = this.text(name);
    if (text === "") return null;
    const { says, limits } = this.numbers;
    const value = figure(text);
    const [low, high] = limits[name];
    if (!Number.isFinite(value)) this.wrong[name] = says.number;
    else if (value < low || value > high) this.wrong[name] = said(says.limits, { low: number(low), high: number(high) });
    else return [value, halfADigit(text)];
    return null;
  }

  // Of a box that has to be above nought even at the least it may have been.
  figure(name) {
    const found = this.read(name);
    return found && [found[0], Math.min(found[1], found[0] / 2)];
  }

  scaled(name, one) {
    const found = this.figure(name);
    return found && [found[0] * one, found[1] * one];
  }

  orSupposed(name, of = name) {
    const found = this.read(name);
    if (found !== null || name in this.wrong) return found ?? [0, 0];
    const [value, within, what, unit] = this.numbers.supposed[of];
    return this.suppose([value, within], what, unit);
  }

  suppose([value, within], what, unit) {
    this.supposed.push(`${what} ${number(value, 0)} ± ${number(within, 0)} ${unit}`);
    return [value, within];
  }

  get air() {
    const found = this.read("air");
    const [kpa, weather] = this.numbers.air;
    if (found !== null || "air" in this.wrong) return found ?? [kpa, 0];
    return this.suppose([kpa, weather], "air around", "kPa");
  }

  pressure(name, air) {
    const [found, give] = [this.read(name), this.read("give")];
    if (found === null) return null;
    const one = this.numbers.kpa[this.text("unit")] ?? 1;
    const sign = this.numbers.signs[this.text("basis")] ?? 0;
    const gauge = [found[0] * one, (give?.[0] ?? found[1]) * one, sign];
    const kpa = sign ? air[0] + sign * gauge[0] : gauge[0];
    const [low, high] = this.numbers.absolute;
    if (kpa >= low && kpa <= high) return gauge;
    this.wrong[name] = this.numbers.says.pressure;
    return null;
  }

  get airflow() {
    return this.scaled("airflow", this.numbers.gs[this.text("airflow_unit")] ?? 1);
  }

  trim(name) {
    const found = this.read(name);
    return found && [found[0], Math.max(found[1], this.numbers.trim)];
  }

  get usualTrim() {
    const [found, wander] = [this.trim("trim"), this.read("wander")];
    if (found === null) return this.orSupposed("trim");
    return wander === null ? found : [found[0], Math.max(found[1], wander[0])];
  }

  temperatures(seconds) {
    const [first, last] = [this.read("start"), this.read("end")];
    if (first !== null && last !== null) return [first, [last[0] - first[0], first[1] + last[1]]];
    const [, isothermalFrom, short, long] = this.numbers.hold;
    return [this.orSupposed("start"), this.suppose([0, seconds >= isothermalFrom ? long : short], "change of temperature", "°C")];
  }

  engine(temperature, filling) {
    const litres = this.figure("litres");
    if (litres === null) return null;
    const [value, within] = this.orSupposed("ve", filling);
    return [litres, [value / 100, within / 100], this.orSupposed("charge", temperature)];
  }
}

function untold(text) {
  throw new Untold(text);
}

function trims(boxes, { byTrims }) {
  const { air, airflow } = boxes;
  const [short, long, usual] = [boxes.trim("short"), boxes.trim("long"), boxes.usualTrim];
  const [manifold, temp] = [boxes.pressure("now", air), boxes.orSupposed("temp")];
  if (airflow === null || short === null || long === null || boxes.isWrong) return null;
  return { leak: byTrims({ airflow, short, long, usual, manifold, air, temp }), beside: [] };
}

function vacuum(boxes, { byIdleVacuum }, says) {
  const { air } = boxes;
  const [now, usual] = [boxes.pressure("now", air), boxes.pressure("usual", air)];
  const [speed, usualSpeed] = [boxes.figure("rpm"), boxes.figure("rpm_usual")];
  const [temp, healthy] = [boxes.orSupposed("temp"), boxes.figure("idle_gs")];
  const engine = healthy ? null : boxes.engine("manifold", "ve_vacuum");
  if (now === null || usual === null || speed === null || boxes.isWrong) return null;
  if (!healthy && !engine) untold(says.no_engine);
  return { leak: byIdleVacuum({ usual, now, speed, usualSpeed, healthy, engine, air, temp }), beside: [says.held_open] };
}

function hold(boxes, { byHold }, says) {
  const { air } = boxes;
  const [before, after] = [boxes.pressure("before", air), boxes.pressure("after", air)];
  const took = boxes.scaled("took", boxes.numbers.seconds[boxes.text("took_unit")] ?? 1);
  const volume = boxes.figure("volume");
  if (before === null || after === null || took === null || boxes.isWrong) return null;
  const [start, rise] = boxes.temperatures(took[0]);
  if (boxes.isWrong) return null;
  if (volume === null) untold(says.no_volume);
  const leak = byHold({ volume, before, after, took, air, start, rise });
  const beside = took[0] < boxes.numbers.hold[1] ? [says.heat] : [];
  if (boxes.text("start") === "" || boxes.text("end") === "") return { leak, beside: [...beside, says.cold] };
  const kpa = before[2] ? air[0] + before[2] * before[0] : before[0];
  const { kelvin } = boxes.numbers.gas;
  const off = Math.abs(kpa * (1 - (start[0] + rise[0] + kelvin) / (start[0] + kelvin)));
  return { leak, beside: off >= WORTH_SAYING_KPA ? [...beside, said(says.cooling, { kpa: number(off, 1) })] : beside };
}

function boost(boxes, { byBoost }, says) {
  const { air } = boxes;
  const [target, reached] = [boxes.pressure("target", air), boxes.pressure("reached", air)];
  const [speed, metered, engine] = [boxes.figure("rpm"), boxes.airflow, boxes.engine("charge", "ve_boost")];
  if (target === null || reached === null || speed === null || boxes.isWrong) return null;
  if (!engine) untold(says.no_displacement);
  const beside = metered ? [says.boost_too] : [says.boost_too, says.as_much];
  return { leak: byBoost({ target, reached, speed, engine, metered, air }), beside };
}

const WAYS = { trims, vacuum, hold, boost };

function told({ flow, hole }, numbers) {
  const { says, sizes, pinhole, open, litre } = numbers;
  const classOf = (mm) => (mm < pinhole ? "pinhole" : mm < open ? "small" : "open");
  const widest = `${figured(hole[2])} mm`;
  const size = flow[0] > 0 ? classOf(hole[1]) : hole[2] < pinhole ? "none" : null;
  if (size === null) return { untold: said(says.anything, { hole: widest }) };
  if (size === "none" && flow[2] < 0) return { size, means: says.other_way };
  const litres = flow.map((each) => (each / litre) * 60);
  const found = { size, flow: inUnit(flow, "g/s", "mg/s", 0.001), litres: inUnit(litres, "l/min", "ml/min", 0.1), hole: spread(hole, 1, "mm") };
  if (size === "none") return { ...found, means: said(says.none, { hole: widest }) };
  found.means = says[size];
  const others = [...new Set(hole.map(classOf))].filter((one) => one !== size).map((one) => sizes[one]);
  if (others.length > 0) found.also = said(says.also, { classes: others.join(" or ") });
  if (numbers.bores.length > 0) found.bores = bores(hole, numbers);
  return found;
}

function bores([low, , high], { bores: all, says }) {
  const within = all.filter(([, mm]) => low <= mm && mm <= high);
  const named = (within.length > 0 ? within : all.slice(0, 1)).map(([name, mm]) => `${name} (${number(mm)} mm)`);
  if (within.length > 0) {
    const more = named.length > 3 ? [`${named.length - 3} more`] : [];
    return said(says.as_wide, { lines: [...named.slice(0, 3), ...more].join(", ") });
  }
  if (high < all[0][1]) return said(says.narrower, { lines: named[0] });
  return low > all.at(-1)[1] ? says.wider : says.between;
}

const inUnit = (span, usual, small, below) => (span[2] < below ? spread(span, 1000, small) : spread(span, 1, usual));

function spread([low, value, high], times, unit) {
  if (low <= 0) return `0 to ${figured(high * times)} ${unit}`;
  return `${figured(value * times)} ${unit} (${figured(low * times)} to ${figured(high * times)})`;
}

function figured(value) {
  return number(value, value >= 100 ? 0 : value >= 10 ? 1 : value >= 0.1 ? 2 : value >= 0.01 ? 3 : 4);
}

function write(form, numbers) {
  const { says, wrong } = answers(form.dataset.hole, Object.fromEntries(new FormData(form)), numbers);
  for (const element of document.querySelectorAll("[data-answer]")) {
    element.textContent = says[element.dataset.answer] ?? "";
    (element.closest("[data-while]") ?? element).hidden = element.textContent === "";
  }
  for (const element of form.querySelectorAll("[data-wrong]")) {
    const box = form.elements.namedItem(element.dataset.wrong);
    const text = wrong[element.dataset.wrong] ?? "";
    element.textContent = text;
    element.hidden = text === "";
    if (text === "") box.removeAttribute("aria-invalid");
    else box.setAttribute("aria-invalid", "true");
  }
  for (const put of document.querySelectorAll("[data-size]")) {
    put.hidden = says.size === undefined;
    for (const button of put.querySelectorAll("button")) button.value = says.size ?? "";
  }
  document.getElementById("nothing").hidden = Object.keys(says).length > 0;
}

function choose(way) {
  for (const form of document.querySelectorAll("form[data-hole]")) form.hidden = form.dataset.hole !== way;
  for (const link of document.querySelectorAll("a[data-way]")) {
    if (link.dataset.way === way) link.setAttribute("aria-current", "true");
    else link.removeAttribute("aria-current");
  }
  return document.querySelector(`form[data-hole="${way}"]`);
}

// A page that came out of the phone's memory was kept without what its address says.
function fillIn(asked) {
  const form = choose(asked.get("way"));
  for (const [name, value] of asked) {
    const control = form.elements.namedItem(name);
    if (control !== null && control.type !== "hidden") control.value = value;
  }
  return form;
}

const shown = document.querySelector("form[data-hole]:not([hidden])");
if (shown) {
  const numbers = JSON.parse(document.getElementById("numbers").textContent);
  const asked = new URLSearchParams(location.search);
  let form = Object.hasOwn(WAYS, asked.get("way")) ? fillIn(asked) : shown;
  write(form, numbers);
  document.addEventListener("laid", () => write(form, numbers)); // a ticket opened on this phone has come to those listed
  document.addEventListener("input", ({ target }) => target.form === form && write(form, numbers));
  document.addEventListener("submit", (event) => {
    if (event.target !== form) return;
    event.preventDefault();
    write(form, numbers);
    document.getElementById("answer").scrollIntoView({ block: "nearest" });
  });
  document.addEventListener("click", (event) => {
    const link = event.target.closest?.("a[data-way]");
    if (!link) return;
    event.preventDefault();
    form = choose(link.dataset.way);
    history.replaceState(null, "", link.href);
    write(form, numbers);
  });
}
