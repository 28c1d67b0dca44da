// What the settings say of this phone: whether it promises to keep what is entered on it, and how much that is.

import { onChange, waiting } from "./outbox.js";
import { number } from "./words.js";

const part = (id) => document.getElementById(id);
const { storage } = navigator;

async function show() {
  const promise = !isSecureContext || !storage?.persisted ? "never" : (await storage.persisted()) ? "yes" : "no";
  for (const said of document.querySelectorAll("[data-promise]")) said.hidden = said.dataset.promise !== promise;
  part("asking").hidden = promise !== "no";
  part("promise").hidden = false;
  const { usage } = (await storage?.estimate?.()) ?? {};
  part("room").hidden = usage === undefined;
  part("used").textContent = usage === undefined ? "" : `${number(usage / 1e6, usage < 1e7 ? 1 : 0)} MB`;
}

async function showWaiting() {
  part("how-many").textContent = String((await waiting()).length);
}

async function ask() {
  const promised = await storage.persist().catch(() => false);
  // Browsers decide by themselves, mostly by whether the program stands on the home screen or is visited often.
  part("asked").textContent = promised ? "" : "It did not promise yet. Put this program on the home screen, open it from there, and ask again.";
  await show();
}

part("ask").addEventListener("click", ask);
onChange(showWaiting);
show();
showWaiting();
