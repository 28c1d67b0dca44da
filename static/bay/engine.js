// The engine as it is now, as a person said on this phone: for some hours, since it does not stay so.

const HOURS = 2;
const choice = document.getElementById("engine");
const key = `engine ${choice.dataset.car}`;

/** Cold, warm, running or on the road, by its key; nothing where nobody said, or that is long ago. */
export function engineNow() {
  const [is, at] = (localStorage.getItem(key) ?? "").split(" ");
  return is && Date.now() - Number(at) < HOURS * 3_600_000 ? is : null;
}

/** Do this whenever it is said anew. */
export function onEngine(changed) {
  choice.value = engineNow() ?? "";
  choice.addEventListener("change", () => {
    if (choice.value) localStorage.setItem(key, `${choice.value} ${Date.now()}`);
    else localStorage.removeItem(key);
    changed();
  });
}
