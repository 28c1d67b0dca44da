// Takes a form's sending over: write first, send after.

import { entriesOf } from "./entry.js";
import { keep, waiting, withdraw } from "./outbox.js";
import { send } from "./sender.js";

// How long a page waits for the server's answer before it goes on without it.
const PATIENCE_MS = 1_500;

/** From now on a form with `data-kind` is kept on this phone before it is sent. `kept(form, entries)` is told at once. */
export function capture(kept) {
  document.addEventListener("submit", (event) => take(event, kept), { capture: true });
  document.addEventListener("input", (event) => {
    const form = event.target.closest?.("form[data-kind]");
    if (form) form.dataset.typed = "yes";
  });
}

async function take(event, kept) {
  const form = event.target;
  if (!form.dataset.kind || "plain" in form.dataset) return;
  event.preventDefault();
  event.stopImmediatePropagation(); // what else listens would send it past the outbox
  clear(form);
  const wrong = { ...missing(form), ...doubts(form) };
  if (Object.keys(wrong).length > 0) {
    show(form, wrong);
    return;
  }
  const { record, entries } = entriesOf(form, event.submitter);
  if (entries.length === 0) return;
  try {
    await keep(entries);
  } catch (error) {
    const full = error?.name === "QuotaExceededError";
    show(form, { "": full ? "This phone is full: it could not be kept. Nothing you typed is lost; free some space and tap again." : "This phone could not keep it. Nothing you typed is lost; tap again." });
    return;
  }
  delete form.dataset.typed;
  await kept(form, entries);
  const { refused, away } = await answerFor(entries);
  if (refused.length > 0) {
    // The person is still at the form: it is mended here, not in the outbox.
    await withdraw(entries.map((entry) => entry.id));
    show(form, Object.assign({}, ...refused.map((entry) => entry.reasons)));
    return;
  }
  const then = (away && form.dataset.thenAway) || form.dataset.then;
  if (then) location.assign(then.replaceAll("{record}", record));
}

async function answerFor(entries) {
  const ids = new Set(entries.map((entry) => entry.id));
  const late = new Promise((resolve) => setTimeout(resolve, PATIENCE_MS));
  await Promise.race([send().catch(() => {}), late]);
  const left = (await waiting()).filter((entry) => ids.has(entry.id));
  return { refused: left.filter((entry) => entry.state === "refused"), away: left.length > 0 };
}

function missing(form) {
  const wrong = {};
  for (const control of form.querySelectorAll("[data-need]")) {
    const answered = control.type === "radio" ? form.querySelector(`[name="${CSS.escape(control.name)}"]:checked`) : control.value.trim();
    if (!answered && control.closest("[hidden]") === null) wrong[control.name] = "This is needed.";
  }
  return wrong;
}

// What is unlikely but may be right is asked about once, with the server's own sentence.
function doubts(form) {
  const asks = {};
  for (const control of form.querySelectorAll("[data-ask-below]")) {
    const value = Number(control.value.replaceAll(/[\s\u00a0]/g, "").replace(",", "."));
    const key = control.dataset.ask;
    if (!control.value || form.querySelector(`[name="sure"][value="${key}"]:checked`)) continue;
    if (value < Number(control.dataset.askBelow) || value > Number(control.dataset.askAbove ?? Infinity)) {
      asks[`?${key}`] = control.dataset.askSays.replaceAll("{value}", control.value);
    }
  }
  return asks;
}

function clear(form) {
  for (const old of form.querySelectorAll("[data-told]")) old.remove();
  for (const control of form.querySelectorAll("[aria-invalid]")) control.removeAttribute("aria-invalid");
}

function show(form, wrong) {
  for (const [name, sentence] of Object.entries(wrong)) {
    const control = name && !name.startsWith("?") ? form.elements.namedItem(name) : null;
    const box = control instanceof RadioNodeList ? control[0].closest("fieldset") : control;
    const told = name.startsWith("?") ? question(name.slice(1), sentence) : said(sentence);
    told.dataset.told = "";
    if (box && box.type !== "hidden") {
      box.setAttribute("aria-invalid", "true");
      (box.closest(".field") ?? box).append(told);
    } else form.prepend(told);
  }
  form.querySelector("[data-told]")?.scrollIntoView({ block: "center" });
}

function said(sentence) {
  const told = document.createElement("p");
  told.className = "wrong";
  told.setAttribute("role", "alert");
  told.textContent = sentence;
  return told;
}

function question(key, sentence) {
  const told = document.createElement("label");
  told.className = "sure plate caution";
  const box = Object.assign(document.createElement("input"), { type: "checkbox", name: "sure", value: key });
  told.append(box, ` ${sentence}`);
  return told;
}
