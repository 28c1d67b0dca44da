// The page for when neither the garage nor the phone has what was asked for: it lists what the phone has.

import { carsAlong } from "./along.js";
import { moment } from "./words.js";

const list = document.getElementById("cars");
const carTemplate = list.querySelector("template");

function carOf([car, { name, at, pages }]) {
  const part = carTemplate.content.firstElementChild.cloneNode(true);
  part.dataset.car = car;
  part.querySelector("[data-part=name]").textContent = name;
  part.querySelector("small").textContent = at ? `as of ${moment(at)}` : "not all of it yet";
  for (const group of part.querySelectorAll("[data-group]")) {
    const rows = pages.filter((page) => page.group === group.dataset.group).map((page) => rowOf(group, page));
    group.hidden = rows.length === 0;
    group.append(...rows);
  }
  return part;
}

function rowOf(group, { address, name }) {
  const row = group.querySelector("template").content.firstElementChild.cloneNode(true);
  row.href = address;
  row.querySelector("strong").textContent = name;
  return row;
}

carsAlong().then((along) => {
  const cars = Object.entries(along).filter(([, { pages }]) => pages.length > 0);
  const [, asked] = /^\/cars\/([^/]+)/.exec(location.pathname) ?? [];
  cars.sort(([a], [b]) => (b === asked) - (a === asked)); // the one that was asked about first
  list.append(...cars.map(carOf));
  document.getElementById("none").hidden = cars.length > 0;
  document.documentElement.classList.remove("laying");
});
