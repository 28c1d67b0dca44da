// Rings and arrows drawn on a photo with taps: shown as they stand, changed in the form's hidden boxes, kept by it.

import { shown } from "./known.js";

const WIDE = 1000;
const RING = 70;
const HEAD = 55;
const ANGLE = (28 * Math.PI) / 180;
const STEPS = 50;
const drawing = document.getElementById("drawing");
const form = document.getElementById("draw");
const figures = document.getElementById("by-figures");
const svg = document.getElementById("drawn");
const picture = document.getElementById("picture");
const record = form.dataset.record;
let tail = null;
let changed = false;
const earlier = [];

const boxes = { rings: form.elements.namedItem("rings"), arrows: form.elements.namedItem("arrows") };
const held = (share) => Math.min(1, Math.max(0, Number(share)));

function pointsIn(name) {
  try {
    return JSON.parse(boxes[name].value || "[]").map(([x, y]) => [held(x), held(y)]);
  } catch {
    return [];
  }
}

function write(name, points) {
  boxes[name].value = points.length > 0 ? JSON.stringify(points) : "";
}

function part(kind, attributes) {
  const element = document.createElementNS("http://www.w3.org/2000/svg", kind);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  return element;
}

const both = (kind, attributes) => [part(kind, { ...attributes, class: "edge" }), part(kind, attributes)];

/** The path of an arrow from one point to another, both in the drawing's measure. */
export function arrow([fromX, fromY], [toX, toY]) {
  const back = Math.atan2(fromY - toY, fromX - toX);
  const [a, b] = [ANGLE, -ANGLE].map((turn) => `${(toX + HEAD * Math.cos(back + turn)).toFixed(1)} ${(toY + HEAD * Math.sin(back + turn)).toFixed(1)}`);
  const tip = `${toX.toFixed(1)} ${toY.toFixed(1)}`;
  return `M${fromX.toFixed(1)} ${fromY.toFixed(1)}L${tip}M${a}L${tip}L${b}`;
}

function draw() {
  const tall = svg.viewBox.baseVal.height;
  const at = ([x, y]) => [x * WIDE, y * tall];
  const [rings, arrows] = [pointsIn("rings").map(at), pointsIn("arrows").map(at)];
  const shapes = rings.flatMap(([cx, cy]) => both("circle", { cx, cy, r: RING }));
  for (let n = 0; n + 1 < arrows.length; n += 2) shapes.push(...both("path", { d: arrow(arrows[n], arrows[n + 1]) }));
  if (tail) shapes.push(part("circle", { class: "begun", cx: at(tail)[0], cy: at(tail)[1], r: 16 }));
  svg.replaceChildren(...shapes);
  const count = (n, one) => `${n} ${one}${n === 1 ? "" : "s"}`;
  svg.setAttribute("aria-label", `${count(rings.length, "ring")} and ${count(Math.floor(arrows.length / 2), "arrow")} drawn on it`);
  say();
}

function say() {
  const tool = form.querySelector("[name=tool]:checked").value;
  const next = tool === "ring" ? "Tap the photo where it matters." : tail ? "Now tap where it points to." : "Tap where the arrow begins.";
  document.getElementById("draw-says").textContent = changed ? `${next} Not kept yet.` : next;
}

function before() {
  earlier.push([boxes.rings.value, boxes.arrows.value].map(String));
  if (earlier.length > STEPS) earlier.shift();
  changed = true;
}

function place(shape, point, head) {
  before();
  if (shape === "ring") write("rings", [...pointsIn("rings"), point]);
  else write("arrows", [...pointsIn("arrows"), point, head]);
  draw();
}

function tapped(event) {
  if (!drawing.open) return;
  const edge = svg.getBoundingClientRect();
  const point = [(event.clientX - edge.left) / edge.width, (event.clientY - edge.top) / edge.height].map((share) => Number(held(share).toFixed(4)));
  if (form.querySelector("[name=tool]:checked").value === "ring") {
    place("ring", point);
    return;
  }
  const from = tail;
  tail = from ? null : point;
  if (from) place("arrow", from, point);
  else draw();
}

function undo() {
  if (tail) tail = null;
  else if (earlier.length > 0) [boxes.rings.value, boxes.arrows.value] = earlier.pop();
  changed = earlier.length > 0;
  draw();
}

function wipe() {
  before();
  tail = null;
  boxes.rings.value = boxes.arrows.value = "";
  draw();
}

// What was typed by figures is placed like a tap, and kept by the same button.
function byFigures(event) {
  event.preventDefault();
  const share = (name) => {
    const text = figures.elements.namedItem(name).value.trim().replace(",", ".").replace("%", "");
    const value = text === "" ? NaN : Number(text);
    return value >= 0 && value <= 100 ? value / 100 : NaN;
  };
  const shape = figures.querySelector("[name=shape]:checked").value;
  const [point, head] = [["across", "down"], ["to_across", "to_down"]].map((names) => names.map(share));
  if ([...point, ...(shape === "arrow" ? head : [])].some(Number.isNaN)) {
    document.getElementById("draw-says").textContent = "Write how far across and down, in percent; for an arrow of both its ends.";
    form.scrollIntoView({ block: "center" });
    return;
  }
  place(shape, point, head);
}

function laid({ detail }) {
  const { rings, arrows, before: earlierPhoto } = detail.fields(`photo/${record}`);
  if (!changed) {
    boxes.rings.value = rings ?? "";
    boxes.arrows.value = arrows ?? "";
    draw();
  }
  document.getElementById("beside").toggleAttribute("data-two", Boolean(earlierPhoto));
  const image = document.querySelector("#before img");
  if (image && earlierPhoto && image.dataset.picture !== earlierPhoto) {
    image.dataset.picture = earlierPhoto;
    image.src = `/photos/${earlierPhoto}/picture`;
  }
}

form.hidden = false;
drawing.addEventListener("toggle", () => {
  document.getElementById("main").classList.toggle("drawing", drawing.open);
  if (drawing.open) picture.scrollIntoView({ block: "start" });
});
picture.addEventListener("click", tapped);
form.addEventListener("change", () => {
  tail = null;
  draw();
});
document.getElementById("undo").addEventListener("click", undo);
document.getElementById("wipe").addEventListener("click", wipe);
figures.addEventListener("submit", byFigures);
// Before the outbox takes it over, which lets nobody after it hear of it.
addEventListener("submit", ({ target }) => {
  if (target !== form) return;
  changed = false;
  tail = null;
  earlier.length = 0;
}, { capture: true });
document.addEventListener("laid", laid);
if (shown().fields(`photo/${record}`).rings) laid({ detail: shown() });
