// Answers the pages under /workings on the phone, with or without the garage, as app/pages/working_answers.py does.
//
// The figures come with the page (<script type="application/json" id="numbers">): units, wrenches, the tables of bolts
// and clamps. The form says which working it is (data-working); an element with data-answer says where an answer goes,
// one with data-wrong what is wrong with a box.

import { figure, number, percent } from "./words.js";

const NO_NUMBER = "Write a number, such as 5 or 5.5.";
const NOT_ABOVE = "This has to be above zero.";
const BEYOND = "Nobody means a figure as large as this.";
const ANGLE = "The extension stands at 0 to 180 degrees.";
const FOLDED = "Folded back past the hand it turns the fastener the wrong way.";
const NO_FIGURE = "No published figure for a band of this width. The maker of the clamp has the word.";
const NO_THREAD = "Write a metric thread, such as M10 or M12x1.5.";

const THREAD = /^m\s*(\d{1,2}(?:[.,]\d{1,2})?)(?:\s*[x×*]\s*(\d(?:[.,]\d{1,3})?))?$/i;
const LARGEST_MM = 64;
const THICK_MM = 16;
const BACK = /^\/(jobs|rechecks|fasteners|cars)(\/[A-Za-z0-9._-]+)+$/;

/** What a working says of what was typed: {says: {place: text}, wrong: {box: text}}. */
export function answers(name, typed, numbers) {
  const boxes = new Boxes(typed, numbers);
  return { says: WORKINGS[name](boxes, numbers) ?? {}, wrong: boxes.wrong };
}

class Boxes {
  constructor(typed, numbers) {
    this.typed = typed;
    this.numbers = numbers;
    this.wrong = {};
  }

  text(name) {
    return (this.typed[name] ?? "").trim();
  }

  figure(name, { zero = false } = {}) {
    const text = this.text(name);
    if (text === "") return null;
    const value = figure(text);
    if (!Number.isFinite(value)) this.wrong[name] = NO_NUMBER;
    else if (value < 0 || (value === 0 && !zero)) this.wrong[name] = NOT_ABOVE;
    else if (value > this.numbers.largest) this.wrong[name] = BEYOND;
    else return value;
    return null;
  }

  get unit() {
    return this.numbers.units[this.text("unit")] ?? this.numbers.units["N.m"];
  }

  get isWrong() {
    return Object.keys(this.wrong).length > 0;
  }
}

function extension(boxes, { wrenches }) {
  const wrench = wrenches[boxes.text("wrench")];
  const [torque, longer] = [boxes.figure("torque"), boxes.figure("extension", { zero: true })];
  const angle = boxes.figure("angle", { zero: true });
  const lever = boxes.text("lever") === "" ? (wrench?.lever ?? null) : boxes.figure("lever");
  if (angle > 180) boxes.wrong.angle = ANGLE;
  if (torque === null || lever === null || longer === null || boxes.isWrong) return {};
  const reach = lever + longer * Math.cos(((angle ?? 0) * Math.PI) / 180);
  if (reach <= 0) {
    boxes.wrong.extension = FOLDED;
    return {};
  }
  const setting = (torque * lever) / reach;
  const says = { setting: `${three(setting)} ${boxes.unit.label}` };
  if (wrench && !reaches(wrench, setting * boxes.unit.one)) {
    says.beyond = `Beyond what ${wrench.name} sets: ${wrench.range}. Use another wrench.`;
  }
  return says;
}

const reaches = ({ least, most }, torque) => torque >= least * (1 - 1e-9) && torque <= most * (1 + 1e-9);

function bolt(boxes, { bolts }) {
  const [torque, strength] = [boxes.figure("torque"), boxes.text("strength")];
  if (boxes.text("thread") === "" || !(strength in bolts.proof) || boxes.isWrong) return {};
  const thread = threadNamed(boxes, bolts);
  if (thread === null) return {};
  const { diameter, pitch } = thread;
  const area = (Math.PI / 4) * ((2 * diameter - (0.6495 + 1.2269) * pitch) / 2) ** 2;
  const proof = area * bolts.proof[strength][diameter > THICK_MM ? 1 : 0];
  const { unit } = boxes;
  const usual = (factor) => `${three((factor * diameter * 1e-3 * bolts.usual * proof) / unit.one)} ${unit.label}`;
  const says = {
    bolt: `M${diameter}×${pitch}, ${strength}`,
    area: `${three(area)} mm²`,
    proof: `${three(proof / 1000)} kN`,
    usual: `${usual(bolts.factors.dry)} dry, ${usual(bolts.factors.oiled)} oiled`,
  };
  if (torque === null) return says;
  for (const [name, factor] of Object.entries(bolts.factors)) {
    const load = (torque * unit.one) / (factor * diameter * 1e-3);
    says[name] = `${three(load / 1000)} kN, ${percent(load / proof)} of its proof load`;
    // Dry comes first, and what is too much for a dry thread is too much for an oiled one.
    const where = says.past ? ", dry or oiled" : ` ${name}`;
    if (load / proof >= 1) says.past = `Past the proof load${where}: the bolt is stretched for good, or breaks.`;
  }
  return says;
}

function threadNamed(boxes, { coarse }) {
  const found = THREAD.exec(boxes.text("thread"));
  const says = (wrong) => {
    boxes.wrong.thread = wrong;
    return null;
  };
  if (found === null) return says(NO_THREAD);
  const diameter = figure(found[1]);
  const pitch = found[2] ? figure(found[2]) : (coarse[diameter] ?? 0);
  if (pitch <= 0) return says(`Write the pitch of M${diameter}, too: M${diameter}x1.5.`);
  if (diameter < 1 || diameter > LARGEST_MM || pitch > diameter / 3) return says(`There is no thread M${diameter}x${pitch}.`);
  return { diameter, pitch };
}

function torqueUnits(boxes, { units }) {
  const [torque, from] = [boxes.figure("torque"), boxes.unit];
  if (torque === null) return {};
  const each = Object.values(units);
  return Object.fromEntries(each.map((to) => [to.place, `${three(to === from ? torque : (torque * from.one) / to.one)} ${to.label}`]));
}

function hoseClamp(boxes, { clamps, near, units }) {
  const band = boxes.figure("band");
  if (band === null) return {};
  const off = ([width]) => Math.abs(width - band);
  const found = clamps.filter((row) => off(row) <= near).sort((a, b) => off(a) - off(b) || a[0] - b[0]);
  const pounds = (torque) => number(torque / units["lbf.in"].one, 0);
  const says = found.map(([width, fresh, reused, source], n) => {
    const [torque, either] = boxes.text("hose") === "new" ? fresh : reused;
    const both = `${number(torque, 1)} ± ${number(either, 1)} N·m (${pounds(torque)} ± ${pounds(either)} lbf·in)`;
    return [`figure${n + 1}`, `${both}: ${number(width)} mm band, ${source}`];
  });
  return says.length > 0 ? Object.fromEntries(says) : { none: NO_FIGURE };
}

function air(boxes, { air: { units, standard, lapse, exponent, weather, range, highest, says } }) {
  const unit = units[boxes.text("unit")] ?? units.mbar;
  const [pressure, height] = [boxes.figure("pressure"), boxes.figure("height", { zero: true })];
  const kpa = pressure === null ? null : pressure * unit.one;
  if (kpa !== null && (kpa < range[0] || kpa > range[1])) boxes.wrong.pressure = says.none;
  if (height > highest) boxes.wrong.height = says.high;
  if (kpa === null || height === null || boxes.isWrong) return {};
  const said = (figure) => `${number(figure / unit.one, unit.places)} ${unit.label}`;
  const usual = said(standard * (1 - lapse * height) ** exponent);
  const moved = (sign) => (kpa ** (1 / exponent) + sign * standard ** (1 / exponent) * lapse * height) ** exponent;
  const isWeather = (at) => at >= weather[0] && at <= weather[1];
  if (isWeather(moved(1)) && !isWeather(kpa)) return { own: says.own, standard: usual };
  return { station: said(moved(-1)), standard: usual, off: said(kpa - moved(-1)) };
}

const WORKINGS = { extension, bolt, "torque-units": torqueUnits, "hose-clamp": hoseClamp, air };

// No finer than a wrench can be read.
function three(value) {
  return number(value, value >= 1000 ? 0 : value >= 10 ? 1 : value >= 0.1 ? 2 : 4);
}

function write(form, numbers) {
  const typed = Object.fromEntries(new FormData(form));
  const { says, wrong } = answers(form.dataset.working, typed, numbers);
  for (const element of document.querySelectorAll("[data-answer]")) {
    element.textContent = says[element.dataset.answer] ?? "";
    const row = element.closest("[data-while]") ?? element;
    row.hidden = element.textContent === "";
  }
  for (const element of document.querySelectorAll("[data-wrong]")) {
    const said = wrong[element.dataset.wrong] ?? "";
    element.textContent = said;
    element.hidden = said === "";
    form.elements.namedItem(element.dataset.wrong).toggleAttribute("aria-invalid", said !== "");
    if (said !== "") form.elements.namedItem(element.dataset.wrong).setAttribute("aria-invalid", "true");
  }
  document.getElementById("nothing").hidden = Object.keys(says).length > 0;
}

// A page that came out of the phone's memory was kept without what its address says.
function fillIn(form) {
  for (const [name, value] of new URLSearchParams(location.search)) {
    const control = form.elements.namedItem(name);
    if (control !== null && control.type !== "hidden") control.value = value;
    if (name === "back" && BACK.test(value)) document.querySelector(".top > a:last-child").href = value;
  }
}

const form = document.querySelector("form[data-working]");
if (form) {
  const numbers = JSON.parse(document.getElementById("numbers").textContent);
  fillIn(form);
  write(form, numbers);
  form.addEventListener("input", () => write(form, numbers));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    write(form, numbers);
    document.getElementById("answer").scrollIntoView({ block: "nearest" });
  });
}
