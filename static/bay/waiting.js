// The page of what waits: each entry in words, with why it was refused, to be mended, sent again or withdrawn.

import { newId } from "./entry.js";
import { amend, onChange, waiting, withdraw } from "./outbox.js";
import { send } from "./sender.js";
import { recall } from "./store.js";
import { moment } from "./words.js";

const list = document.getElementById("list");
const template = list.querySelector("template");
const TROUBLE = {
  away: "The garage did not answer. It is tried again by itself; nothing is lost.",
  unpaired: "This phone is not paired with the garage. Pair it again and all of this is sent.",
};

async function show() {
  const entries = await waiting();
  const open = new Set([...list.querySelectorAll("details[open]")].map((one) => one.dataset.entry));
  for (const old of list.querySelectorAll("details")) old.remove();
  list.append(...entries.map((entry) => rowOf(entry, open.has(entry.id))));
  list.hidden = entries.length === 0;
  document.getElementById("nothing").hidden = entries.length > 0;
  const { trouble } = (await recall("sending")) ?? {};
  const told = document.getElementById("trouble");
  told.hidden = !trouble || entries.length === 0;
  told.textContent = TROUBLE[trouble] ?? "";
}

function rowOf(entry, isOpen) {
  const row = template.content.firstElementChild.cloneNode(true);
  row.dataset.entry = entry.id;
  row.open = isOpen;
  const part = (name) => row.querySelector(`[data-part="${name}"]`);
  part("says").textContent = entry.says || entry.kind.replaceAll("_", " ");
  part("about").textContent = `${entry.page} · ${moment(entry.entered_at)}`;
  const reasons = Object.entries(entry.reasons);
  part("reason").hidden = reasons.length === 0;
  part("reason").textContent = reasons.map(([field, why]) => (field ? `${spaced(field)}: ${why}` : why)).join(" ");
  part("fields").append(...Object.entries(entry.fields).map(([name, value]) => boxOf(name, value, entry)));
  row.querySelector("form").addEventListener("submit", (event) => act(event, entry));
  return row;
}

const spaced = (name) => name.replaceAll("_", " ");

function boxOf(name, value, entry) {
  const label = document.createElement("label");
  label.className = "field";
  const box = Object.assign(document.createElement("input"), { type: "text", name, value: value ?? "" });
  if (entry.reasons[name]) box.setAttribute("aria-invalid", "true");
  label.append(spaced(name), box);
  return label;
}

async function act(event, entry) {
  event.preventDefault();
  if (event.submitter.value === "withdraw") {
    await withdraw([entry.id]);
    return;
  }
  const fields = Object.fromEntries(
    Object.keys(entry.fields).map((name) => [name, event.target.elements.namedItem(name).value]),
  );
  // Mended, it says something else than the entry the server may have seen: it gets an id of its own.
  await amend(entry.id, { id: newId(), fields, state: "waiting", reasons: {} });
  await send().catch(() => {});
}

document.getElementById("send-now").addEventListener("click", () => send().then(show, show));
onChange(show);
show();
