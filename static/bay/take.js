// The switch that takes a car along: on the car's page, and on the page that lists them all.
//
// <button data-take-along="tern" data-name="Tern"><span data-says>..</span><span class="num">Off</span></button>

import { CAN_KEEP, carsAlong, leaveBehind, onProgress, takeAlong } from "./along.js";
import { freshen } from "./freshen.js";
import { moment } from "./words.js";

const fetching = {};

/** Make the switches of this page work, and show how far each car has come. */
export function takeAlongFromNowOn() {
  const switches = document.querySelectorAll("[data-take-along]");
  if (switches.length === 0 || !CAN_KEEP) return;
  for (const one of switches) one.addEventListener("click", (event) => turn(event, one));
  const showAll = async () => {
    const along = await carsAlong();
    for (const one of switches) show(one, along[one.dataset.takeAlong]);
  };
  onProgress(async ({ car, done, of }) => {
    if (car) fetching[car] = done < of ? `${done} of ${of} pages` : "";
    await showAll();
  });
  showAll();
}

async function turn(event, one) {
  event.preventDefault(); // without scripts the button leads to the page that says what is needed
  const { takeAlong: car, name } = one.dataset;
  if (car in (await carsAlong())) {
    delete fetching[car];
    await leaveBehind(car);
  } else await takeAlong(car, name);
  try {
    await freshen({ evenIfFresh: true });
  } catch {
    fetching[car] = "This phone is full: not all of it could be kept";
    show(one, (await carsAlong())[car]);
  }
}

function show(one, kept) {
  one.setAttribute("aria-checked", String(kept !== undefined));
  one.querySelector(".num").textContent = kept ? "On" : "Off";
  one.querySelector("[data-says]").textContent = says(one.dataset.takeAlong, kept);
}

function says(car, kept) {
  if (!kept) return "Not on this phone";
  if (fetching[car]) return fetching[car];
  return kept.at ? `On this phone as of ${moment(kept.at)}` : "On its way to this phone";
}
