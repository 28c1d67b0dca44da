// Which cars are taken along: their pages are kept on this phone (freshen.js fetches them).
//
// Remembered as the note "along": {car: {name, at, release, pages: [{address, mark, name, group}]}}. `at` is the moment
// of the garage's clock at which all of its pages were up to date, "" before that; `pages` are those that are here.

import { done, recall, remember, within } from "./store.js";

/** The cache of pages, as the worker calls it. */
export const PAGES_CACHE = "pages";
/** Whether this browser can keep pages at all: it does so only for an address it trusts. */
export const CAN_KEEP = "caches" in globalThis && "serviceWorker" in navigator;

const channel = new BroadcastChannel("along");
const listeners = new Set();
channel.onmessage = ({ data }) => tellHere(data);

/** Call `listener({car, done, of})` as pages arrive, and `listener({})` when something else changed; in every tab. */
export function onProgress(listener) {
  listeners.add(listener);
}

function tellHere(progress) {
  for (const listener of listeners) listener(progress);
}

/** Tell every tab. */
export function tell(progress) {
  channel.postMessage(progress);
  tellHere(progress);
}

/** The cars taken along, by id. */
export async function carsAlong() {
  return (await recall("along")) ?? {};
}

/** From now on this car's pages are to be kept. */
export async function takeAlong(car, name) {
  // Asked for at the tap, when the browser can see what for; without it the pages are kept as long as there is room.
  const asked = navigator.storage?.persist?.().catch(() => false);
  await change((along) => ({ ...along, [car]: along[car] ?? { name, at: "", pages: [] } }));
  await asked;
}

/** This car's pages are not to be kept any more. */
export function leaveBehind(car) {
  return change(({ [car]: _, ...others }) => others);
}

/** Write down what is new of a car; one left behind meanwhile stays behind. */
export function saveCar(car, news) {
  return change((along) => (car in along ? { ...along, [car]: { ...along[car], ...news } } : along));
}

async function change(how) {
  await within("notes", "readwrite", async (notes) => {
    const along = (await done(notes.get("along"))) ?? {};
    await done(notes.put(how(along), "along"));
  });
  tell({});
}

/** The addresses of all pages that are on this phone. */
export async function addressesHere() {
  const pages = await caches.open(PAGES_CACHE);
  return new Set((await pages.keys()).map(({ url }) => url.slice(location.origin.length)));
}

/** Let go of the pages that belong to no car taken along. */
export async function dropUnwanted() {
  const wanted = new Set(Object.values(await carsAlong()).flatMap(({ pages }) => pages.map(({ address }) => address)));
  const pages = await caches.open(PAGES_CACHE);
  const unwanted = [...(await addressesHere())].filter((address) => !wanted.has(address));
  await Promise.all(unwanted.map((address) => pages.delete(address)));
}

/** The car whose page was opened last on this phone: the home screen opens it again. */
export function rememberCar(car) {
  return remember("last car", car);
}
