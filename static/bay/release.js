// A newer release of this program is offered, never forced: whoever is typing goes on with the old one.

const LATER = "release later";
let tapped = false;

/** Start the worker, and offer the next one when it is ready. */
export async function offerReleases() {
  const { serviceWorker } = navigator;
  if (!serviceWorker) return;
  // Only the tab whose button was tapped is loaded again; in another one somebody may be typing.
  serviceWorker.addEventListener("controllerchange", () => tapped && location.reload());
  const registration = await serviceWorker.register("/sw.js", { updateViaCache: "none" }).catch(() => null);
  if (!registration) return; // the garage is away, or does not know this phone
  const look = () => offer(registration);
  registration.addEventListener("updatefound", () => registration.installing?.addEventListener("statechange", look));
  registration.installing?.addEventListener("statechange", look);
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") registration.update().catch(() => {});
  });
  look();
}

function offer(registration) {
  const strip = document.getElementById("release");
  const isNew = registration.waiting !== null && registration.active !== null;
  if (strip === null || !isNew || sessionStorage.getItem(LATER)) return;
  strip.hidden = false;
  strip.querySelector("[value=use]").onclick = () => {
    tapped = true;
    registration.waiting?.postMessage("use it");
  };
  strip.querySelector("[value=later]").onclick = () => {
    sessionStorage.setItem(LATER, "yes");
    strip.hidden = true;
  };
}
