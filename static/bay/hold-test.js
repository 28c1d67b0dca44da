// Times a hold test on the phone: what is set up, the clock, the readings and the curve, and what it says in the end.
//
// The moments are those of the phone's clock, and lie in its memory from the tap on: a page loaded again, a screen asleep
// or a tab that was closed loses nothing. The form itself is kept and sent as every other (capture.js); this fills it.

import { judge, picture, wrongWith } from "./hold-decay.js";
import { onChange, waiting } from "./outbox.js";
import { recall, remember } from "./store.js";
import { figure, moment, number } from "./words.js";

const TICK_MS = 500;
const METHOD = { vacuum: "hand_vacuum_pump", pressure: "pressure_test" };
const SAYS = { yes: "Holds", no: "Leaks", "": "Too soon to tell" };
const RESULT = { yes: "sound", no: "fault", "": "unclear" };
const OWN = new Set(["entry", "record", "job", "now_value", "started_at", "ended_at", "end_value", "readings"]);
const WORKED_OUT = new Set(["passed", "hole_mm", "good", "result", "method", "summary"]);

const form = document.getElementById("hold-test");
const numbers = JSON.parse(document.getElementById("numbers").textContent);
const note = `hold test ${form.dataset.car}`;
const byId = (id) => document.getElementById(id);
const box = (name) => form.elements.namedItem(name);
const typed = (name) => box(name).value.trim();
const known = (name) => (typed(name) === "" ? null : figure(typed(name)));
const unit = () => box("unit").selectedOptions[0].text;
const one = () => numbers.units[typed("unit")];
// {id, stage, at, readings: [{at, value}], pending, values}: `at` when it was started, `pending` when the gauge was read.
let draft = { stage: "set", values: {} };
let lines = () => ({});

/** A length of time as a clock shows it: 0:45, 12:05, 1:02:30. */
export function lasted(seconds) {
  const whole = Math.floor(Math.max(0, seconds));
  const pad = (n) => String(n).padStart(2, "0");
  const [hours, minutes] = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60];
  return hours ? `${hours}:${pad(minutes)}:${pad(whole % 60)}` : `${minutes}:${pad(whole % 60)}`;
}

/** A figure nobody read off a gauge, no finer than one could: three digits or so. */
export function reckoned(value) {
  const size = Math.abs(value);
  return number(value, size >= 100 ? 0 : size >= 10 ? 1 : size >= 1 ? 2 : 3);
}

const save = () => remember(note, draft).catch(() => {});
const isEnded = () => draft.stage === "end";
const seconds = (at) => Math.max(0.1, Math.round((at - draft.at) / 100) / 10);

// What the boxes and the clock say, as it is judged. A time ends exactly where it ends; between, tenths are fine enough.
function testNow() {
  fillLimit();
  const readings = (draft.readings ?? []).map(({ at, value }, n, all) => {
    const isEnd = isEnded() && n === all.length - 1;
    return [isEnd ? Math.max(1, at - draft.at) / 1e3 : seconds(at), figure(value) * one()];
  });
  return {
    vacuum: typed("medium") === "vacuum",
    around: known("ambient_kpa") ?? 101.325,
    start: known("start_value") * one(),
    readings,
    limit: known("limit_loss") * one(),
    limitS: known("limit_s"),
    startC: known("start_c"),
    endC: known("end_c"),
    volume: volume(),
  };
}

function fillLimit() {
  if (typed("limit_from") !== "practice") return;
  const [share, time] = numbers.practice[typed("medium")];
  const start = known("start_value");
  box("limit_loss").value = start > 0 ? String(Number((start * share).toPrecision(6))) : "";
  box("limit_s").value = String(time);
}

function volume() {
  const [bore, length] = [known("bore_mm"), known("length_mm")];
  if (typed("volume_ml") === "" && bore > 0 && length > 0) return Number(((Math.PI / 4 / 1e3) * bore * bore * length).toPrecision(4));
  return known("volume_ml") > 0 ? known("volume_ml") : null;
}

// Why it can't be started yet; null if it can.
function notYet() {
  if ((typed("line") === "") === (typed("branch") === "")) return form.dataset.oneSays;
  const figures = ["start_value", "ambient_kpa", "volume_ml", "bore_mm", "length_mm", "most_value", "start_c", "limit_loss", "limit_s"];
  const odd = figures.find((name) => known(name) !== null && !Number.isFinite(known(name)));
  if (odd) return `“${typed(odd)}” is no number. Write one such as 5 or 5.5.`;
  if (typed("start_value") === "") return "Write what the gauge shows, with the test shut, and start then.";
  const test = testNow();
  const most = known("most_value") === null ? numbers.most : known("most_value") * one();
  if (!test.vacuum && test.start > most * (1 + 1e-9)) {
    return `That is above the limit of ${number(most / one())} ${unit()}. Let air off first, or write the maker’s figure.`;
  }
  return wrongWith(test);
}

function tell(id, sentence) {
  byId(id).textContent = sentence ?? "";
  byId(id).hidden = !sentence;
}

const acts = {
  start() {
    const wrong = notYet();
    tell("not-yet", wrong);
    if (wrong) return;
    draft = { id: crypto.randomUUID(), stage: "run", at: Date.now(), readings: [], values: {} };
  },
  again() {
    draft = draft.was;
  },
  drop() {
    draft = { stage: "set", values: {}, was: { ...draft, values: valuesNow() } };
  },
  read() {
    draft.pending = Date.now();
    box("now_value").value = "";
  },
  not() {
    draft.pending = null;
  },
  note: () => take("run"),
  end: () => take("end"),
  back() {
    draft.readings.pop();
  },
  on() {
    draft.stage = "run";
    draft.readings.pop();
  },
};

function take(stage) {
  const value = figure(typed("now_value"));
  const isFigure = typed("now_value") !== "" && Number.isFinite(value) && value >= 0;
  tell("reading-wrong", isFigure ? null : "Write what the gauge shows, such as 0.68; level with the air around is 0.");
  if (!isFigure) return;
  draft.readings.push({ at: draft.pending, value: String(value) });
  draft.pending = null;
  draft.stage = stage;
}

async function act(what) {
  acts[what]();
  draft.values = valuesNow();
  await save();
  show();
  if (what === "read") box("now_value").focus();
  else if (["start", "end", "drop", "again"].includes(what)) scrollTo(0, 0);
}

function valuesNow() {
  const values = {};
  for (const control of form.elements) {
    if (!control.name || OWN.has(control.name) || WORKED_OUT.has(control.name)) continue;
    if (control.type === "checkbox") values[control.name] = control.checked;
    else if (control.type !== "radio" || control.checked) values[control.name] = control.value;
  }
  return values;
}

function putBack(values) {
  for (const control of form.elements) {
    if (!(control.name in values)) continue;
    if (control.type === "radio") control.checked = control.value === values[control.name];
    else if (control.type === "checkbox") control.checked = values[control.name];
    else control.value = values[control.name];
  }
}

function show() {
  form.dataset.stage = draft.stage;
  form.querySelector('[data-do="again"]').hidden = !draft.was;
  leadBack();
  if (draft.stage === "set") return;
  form.dataset.begun = draft.id; // kept twice, it is one test
  byId("what-runs").textContent = `${whatIs()}, started ${moment(new Date(draft.at).toISOString())} at ${figure(typed("start_value"))} ${unit()}`;
  const isPending = Boolean(draft.pending);
  byId("reading").hidden = !isPending;
  byId("to-read").hidden = isPending;
  form.querySelector('[data-do="back"]').hidden = isPending || draft.readings.length === 0;
  if (isPending) byId("read-at").textContent = lasted(seconds(draft.pending));
  byId("read-unit").textContent = unit();
  byId("read").replaceChildren(...draft.readings.map(rowOf));
  tick();
}

const whatIs = () => (typed("line") ? box("line").selectedOptions[0].text : typed("branch"));

function rowOf({ at, value }) {
  const row = byId("one-read").content.firstElementChild.cloneNode(true);
  row.querySelector('[data-part="value"]').textContent = `${value} ${unit()}`;
  row.querySelector('[data-part="at"]').textContent = `after ${lasted((at - draft.at) / 1e3)}`;
  return row;
}

// What moves while the clock runs.
function tick() {
  if (draft.stage === "set") return;
  const test = testNow();
  const elapsed = isEnded() ? test.readings.at(-1)[0] : Math.max(0, Date.now() - draft.at) / 1e3;
  byId("clock-says").textContent = isEnded() ? "It was timed for" : "Since the start";
  byId("clock").textContent = lasted(elapsed);
  byId("clock-until").textContent = elapsed < test.limitS ? `The limit counts ${lasted(test.limitS)}` : isEnded() ? "" : "The limit’s time is over: read the gauge";
  if (wrongWith(test) !== null) return;
  const judged = test.readings.length > 0 ? judge(test) : null;
  draw(picture(test, judged, elapsed), isEnded() ? null : elapsed);
  sayVerdict(test, judged);
  if (isEnded()) fill(test, judged);
}

function draw({ limit, fit, dots, low, high, last, now }, elapsed) {
  const svg = form.querySelector(".held");
  svg.querySelector(".just").setAttribute("points", limit);
  svg.querySelector(".fit").setAttribute("points", fit);
  svg.querySelector(".clock").setAttribute("d", elapsed === null ? "" : `M${now.toFixed(1)} 12 V168`);
  const circles = dots.map(([x, y]) => {
    const circle = document.createElementNS("http://www.w3.org/2000/svg", "circle");
    for (const [name, value] of Object.entries({ cx: x.toFixed(1), cy: y.toFixed(1), r: 5 })) circle.setAttribute(name, value);
    return circle;
  });
  svg.querySelector(".dots").replaceChildren(...circles);
  svg.querySelector(".top").textContent = reckoned(high / one());
  svg.querySelector(".bottom").textContent = reckoned(low / one());
  svg.querySelector(".last").textContent = lasted(last);
}

const passedIn = ({ passed }) => (passed === null ? "" : passed ? "yes" : "no");

function sayVerdict(test, judged) {
  const plate = byId("verdict");
  plate.hidden = judged === null;
  if (judged === null) return;
  const part = (name) => plate.querySelector(`[data-part="${name}"]`);
  const passed = passedIn(judged);
  for (const ring of plate.querySelectorAll("[data-verdict]")) ring.hidden = ring.dataset.verdict !== passed;
  // Said anew at every tick it would be read out at every tick.
  if (part("verdict").textContent !== SAYS[passed]) part("verdict").textContent = SAYS[passed];
  part("why").textContent = `In ${lasted(test.limitS)} it loses ${reckoned(judged.atLimit / one())} ${unit()}; ${number(typed("limit_loss"), 3)} may be lost`;
  part("hole").textContent = judged.hole === null ? "not known" : `${number(judged.hole, 3)} mm`;
  part("fast").textContent = judged.hole === null ? "Without a volume nobody can say" : `${number(judged.fast, 3)} mm had no heat got across`;
  const cooled = `${reckoned(Math.abs(judged.cooling) / one())} ${unit()}`;
  part("cooling-row").hidden = judged.cooling === 0;
  part("cooling").textContent = judged.cooling > 0 ? `${cooled} were lost by it alone; taken off` : `It hid ${cooled} of the loss; taken off`;
}

// The boxes that nobody types into.
function fill(test, judged) {
  const passed = passedIn(judged);
  const said = {
    started_at: new Date(draft.at).toISOString(),
    ended_at: new Date(draft.at + Math.round(test.readings.at(-1)[0] * 1e3)).toISOString(),
    end_value: draft.readings.at(-1).value,
    readings: draft.readings.slice(0, -1).map(({ at, value }) => `${seconds(at)} ${value}`).join("; "),
    passed,
    hole_mm: judged.hole === null ? "" : String(Number(judged.hole.toPrecision(4))),
    good: passed,
    result: RESULT[passed],
    method: METHOD[typed("medium")],
    summary: summaryOf(test, judged),
  };
  for (const [name, value] of Object.entries(said)) box(name).value = value;
  if (test.volume !== null) box("volume_ml").value = String(test.volume);
  if (test.vacuum) box("most_value").value = "";
}

function summaryOf(test, judged) {
  const hole = judged.hole === null ? "" : `, a hole of ${number(judged.hole, 3)} mm`;
  const figures = `${figure(typed("start_value"))} to ${draft.readings.at(-1).value} ${unit()}`;
  return `Hold test, ${typed("medium")}: ${figures} in ${lasted(test.readings.at(-1)[0])}${hole}`;
}

// A test for a fault leads back to its ticket.
function leadBack() {
  const ticket = typed("ticket");
  const { car } = form.dataset;
  const back = `/tickets/${encodeURIComponent(ticket)}?car=${encodeURIComponent(car)}`;
  form.dataset.then = ticket ? back : "/hold-tests/{record}";
  form.dataset.thenAway = ticket ? back : `/cars/${encodeURIComponent(car)}/hold-tests`;
}

function choose(name) {
  if (name === "medium" && !("typed" in box("unit").dataset)) box("unit").value = numbers.usual[typed("medium")];
  if (name !== "line") return;
  const { bore_mm: bore = "", length_mm: length = "" } = lines(typed("line"));
  for (const [size, value] of [["bore_mm", bore], ["length_mm", length]]) {
    if (!("typed" in box(size).dataset)) box(size).value = value ?? "";
  }
}

function takeOver() {
  for (const name of ["started_at", "ended_at", "end_value"]) box(name).type = "hidden";
  for (const part of form.querySelectorAll("[data-scripts]")) part.hidden = false;
  form.addEventListener("click", (event) => {
    const button = event.target.closest("[data-do]");
    if (button) act(button.dataset.do);
  });
  form.addEventListener("input", ({ target }) => {
    choose(target.name);
    draft.values = valuesNow();
    save();
    leadBack();
    tick();
  });
  // A fault reported on this phone is a choice only once that is laid over the page.
  document.addEventListener("laid", ({ detail }) => {
    lines = (id) => detail.fields(`line/${id}`);
    const asked = draft.stage === "set" ? new URLSearchParams(location.search).get("ticket") : draft.values.ticket;
    if (asked && typed("ticket") === "") box("ticket").value = asked;
    if (draft.stage === "set") choose("line");
    leadBack();
  });
  onChange(forgetOnceKept);
  setInterval(() => document.visibilityState === "visible" && !isEnded() && tick(), TICK_MS);
  document.addEventListener("visibilitychange", tick);
}

async function forgetOnceKept() {
  if (!draft.id) return false;
  const isKept = (await waiting()).some(({ kind, record }) => kind === "hold_test" && record === draft.id);
  if (isKept) await remember(note, null);
  return isKept;
}

async function begin() {
  draft = (await recall(note).catch(() => null)) ?? draft;
  if (await forgetOnceKept()) draft = { stage: "set", values: {} };
  if (draft.stage !== "set" || location.search === "") putBack(draft.values);
  takeOver();
  if (!draft.values.unit) choose("medium");
  show();
}

// A form that came back from the garage with something wrong in it is filled in by hand.
if (!byId("wrong") && isSecureContext) begin();
