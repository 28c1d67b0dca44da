"""A phone: a real Chromium with a profile of its own and two tabs, any part of which may be killed at any moment."""

import asyncio
import base64
import hashlib
import os
import shutil
import signal
import subprocess
from collections import Counter
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from playwright.async_api import Browser, BrowserContext, CDPSession, Error, Page, Playwright

from app.phone.cookie import PLAIN_COOKIE
from tests.torture.ledger import Ledger
from tests.torture.stories import Act, Told

FLAGS = (
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
    "--remote-debugging-port=0",
    "--window-size=412,915",
)
HOOKS = (Path(__file__).parent / "hooks.js").read_text(encoding="utf-8")
#: The page the tabs lie on; any page of the server's brings the outbox.
RESTING_PLACE = "/settings"
TABS = 2
_NAMES = ("chromium", "chromium-browser", "google-chrome")
_PATIENCE_S = 20.0

#: Keeps acts one after the other, as taps do, and says of each what the person was told.
_KEEP = """async ({bay, acts, closing}) => {
  const [{keep}, {now}, {send}] = await Promise.all(
    ["outbox.js", "entry.js", "sender.js"].map((name) => import(bay + name)));
  for (const act of acts) {
    const at = now();
    const moment = (value) => (value === "@now" ? at : value);
    const entries = act.map(({picture, ...one}) => ({
      ...one,
      ...(picture && {picture: Uint8Array.from(atob(picture), (c) => c.charCodeAt(0)).buffer}),
      fields: Object.fromEntries(Object.entries(one.fields).map(([name, value]) => [name, moment(value)])),
      version: 1, happened_at: at, entered_at: at, says: "", page: "",
    }));
    const ids = entries.map((one) => one.id);
    try {
      await keep(entries);
      told({kept: ids});
    } catch (error) {
      told({notKept: ids, why: error.name});
    }
    if (closing && Math.random() < 0.3) closeDatabases();
  }
  send().catch(() => {});
}"""
_BAY = """() => document.querySelector('script[src*="/bay.js"]').src.replace(/bay\\.js.*$/, "")"""


def chromium() -> str | None:
    """The browser to drive; None if there is none."""
    return os.environ.get("CHROMIUM") or next(filter(None, map(shutil.which, _NAMES)), None)


@dataclass
class Phone:
    """One device. Every method may raise playwright's Error when what it works on is killed meanwhile."""

    who: str
    folder: Path
    address: str
    chromium: str
    playwright: Playwright
    ledger: Ledger
    #: What it carries since it was paired, once; Chromium writes such a thing down only after half a minute.
    paired: str
    skews_ms: Sequence[int] = (0,)
    tabs: list[Page] = field(default_factory=list)
    why_not_kept: Counter[str] = field(default_factory=Counter)
    _process: subprocess.Popen[bytes] | None = None
    _browser: Browser | None = None
    _room: CDPSession | None = None
    _lives: int = 0

    async def switch_on(self, *, room: int | None = None) -> None:
        """Start the browser on this phone's own profile, its clock wrong by the next of `skews_ms`.

        `room`: how many bytes the site may keep, where that is less than what the phone really has.
        """
        port_file = self.folder / "DevToolsActivePort"
        port_file.unlink(missing_ok=True)
        self._process = subprocess.Popen(  # it returns at once
            [self.chromium, *FLAGS, f"--user-data-dir={self.folder}", "about:blank"],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        while not (port_file.exists() and port_file.read_text().count("\n")):
            await asyncio.sleep(0.02)
        port = port_file.read_text().split("\n")[0]
        self._browser = await self.playwright.chromium.connect_over_cdp(f"http://127.0.0.1:{port}")
        await self.context.add_cookies([{"name": PLAIN_COOKIE, "value": self.paired, "url": self.address}])
        skew = self.skews_ms[self._lives % len(self.skews_ms)]
        self._lives += 1
        await self.context.add_init_script(HOOKS.replace("SKEW_MS", str(skew)))
        await self.context.expose_binding("told", self._told)
        await self.context.expose_binding("madeInPage", lambda _, one: self.ledger.make(self.who, one))
        self._room = None
        if room is not None:
            await self._make_room(room)
        self.tabs = [await self._open() for _ in range(TABS)]

    @property
    def context(self) -> BrowserContext:
        """The browser's own profile."""
        assert self._browser is not None
        return self._browser.contexts[0]

    def _told(self, _: object, said: Mapping[str, Any]) -> None:
        self.ledger.acknowledge(self.who, said.get("kept", ()))
        self.ledger.not_kept.update(said.get("notKept", ()))
        if why := said.get("why"):
            self.why_not_kept[why] += 1

    async def kill(self) -> None:
        """SIGKILL to the whole browser, as when the battery is pulled."""
        assert self._process is not None
        assert self._browser is not None
        os.killpg(self._process.pid, signal.SIGKILL)
        await asyncio.to_thread(self._process.wait)
        with suppress(Error):
            await self._browser.close()

    async def crash(self, n: int) -> None:
        """Kill one tab's process, and put another tab in its place."""
        page = self.tabs[n]
        with suppress(Error, TimeoutError):
            session = await self.context.new_cdp_session(page)
            async with asyncio.timeout(1):
                await session.send("Page.crash")
        with suppress(Error):
            await page.close()
        self.tabs[n] = await self._open()

    async def close_tab(self, n: int) -> None:
        """Close one tab without asking it, and open another."""
        await self.tabs[n].close(run_before_unload=False)
        self.tabs[n] = await self._open()

    async def _open(self) -> Page:
        page = await self.context.new_page()
        await self.rest(page)
        return page

    async def mend(self) -> None:
        """After something died: have every tab there again, whatever it takes."""
        try:
            for n, page in enumerate(self.tabs):
                if page.is_closed():
                    self.tabs[n] = await self._open()
                else:
                    await self.rest(page)
        except (Error, TimeoutError):
            await self.kill()
            await self.switch_on()

    async def rest(self, page: Page, path: str = RESTING_PLACE) -> None:
        """Look at a page until it and its scripts are there, whatever the weather."""
        while True:
            with suppress(Error):
                await page.goto(self.address + path, timeout=4_000)
                if await page.evaluate(f"async () => Boolean(await import(({_BAY})() + 'bay.js'))"):
                    return
            await asyncio.sleep(0.15)

    async def keep(self, tab: int, acts: Sequence[Act], *, closing: bool = False) -> None:
        """Enter acts in one tab, and set the sending going, as a tap does."""
        for one in (one for act in acts for one in act):
            self.ledger.make(self.who, one.id)
            if one.bad:
                self.ledger.bad.add(one.id)
            if one.picture:
                self.ledger.pictures[one.record] = hashlib.sha256(base64.b64decode(one.picture)).hexdigest()
        plain = [
            [
                {
                    "id": one.id,
                    "kind": one.kind,
                    "record": one.record,
                    "fields": dict(one.fields),
                    "picture": one.picture,
                }
                for one in act
            ]
            for act in acts
        ]
        page = self.tabs[tab]
        async with asyncio.timeout(_PATIENCE_S):
            bay = await page.evaluate(_BAY)
            await page.evaluate(_KEEP, {"bay": bay, "acts": plain, "closing": closing})

    async def fill_up(self, acts: Sequence[Act]) -> None:
        """Switch the phone on with no room left, enter acts (none of which it can keep), then make room again.

        Chromium remembers for a while how much room there was, so a phone that is on already would not notice.
        """
        await self.switch_on(room=1)
        for tab in range(TABS):
            await self.keep(tab, acts[tab::TABS])
        await self._make_room(None)

    async def _make_room(self, limit: int | None) -> None:
        session = self._room = self._room or await self.context.new_cdp_session(await self.context.new_page())
        asked: dict[str, Any] = {"origin": self.address}
        if limit is not None:
            asked["quotaSize"] = limit
        await session.send("Storage.overrideQuotaForOrigin", asked)

    async def in_page(self, script: str, given: object = None, tab: int = 0) -> Any:
        """Run a script with the phone's own modules at hand as `bay(name)`."""
        page = self.tabs[tab]
        whole = (
            f"async (given) => {{ const bay = (name) => import(({_BAY})() + name); return await ({script})(given); }}"
        )
        return await page.evaluate(whole, given)

    async def outbox(self) -> list[Mapping[str, Any]]:
        """Everything that waits on this phone."""
        found: list[Mapping[str, Any]] = await self.in_page("async () => (await (await bay('outbox.js')).waiting())")
        return found


def _plain(one: Told) -> dict[str, object]:
    return {"id": one.id, "kind": one.kind, "record": one.record, "fields": dict(one.fields), "picture": one.picture}
