// Done to a page before its own scripts run: what a phone's system and its browser may do to it.
(() => {
  const skew = Number("SKEW_MS");
  const RealDate = Date;
  globalThis.Date = class Date extends RealDate {
    constructor(...given) {
      if (given.length > 0) super(...given);
      else super(RealDate.now() + skew);
    }

    static now() {
      return RealDate.now() + skew;
    }
  };
  delete globalThis.SyncManager;

  // Databases as the page opened them, so that they can be closed under it.
  const databases = [];
  const open = IDBFactory.prototype.open;
  IDBFactory.prototype.open = function (...given) {
    const request = open.apply(this, given);
    request.addEventListener("success", () => databases.push(request.result));
    return request;
  };
  globalThis.closeDatabases = () => {
    for (const database of databases.splice(0)) database.close();
  };

  // Ids as the page itself makes them, told at once: the page may not live to tell later.
  const randomUUID = crypto.randomUUID.bind(crypto);
  crypto.randomUUID = () => {
    const id = randomUUID();
    globalThis.madeInPage?.(id);
    return id;
  };
})();
