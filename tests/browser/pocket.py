"""A phone in a pocket: it enters, sends and tells what waits on it, on whatever page of the program lies open."""

import asyncio
import threading
import uuid
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from playwright.sync_api import BrowserContext, Error, Page

from tests.torture.proxy import LOST_REQUEST, Proxy

#: A page that loads quickly and brings the outbox with it.
RESTING_PLACE = "/settings"
AWAY = {LOST_REQUEST: 1.0}
#: How often a page may be on its way elsewhere when it is put away.
_LEAVES = 5

_BAY = """const bay = (name) => {
  const own = document.querySelector('script[src*="/bay.js"]').src;
  return import(own.replace(/bay\\.js.*$/, "all.js")).then(({ partNamed }) => partNamed(name));
};"""


def run(page: Page, script: str, given: object = None) -> Any:
    """Run a script with the page's own modules at hand: `await bay("outbox.js")`."""
    return page.evaluate(f"async (given) => {{ {_BAY} {script} }}", given)


def ask(page: Page, script: str) -> Any:
    """The same for what may be asked twice: a page that is just leaving is asked again as the one it leads to."""
    for _ in range(_LEAVES):
        try:
            return run(page, script)
        except Error as error:
            if "context was destroyed" not in str(error):
                raise
            page.wait_for_load_state()
    return run(page, script)


def lay(page: Page) -> None:
    """Lay all that is on this phone over the page, and wait for it."""
    ask(page, "await bay('bay.js'); await (await bay('lay.js')).lay();")


def rest(context: BrowserContext, address: str) -> Page:
    """A tab of this phone, its scripts running."""
    page = context.new_page()
    page.goto(address + RESTING_PLACE)
    run(page, "await bay('bay.js');")
    return page


def told(kind_: str, record_: str, **fields: object) -> dict[str, object]:
    """One entry to be kept, its moments filled in by the phone."""
    return {"id": str(uuid.uuid4()), "kind": kind_, "record": record_, "fields": fields}


def keep(page: Page, *entries: Mapping[str, object]) -> None:
    """Keep entries as one act, as a form does, and send nothing."""
    run(
        page,
        """const [{ keep }, { now }] = [await bay("outbox.js"), await bay("entry.js")];
        const at = now();
        const moment = (value) => (value === "@now" ? at : value);
        await keep(given.map((one) => ({
          ...one,
          fields: Object.fromEntries(Object.entries(one.fields).map(([name, value]) => [name, moment(value)])),
          version: 1, happened_at: at, entered_at: at, says: "", page: "" })));""",
        list(entries),
    )


def send(page: Page) -> None:
    """Send what waits, as far as it goes."""
    run(page, "await (await bay('sender.js')).send();")


def waiting(page: Page) -> list[dict[str, Any]]:
    """Everything in the outbox."""
    found: list[dict[str, Any]] = ask(page, "return (await bay('outbox.js')).waiting();")
    return found


def strip(page: Page) -> str:
    """What the strip says; nothing while it is not shown."""
    shown = page.locator("#waiting")
    return " ".join(shown.inner_text().split()) if shown.is_visible() else ""


def put_away(context: BrowserContext) -> None:
    """Close a phone. Chromium can wait for ever for a page that is just leaving, so each goes nowhere first."""
    for page in context.pages:
        for _ in range(_LEAVES):
            try:
                page.goto("about:blank", wait_until="commit")
                break
            except Error:  # it was on its way elsewhere
                continue
    context.close()


@contextmanager
def weather_before(address: str) -> Iterator[tuple[Proxy, str]]:
    """A proxy in front of `address` that spares the pages; its weather may be changed. Yields it and its address."""
    proxy = Proxy(int(address.rpartition(":")[2]), seed=1, pages_share=0)
    loop = asyncio.new_event_loop()
    thread = threading.Thread(target=loop.run_forever)
    thread.start()
    try:
        asyncio.run_coroutine_threadsafe(proxy.start(), loop).result()
        yield proxy, f"http://127.0.0.1:{proxy.port}"
    finally:
        asyncio.run_coroutine_threadsafe(proxy.stop(), loop).result()
        loop.call_soon_threadsafe(loop.stop)
        thread.join()
        loop.close()
