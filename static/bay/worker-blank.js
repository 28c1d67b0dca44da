// A job or ticket opened on this phone, or an event planned on it, has a page before the garage knows of it: the car's blank one, with its id in.

const PLACEHOLDER = "00000000-0000-4000-8000-000000000000"; // as app/pages/kept_for_good.py writes it
const NEW_RECORD = /^\/(job|ticket|event)s\/([0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12})$/;

/** The blank page of this address, for a record that was made on this phone; `waits`: and that is not yet sent. */
async function blankPage(url, { waits }) {
  const [, kind, id] = NEW_RECORD.exec(url.pathname) ?? [];
  if (!id) return null;
  const entries = (await entriesHere(waits ? ["outbox"] : ["outbox", "sent"])).filter(
    (entry) => entry.kind === kind && entry.record === id,
  );
  if (entries.length === 0) return null;
  const car = entries.find((entry) => entry.fields.car)?.fields.car ?? url.searchParams.get("car");
  const page = await keptPage(new URL(`/cars/${car}/${kind}s/blank`, url.origin));
  return page ? remade(page, (await page.text()).replaceAll(PLACEHOLDER, id)) : null;
}

/** The entries in these stores of the phone's memory; none if the page has not made it yet. */
function entriesHere(stores) {
  return new Promise((resolve) => {
    // Without a version: which one it is, is for the page to say (store.js).
    const opening = indexedDB.open("witnessmark");
    opening.onupgradeneeded = () => opening.transaction.abort();
    opening.onerror = () => resolve([]);
    opening.onsuccess = () => {
      const db = opening.result;
      const reading = db.transaction(stores);
      const found = stores.map((store) => reading.objectStore(store).getAll());
      reading.oncomplete = () => {
        db.close(); // it must never stand in the way of a newer page's
        resolve(found.flatMap((request) => request.result));
      };
      reading.onabort = () => resolve([]);
    };
  });
}
