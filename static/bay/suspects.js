// The list of suspects on a ticket's page. The server writes those in the open; the others are made here, from the page's
// own template, and have a page of their own for a browser without scripts.

import { filters, number, percent } from "./words.js";

const IN_THE_OPEN = 5;
const REASONS = 3;

/** Put the suspects in their order, with their shares and, those in the open, their reasons. */
export function drawSuspects({ model, ticket }, suspects, { signs, codes }) {
  document.getElementById("signs-in").textContent = `${filters.count(Object.keys(signs).length + (codes === null ? 0 : 1), "sign")} in`;
  const list = document.getElementById("suspects");
  const rows = new Map([...list.querySelectorAll("[data-suspect]")].map((row) => [row.dataset.suspect, row]));
  const inOrder = suspects.map((one) => {
    const candidate = model.candidates[one.place];
    return { one, row: rows.get(candidate.id) ?? rowOf(candidate, ticket) };
  });
  arrange(list, inOrder.map(({ row }) => row), IN_THE_OPEN);
  inOrder.forEach(({ one, row }, n) => draw(row, one, { isFull: n < IN_THE_OPEN, model, ticket }));
}

function rowOf({ id, label }, ticket) {
  const row = document.getElementById("suspect").content.firstElementChild.cloneNode(true);
  row.id = `suspect-${id}`;
  row.dataset.suspect = id;
  Object.assign(row.querySelector("a"), { href: `/tickets/${ticket}/suspects/${encodeURIComponent(id)}`, textContent: label });
  return row;
}

function draw(row, { chance, without, touched, why }, { isFull, model, ticket }) {
  row.querySelector(".num").textContent = percent(chance);
  row.querySelector(".share").setAttribute("width", `${(chance * 100).toFixed(1)}%`);
  const [low, high] = model.limits.notable;
  const told = isFull ? why().filter(({ by }) => by > high || by < low).slice(0, REASONS) : [];
  row.querySelector(".why").replaceChildren(...told.map((factor) => reasonOf(factor, row.dataset.suspect, ticket)));
  const ofTouches = [];
  if (isFull && touched >= 0.01) ofTouches.push(`${percent(touched)} of that from touches of it`);
  if (isFull && Math.abs(chance - without) >= 0.01) ofTouches.push(`${percent(without)} without what was touched`);
  const said = row.querySelector('[data-part="touches"]');
  said.hidden = ofTouches.length === 0;
  said.textContent = ofTouches.join(" · ");
}

function reasonOf({ kind, by, reason }, id, ticket) {
  const item = document.createElement("li");
  item.dataset.by = number(by, by >= 0.1 ? 1 : 2);
  if (kind === "touch") {
    const link = document.createElement("a");
    link.href = `/tickets/${ticket}/touched#of-${encodeURIComponent(id)}`;
    link.textContent = reason;
    item.append(link);
  } else item.textContent = reason;
  return item;
}

/** The first few stand in the open, the rest in the list's own fold. What is in its place already is not moved. */
export function arrange(list, rows, shown) {
  const fold = list.querySelector(":scope > details:not([data-check])");
  const place = (parent, wanted, end) => {
    wanted.toReversed().reduce((next, row) => {
      if (row.parentElement !== parent || row.nextElementSibling !== next) parent.insertBefore(row, next);
      return row;
    }, end);
  };
  place(list, rows.slice(0, shown), fold);
  if (fold) place(fold, rows.slice(shown), null);
}
