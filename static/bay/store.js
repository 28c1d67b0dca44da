// The phone's own memory: one IndexedDB database, opened again when the system has closed it.

const NAME = "witnessmark";
const VERSION = 1;
let opening = null;

function open() {
  opening ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, VERSION);
    request.onupgradeneeded = () => {
      const outbox = request.result.createObjectStore("outbox", { keyPath: "n", autoIncrement: true });
      outbox.createIndex("id", "id", { unique: true });
      const sent = request.result.createObjectStore("sent", { keyPath: "n" });
      sent.createIndex("shownFrom", "shownFrom");
      request.result.createObjectStore("notes");
      request.result.createObjectStore("pictures"); // by the photo's id, until its entry is sent
    };
    request.onsuccess = () => {
      const db = request.result;
      const forget = () => {
        db.close();
        opening = null;
      };
      db.onclose = forget;
      db.onversionchange = forget;
      resolve(db);
    };
    request.onerror = () => {
      opening = null;
      reject(request.error);
    };
  });
  return opening;
}

/** The result of one IndexedDB request. */
export function done(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/**
 * Run `work(store, ...)` in one transaction on the named store (or stores, in an array); its answer, once the
 * transaction is on the disk.
 * A write asks for strict durability: what the person is told is kept survives the phone losing its power.
 */
export async function within(names, mode, work) {
  const list = [names].flat();
  for (let attempt = 0; ; attempt += 1) {
    const db = await open();
    let transaction;
    try {
      transaction = db.transaction(list, mode, { durability: mode === "readwrite" ? "strict" : "default" });
    } catch (error) {
      if (attempt > 0 || error.name !== "InvalidStateError") throw error;
      opening = null; // closed by the system while the page slept
      continue;
    }
    const finished = new Promise((resolve, reject) => {
      transaction.oncomplete = resolve;
      transaction.onabort = () => reject(transaction.error ?? new DOMException("Not kept", "AbortError"));
    });
    finished.catch(() => {}); // an error of `work` itself is the one to tell
    try {
      const answer = await work(...list.map((name) => transaction.objectStore(name)));
      await finished;
      return answer;
    } catch (error) {
      try {
        transaction.abort();
      } catch {
        // it has ended already
      }
      throw error;
    }
  }
}

/** A small thing to remember on this phone; undefined if it never was. */
export function recall(name) {
  return within("notes", "readonly", (notes) => done(notes.get(name)));
}

/** Remember it. */
export function remember(name, value) {
  return within("notes", "readwrite", (notes) => done(notes.put(value, name)));
}
