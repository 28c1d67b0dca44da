// The page of what waits: each entry in words, with why it was refused, to be mended, sent again or withdrawn.

import { newId } from "./entry.js";
import { localMinute } from "./lay.js";
import { amend, onChange, waiting, withdraw } from "./outbox.js";
import { heldAmong, send } from "./sender.js";
import { recall } from "./store.js";
import { capital, moment } from "./words.js";

const list = document.getElementById("list");
const template = list.querySelector("template");
// Fields that name another record: nobody mends those by hand.
const REFS = new Set(list.dataset.refs.split(" "));
const { fields: WORDS, choices: CHOICES } = JSON.parse(document.getElementById("words").textContent);
const MOMENT = /^\d{4}-\d\d-\d\dT.*Z$/;
const TROUBLE = {
  away: "The garage did not answer. It is tried again by itself; nothing is lost.",
  unpaired: "This phone is not paired with the garage. Pair it again and all of this is sent.",
};

async function show() {
  const entries = await waiting();
  const before = new Map([...list.querySelectorAll("details")].map((row) => [row.dataset.entry, row]));
  // What has not changed stays: somebody may be typing in it.
  const held = heldAmong(entries);
  const rows = entries.map((entry) => {
    const [there, is] = [before.get(entry.id), isOf(entry, held.has(entry))];
    return there?.dataset.is === is ? there : rowOf(entry, { is, held: held.has(entry), open: there?.open });
  });
  for (const row of before.values()) if (!rows.includes(row)) row.remove();
  rows.forEach((row, n) => {
    if (list.children[n + 1] !== row) list.insertBefore(row, list.children[n + 1] ?? null);
  });
  list.hidden = entries.length === 0;
  document.getElementById("nothing").hidden = entries.length > 0;
  const { trouble } = (await recall("sending")) ?? {};
  const told = document.getElementById("trouble");
  told.hidden = !trouble || entries.length === 0;
  told.textContent = TROUBLE[trouble] ?? "";
}

const isOf = ({ fields, reasons }, held) => JSON.stringify([fields, reasons, held]);
const BEHIND = "It waits for one above that was refused: mend or withdraw that one.";

function rowOf(entry, { is, held, open = false }) {
  const row = template.content.firstElementChild.cloneNode(true);
  row.dataset.entry = entry.id;
  row.dataset.is = is;
  row.open = open;
  const part = (name) => row.querySelector(`[data-part="${name}"]`);
  part("says").textContent = entry.says || capital(spaced(entry.kind));
  part("about").textContent = [entry.page, moment(entry.entered_at)].filter(Boolean).join(" · ");
  const reasons = Object.entries(entry.reasons);
  const said = reasons.map(([field, why]) => (field ? `${capital(worded(field))}: ${why}` : why)).join(" ");
  part("reason").textContent = said || (held ? BEHIND : "");
  part("reason").hidden = !part("reason").textContent;
  const names = [...new Set([...Object.keys(entry.fields), ...Object.keys(entry.reasons)])].filter((name) => name && name !== "id");
  const shown = names.filter((name) => entry.reasons[name] || (entry.fields[name] && !REFS.has(name)));
  part("fields").append(...shown.map((name) => boxOf(name, entry.fields[name], entry)));
  row.querySelector("form").addEventListener("submit", (event) => act(event, entry));
  return row;
}

const spaced = (name) => name.replaceAll("_", " ");
const worded = (field) => WORDS[field] ?? spaced(field);

function boxOf(name, value, entry) {
  const label = document.createElement("label");
  label.className = "field";
  const choices = CHOICES[entry.kind]?.[name];
  const box = choices ? listOf(name, value, choices) : textOf(name, value);
  label.append(capital(worded(name)), box);
  const why = entry.reasons[name];
  if (why) {
    const wrong = Object.assign(document.createElement("span"), { className: "wrong", id: `${entry.id}-${name}`, textContent: why });
    box.setAttribute("aria-invalid", "true");
    box.setAttribute("aria-describedby", wrong.id);
    label.append(wrong);
  }
  return label;
}

function textOf(name, value) {
  const isMoment = MOMENT.test(value);
  const box = Object.assign(document.createElement("input"), { type: isMoment ? "datetime-local" : "text", name });
  box.defaultValue = isMoment ? localMinute(value) : (value ?? "");
  return box;
}

function listOf(name, value, choices) {
  const box = Object.assign(document.createElement("select"), { name });
  // What is no choice (why it may have been refused) stays in sight until another is made.
  const known = choices.some(([stored]) => stored === value);
  for (const [stored, word] of known ? choices : [[value ?? "", value ?? ""], ...choices]) {
    const chosen = stored === (value ?? "");
    box.append(new Option(capital(word), stored, chosen, chosen));
  }
  return box;
}

const wasOf = (box) => box.defaultValue ?? [...box.options].find((one) => one.defaultSelected)?.value;
const valueOf = (box) => (box.type === "datetime-local" && box.value ? new Date(box.value).toISOString() : box.value);

async function act(event, entry) {
  event.preventDefault();
  if (event.submitter.value === "withdraw") {
    await withdraw([entry.id]);
    return;
  }
  const typed = [...event.target.elements].filter((box) => box.name && box.type !== "submit" && box.value !== wasOf(box));
  const fields = { ...entry.fields, ...Object.fromEntries(typed.map((box) => [box.name, valueOf(box)])) };
  // Mended, it says something else than the entry the server may have seen: it gets an id of its own.
  await amend(entry.id, { id: newId(), fields, state: "waiting", reasons: {} });
  await send().catch(() => {});
}

document.getElementById("send-now").addEventListener("click", () => send().then(show, show));
onChange(show);
show();
