// The page Find: beside what the garage found, what waits on this phone; and without the garage, the pages taken along.

import { carsAlong, PAGES_CACHE } from "./along.js";
import { waiting } from "./outbox.js";
import { capital } from "./words.js";

const MOST = 40;
const section = document.getElementById("phone-found");
const box = section.querySelector("[data-rows]");
const typed = new URLSearchParams(location.search).get("q") ?? "";
const wordsIn = (text) => text.normalize("NFD").replaceAll(/\p{M}/gu, "").toLowerCase().match(/[\p{L}\p{N}]+/gu) ?? [];
const wanted = wordsIn(typed);

// As the garage does: every word, or one that begins so; a single letter as it stands.
function holdsAll(text) {
  const there = ` ${wordsIn(text).join(" ")} `;
  return wanted.every((word) => there.includes(word.length > 1 ? ` ${word}` : ` ${word} `));
}

function add(address, name, about) {
  const row = box.querySelector("template").content.firstElementChild.cloneNode(true);
  row.href = address;
  row.querySelector("strong").textContent = name;
  row.querySelector("span span").textContent = about;
  box.append(row);
  section.hidden = box.hidden = false;
}

async function amongWaiting() {
  for (const { kind, fields, says, page } of await waiting()) {
    const text = Object.values(fields).filter((value) => typeof value === "string").join(" ");
    if (holdsAll(`${says} ${text}`)) add("/waiting", says || capital(kind.replaceAll("_", " ")), `${page} · waits on this phone`);
  }
}

async function textOf(pages, address) {
  const kept = await pages.match(address, { ignoreVary: true });
  const whole = new DOMParser().parseFromString((await kept?.text()) ?? "", "text/html");
  for (const part of whole.querySelectorAll("[hidden], form, script")) part.remove();
  return whole.querySelector("main")?.textContent ?? "";
}

async function amongPages() {
  const pages = await caches.open(PAGES_CACHE);
  let found = 0;
  for (const { name: car, pages: along } of Object.values(await carsAlong())) {
    for (const { address, name } of along.filter((one) => one.name && one.group !== "do")) {
      if (found >= MOST) return found;
      if (!holdsAll(name) && !holdsAll(await textOf(pages, address))) continue;
      found += 1;
      add(address, name, car);
    }
  }
  return found;
}

async function show() {
  const isKept = document.getElementById("kept")?.hidden === false;
  if (isKept) document.querySelector(".find-form input").value = typed;
  if (wanted.length > 0) await amongWaiting();
  if (!isKept) return;
  const says = document.getElementById("phone-says");
  document.getElementById("garage-found").hidden = wanted.length > 0;
  section.hidden = false;
  const limits = "Without the garage only the pages of cars taken along, and what waits here, are looked through; jobs and tickets long done are not among them.";
  if (wanted.length > 0) says.textContent = `Looking. ${limits}`;
  const found = wanted.length > 0 ? await amongPages() : 0;
  const none = wanted.length > 0 && found === 0 ? "No page on this phone holds all of this. " : "";
  says.textContent = `${none}${found >= MOST ? `The first ${MOST}. ` : ""}${limits}`;
}

document.getElementById("phone-says").hidden = document.getElementById("kept")?.hidden !== false;
show();
