// A ticket's page: draws what is asked next, the suspects and the checks anew from what the page and the phone know.
//
// The page has a row for every suspect and a block for every question; this puts them in order and writes their words.

import { aboutOf } from "./shape.js";
import { conclude, know } from "./known.js";
import { rank } from "./rank.js";
import { seenOn } from "./seen.js";
import { tellDangers, tellSigns } from "./told.js";
import { filters, number, percent } from "./words.js";

const IN_THE_OPEN = 5;
const CHECKS_SHOWN = 3;
const CHECKS_MORE = 9;
const REASONS = 3;

const model = JSON.parse(document.getElementById("model").textContent);
const labels = JSON.parse(document.getElementById("labels").textContent);
const board = document.getElementById("board");
const ticket = aboutOf(board).slice("ticket/".length);
const part = (element, name) => element.querySelector(`[data-part="${name}"]`);

function draw(known) {
  const stands = known.fields(`ticket/${ticket}`).stands ?? "open";
  const evidence = seenOn(ticket, model, known);
  const ranking = rank(model, evidence);
  drawAsk(ranking.next, evidence);
  drawDoubts(ranking);
  drawSuspects(ranking.suspects, evidence);
  drawChecks(ranking.next, evidence);
  tellSigns({ model, labels, known }, evidence);
  const reason = tellDangers({ model, known, ticket, stands }, ranking.suspects, evidence);
  if (stands === "open") document.getElementById("hunt").open = true;
  const [first] = ranking.suspects;
  // For pages that list tickets and can't rank them.
  conclude(`ticket/${ticket}`, { leading: model.candidates[first.place].label, probability: first.chance, do_not_drive: reason });
}

function drawAsk(next, { noted }) {
  const key = next.find(({ sign }) => sign && !(sign in noted))?.sign;
  const section = document.getElementById("ask");
  section.hidden = key === undefined;
  const block = section.querySelector("[data-ask]");
  if (section.hidden || block.dataset.ask === key) return;
  // The question stands among all the signs; here it is asked by itself.
  const row = document.getElementById(`sign-${key}`);
  block.dataset.ask = key;
  for (const name of ["question", "about", "caution"]) part(block, name).textContent = part(row, name).textContent;
  part(block, "answers").replaceChildren(...[...row.querySelectorAll('form[data-kind="sign"]')].map((form) => form.cloneNode(true)));
}

function drawDoubts({ doubts, unusedCodes }) {
  board.querySelectorAll("[data-doubt]").forEach((said, n) => {
    said.hidden = n >= doubts.length;
    if (said.hidden) return;
    const { first, second, again } = doubts[n];
    const label = model.signs[again.sign].label;
    said.querySelector("span").textContent = `${filters.capital(first.says)} and ${second.says} seldom go together: look again at ${label}.`;
    said.querySelector("a").href = `#sign-${again.sign}`;
  });
  const unused = document.getElementById("unused-codes");
  unused.hidden = unusedCodes.length === 0;
  unused.querySelector("span").textContent = unusedCodes.join(", ");
}

function drawSuspects(suspects, { signs, codes }) {
  document.getElementById("signs-in").textContent = `${filters.count(Object.keys(signs).length + (codes === null ? 0 : 1), "sign")} in`;
  const list = document.getElementById("suspects");
  const rows = new Map([...list.querySelectorAll("[data-suspect]")].map((row) => [row.dataset.suspect, row]));
  const inOrder = suspects.map((one) => ({ one, row: rows.get(model.candidates[one.place].id) }));
  arrange(list, inOrder.map(({ row }) => row), IN_THE_OPEN);
  inOrder.forEach(({ one, row }, n) => drawSuspect(row, one, n < IN_THE_OPEN));
}

function drawSuspect(row, { chance, without, why }, isFull) {
  row.querySelector(".num").textContent = percent(chance);
  row.querySelector(".share").setAttribute("width", `${(chance * 100).toFixed(1)}%`);
  const [low, high] = model.limits.notable;
  const told = isFull ? why.filter(({ by }) => by > high || by < low).slice(0, REASONS) : [];
  row.querySelector(".why").replaceChildren(...told.map((factor) => reasonOf(factor, row.dataset.suspect)));
  part(row, "without").hidden = !isFull || Math.abs(chance - without) < 0.01;
  part(row, "without").textContent = `${percent(without)} without what was touched`;
}

function reasonOf({ kind, by, reason }, id) {
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

function drawChecks(next, { unclear }) {
  const keyOf = ({ sheet, candidate }) => `${model.checks[sheet].method}:${model.candidates[candidate].id}`;
  const all = next.filter((step) => "sheet" in step).map((step) => ({ ...step, key: keyOf(step) }));
  // One that did not tell comes again, but after those nobody has tried.
  const steps = all.toSorted((a, b) => unclear.has(a.key) - unclear.has(b.key)).slice(0, CHECKS_MORE);
  const section = document.getElementById("checks");
  section.hidden = steps.length === 0;
  const list = section.querySelector("[data-list]");
  const rows = new Map([...list.querySelectorAll("[data-check]")].map((row) => [row.dataset.check, row]));
  const wanted = steps.map((step) => rows.get(step.key) ?? rowOf(step));
  for (const [key, row] of rows) if (!steps.some((step) => step.key === key)) row.remove();
  arrange(list, wanted, CHECKS_SHOWN);
  steps.forEach((step, n) => {
    part(wanted[n], "number").textContent = String(n + 1);
    part(wanted[n], "about").textContent = aboutStep(step) + (unclear.has(step.key) ? " · did not tell last time" : "");
  });
  const more = part(list, "more");
  more.textContent = filters.count(Math.max(steps.length - CHECKS_SHOWN, 0), "more check");
  more.closest("details").hidden = steps.length <= CHECKS_SHOWN;
}

const aboutStep = ({ minutes, sheet }) => `${number(minutes, 0)} min${model.checks[sheet].needs}`;

function rowOf({ sheet, candidate, key }) {
  const row = document.getElementById("check").content.firstElementChild.cloneNode(true);
  const { label, caution, how, pass, method } = model.checks[sheet];
  const { id, label: name } = model.candidates[candidate];
  row.dataset.check = key;
  part(row, "label").textContent = `${label}: ${name}`;
  part(row, "caution").textContent = caution;
  part(row, "how").append(...how.map((line) => Object.assign(document.createElement("li"), { textContent: line })));
  part(row, "pass").textContent = pass;
  Object.assign(part(row, "thing"), { name: model.fields[candidate], value: id });
  row.querySelector("[name=method]").value = method;
  row.querySelector("form").dataset.says = `${label}: ${name}`;
  return row;
}

// The first few stand in the open, the rest in the list's own fold. What is in its place already is not moved.
function arrange(list, rows, shown) {
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

// A choice that says which box of the form it fills: "found_line=l.1" among those the list names.
document.addEventListener("change", ({ target }) => {
  for (const name of target.dataset?.pick?.split(" ") ?? []) {
    target.form.elements.namedItem(name).value = target.value.startsWith(`${name}=`) ? target.value.slice(name.length + 1) : "";
  }
});
document.addEventListener("laid", ({ detail }) => draw(detail));
know().then(draw);
