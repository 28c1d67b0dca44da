// A ticket's page: draws what is asked next, the suspects and the checks anew from what the page and the phone know.
//
// The page has a row for every suspect and a block for every question; this puts them in order and writes their words.

import { drawChecks, notesOf, writeNotes } from "./checks.js";
import { engineNow, onEngine } from "./engine.js";
import { conclude } from "./known.js";
import { modelOfPage, withOwn } from "./model.js";
import { rank } from "./rank.js";
import { seenOn } from "./seen.js";
import { aboutOf } from "./shape.js";
import { drawSuspects } from "./suspects.js";
import { tellDangers, tellSigns } from "./told.js";
import { filters, roughly } from "./words.js";

let ofPage = null;
let model = null;
let latest = null;
const board = document.getElementById("board");
const ticket = aboutOf(board).slice("ticket/".length);
const part = (element, name) => element.querySelector(`[data-part="${name}"]`);

// The last that is known is drawn, however long the model takes to come; without it, the page stays as the server made it.
async function drawLatest(known) {
  latest = known;
  try {
    ofPage ??= await modelOfPage();
  } catch {
    return; // asked for again at the next tap
  }
  if (latest === known) draw(known);
}

function draw(known) {
  model = withOwn(ofPage, known);
  const stands = known.fields(`ticket/${ticket}`).stands ?? "open";
  const evidence = { ...seenOn(ticket, model, known), engine: engineNow() };
  const ranking = rank(model, evidence);
  drawAsk(ranking.next, evidence);
  drawDoubts(ranking);
  drawSuspects({ model, ticket }, ranking.suspects, evidence);
  drawChecks(model, ranking.next, evidence);
  document.getElementById("left").textContent = `about ${roughly(ranking.minutesLeft)} of checking left`;
  tellSigns({ model, known }, evidence);
  const reason = tellDangers({ model, known, ticket, stands }, ranking.suspects, evidence);
  if (stands === "open") document.getElementById("hunt").open = true;
  const [first] = ranking.suspects;
  // For pages that list tickets and can't rank them.
  conclude(`ticket/${ticket}`, { leading: model.candidates[first.place].label, probability: first.chance, do_not_drive: reason });
}

function drawAsk(next, { noted }) {
  const step = next.find(({ sign }) => sign && !(sign in noted));
  const key = step?.sign;
  const section = document.getElementById("ask");
  section.hidden = key === undefined;
  const block = section.querySelector("[data-ask]");
  if (section.hidden) return;
  writeNotes(part(block, "notes"), notesOf(model, step));
  if (block.dataset.ask === key) return;
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

// A choice that says which box of the form it fills: "found_line=l.1" among those the list names.
document.addEventListener("change", ({ target }) => {
  for (const name of target.dataset?.pick?.split(" ") ?? []) {
    target.form.elements.namedItem(name).value = target.value.startsWith(`${name}=`) ? target.value.slice(name.length + 1) : "";
  }
});
onEngine(() => latest && drawLatest(latest));
// A page that is not shown before what waits is laid over it (first.js) is not shown before that is ranked either.
if (document.documentElement.classList.contains("laying")) document.documentElement.classList.add("ranking");
// Every page is laid over once it is there (bay.js); drawing it before that as well would take its time twice.
document.addEventListener("laid", ({ detail }) => {
  drawLatest(detail).finally(() => document.documentElement.classList.remove("ranking"));
});
