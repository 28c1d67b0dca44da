// A series' short past as a small picture, drawn again once this phone has more of it (as app/records/past.py draws it).

import { figure, gauges, labelOf, placed, shown } from "./gauge.js";

const LEFT = 2;
const RIGHT = 88; // room for the dot at the end
const TOP = 6;
const BOTTOM = 28;

/** Draw `series` into its picture. */
export function draw(svg, name, { past, last, usual }) {
  const figures = past.map((one) => shown(one.si, last));
  const edges = usual ? rangeOf(usual, last) : [];
  const [low, high] = [Math.min(...figures, ...edges), Math.max(...figures, ...edges)];
  const y = (value) => (high === low ? (TOP + BOTTOM) / 2 : BOTTOM - ((value - low) / (high - low)) * (BOTTOM - TOP));
  const x = (n) => RIGHT - ((RIGHT - LEFT) / Math.max(1, figures.length - 1)) * (figures.length - 1 - n);
  const parts = [];
  if (usual) parts.push(part("rect", { class: "band", x: 0, width: 96, y: y(edges[1]), height: y(edges[0]) - y(edges[1]) }));
  if (figures.length > 1) {
    parts.push(part("polyline", { class: "past", points: figures.map((value, n) => `${x(n).toFixed(1)},${y(value).toFixed(1)}`).join(" ") }));
  }
  const now = placed(last.si, usual) === "outside" ? "now stop" : "now";
  parts.push(part("circle", { class: now, r: 4.5, cx: x(figures.length - 1), cy: y(figures.at(-1)) }));
  svg.replaceChildren(...parts);
  svg.setAttribute("aria-label", label(name, figures, edges, last));
}

// The least and the greatest that is still usual, as shown.
function rangeOf({ centre, spread }, last) {
  const low = centre - gauges.spread.edge * spread;
  const ends = [last.basis ? Math.max(low, 0) : low, centre + gauges.spread.edge * spread];
  return ends.map((si) => shown(si, last)).sort((a, b) => a - b);
}

function label(name, figures, edges, { unit }) {
  const n = figures.length === 1 ? "one reading" : `last ${figures.length} readings`;
  const said = `${name}: ${n}, latest ${figure(figures.at(-1), unit)} ${labelOf(unit)}`;
  if (edges.length === 0) return said;
  const slack = 1e-9 * Math.max(1, Math.abs(edges[1]));
  const side = figures.at(-1) < edges[0] - slack ? "below" : figures.at(-1) > edges[1] + slack ? "above" : "within";
  return `${said}, ${side} the usual band ${figure(edges[0], unit)} to ${figure(edges[1], unit)}`;
}

function part(kind, attributes) {
  const element = document.createElementNS("http://www.w3.org/2000/svg", kind);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  return element;
}
