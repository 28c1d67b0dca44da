// Fetches the pages of the cars taken along: those that are due, gently, a numbered few at a time.

import { CAN_KEEP, PAGES_CACHE, addressesHere, carsAlong, dropUnwanted, leaveBehind, saveCar, tell } from "./along.js";
import { done, within } from "./store.js";

const AT_ONCE = 2; // the person is working on this phone
const LIMIT_MS = 10_000;
const SAVE_EVERY = 10;
const OLD_MS = 10 * 60_000;
const OLD_AFTER_SENDING_MS = 60_000;
const LOOK_EVERY_MS = 30_000;

/** From now on, while this page is seen, look whether the pages of a car are due. */
export function freshenFromNowOn() {
  const look = (how) => document.visibilityState === "visible" && freshen(how).catch(() => {});
  // The page in front of the person comes first. One that was left in a hurry may not have tidied up.
  setTimeout(() => look({ tidyUp: true }), 2_000);
  setInterval(look, LOOK_EVERY_MS);
}

/** Fetch what has changed of the cars that are due, or of all. One tab at a time does it, and lets go of what is unwanted. */
export async function freshen({ evenIfFresh = false, tidyUp = evenIfFresh } = {}) {
  if (!CAN_KEEP) return;
  await navigator.locks.request("along", { ifAvailable: !evenIfFresh }, async (lock) => {
    if (lock === null) return;
    for (const [car, kept] of Object.entries(await carsAlong())) {
      if ((evenIfFresh || (await isDue(kept))) && !(await freshenCar(car))) break;
    }
    if (tidyUp) await dropUnwanted();
  });
}

async function isDue({ at }) {
  const age = Date.now() - new Date(at || 0).getTime();
  if (age > OLD_MS) return true;
  if (age < OLD_AFTER_SENDING_MS) return false;
  const since = IDBKeyRange.lowerBound(at);
  return (await within("sent", "readonly", (sent) => done(sent.index("shownFrom").count(since)))) > 0;
}

// Whether it is worth going on to the next car.
async function freshenCar(car) {
  const list = await get(`/cars/${encodeURIComponent(car)}/take-along.json`);
  if (list?.status === 404) await leaveBehind(car);
  if (list?.status !== 200) return list?.status === 404;
  const { name, as_of: at, release, pages } = await list.json();
  const marks = new Map((await carsAlong())[car]?.pages.map((page) => [page.address, page.mark]));
  const here = await addressesHere();
  for (const address of marks.keys()) if (!here.has(address)) marks.delete(address);
  const stale = pages.filter(({ address, mark }) => marks.get(address) !== mark);
  const save = (more) => {
    const kept = pages.filter(({ address }) => marks.has(address));
    return saveCar(car, { name, release, pages: kept.map((page) => ({ ...page, mark: marks.get(page.address) })), ...more });
  };
  const whole = await fetchAll(stale, marks, (count) => {
    tell({ car, done: pages.length - stale.length + count, of: pages.length });
    return count % SAVE_EVERY === 0 ? save({}) : null;
  });
  await save(whole ? { at } : {});
  if (whole) await dropUnwanted();
  return whole;
}

// The mark of each page that has come is set in `marks`. Whether the garage answered to the end.
async function fetchAll(stale, marks, arrived) {
  const left = [...stale];
  const pages = await caches.open(PAGES_CACHE);
  let count = 0;
  let whole = true;
  async function fetchNext() {
    for (let page = left.shift(); page && whole; page = left.shift()) {
      const response = await get(page.address);
      if (response === null || response.status === 401 || response.status === 403) whole = false;
      else if (response.status === 200) {
        await pages.put(page.address, response);
        marks.set(page.address, page.mark);
      }
      count += 1;
      if (whole) await arrived(count);
    }
  }
  await Promise.all(Array.from({ length: AT_ONCE }, fetchNext));
  return whole;
}

// A page that leads elsewhere is none to keep, and no sign that the garage is away: its status is then 0.
async function get(address) {
  try {
    const signal = AbortSignal.timeout(LIMIT_MS);
    return await fetch(address, { cache: "no-store", redirect: "manual", priority: "low", signal });
  } catch {
    return null;
  }
}
