// The page of what is taken along: how much of the phone it takes, and whether the phone promises to keep it.

import { CAN_KEEP, onProgress } from "./along.js";
import { freshen } from "./freshen.js";
import { number } from "./words.js";

const part = (id) => document.getElementById(id);

async function showStorage() {
  const { usage = 0 } = (await navigator.storage.estimate?.()) ?? {};
  part("used").textContent = `${number(usage / 1e6, usage < 1e7 ? 1 : 0)} MB`;
  const promised = await navigator.storage.persisted?.();
  part("promise").textContent = promised
    ? "This phone has promised to keep it until you take it off."
    : "This phone may drop it when it runs short of room. On the home screen it is safer.";
}

if (CAN_KEEP) {
  onProgress(({ car }) => car || showStorage());
  part("freshen").addEventListener("click", () => freshen({ evenIfFresh: true }));
  showStorage();
} else part("not-here").hidden = false;
