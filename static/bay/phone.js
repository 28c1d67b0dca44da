// What a page does for the phone it is on, beside the work itself: cars taken along, and the next release.

import { rememberCar } from "./along.js";
import { freshenFromNowOn } from "./freshen.js";
import { lookAfterKeptPage } from "./kept.js";
import { offerReleases } from "./release.js";
import { takeAlongFromNowOn } from "./take.js";

const CAR_PAGE = /^\/cars\/([^/]+)$/;

/** Start all of it; what costs the network or the processor, once the page stands. */
export function liveOnThisPhone() {
  takeAlongFromNowOn();
  lookAfterKeptPage();
  const [, car] = CAR_PAGE.exec(location.pathname) ?? [];
  if (car && document.querySelector("[data-take-along]")) rememberCar(decodeURIComponent(car)).catch(() => {});
  const later = () => {
    offerReleases();
    freshenFromNowOn();
  };
  if (document.readyState === "complete") later();
  else addEventListener("load", later, { once: true });
}
