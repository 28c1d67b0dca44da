"""What befalls phones and server while people work: the weather changes, and anything may be killed."""

import asyncio
import random
from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field, replace
from itertools import islice

from playwright.async_api import Error

from tests.torture import stories
from tests.torture.phone import TABS, Phone
from tests.torture.proxy import FAIR, NO_SIGNAL, STORM, Proxy
from tests.torture.server import Server
from tests.torture.stories import Act
from tests.torture.taps import tap


async def bad_weather(proxy: Proxy, server: Server, dice: random.Random) -> None:
    """Until cancelled: storm mostly, now and then no signal at all, seldom fair; the server killed out of the blue."""
    while True:
        (proxy.weather,) = dice.choices((STORM, NO_SIGNAL, FAIR), (6, 2, 1))
        await asyncio.sleep(dice.uniform(0.4, 2.0))
        if dice.random() < 0.15:
            server.kill()


@dataclass
class Person:
    """Someone with a phone, who enters one act after the other whatever happens."""

    phone: Phone
    acts: Iterator[Act]
    dice: random.Random
    gets_full: bool = False
    befell: Counter[str] = field(default_factory=Counter)
    _owed: list[Act] = field(default_factory=list)

    async def work(self, entries: int) -> None:
        """Enter acts until the phone has said of so many entries that it kept them."""
        ledger, who = self.phone.ledger, self.phone.who
        goal = ledger.count(who) + entries
        while (left := goal - ledger.count(who)) > 0:
            burst = self._next(min(left, self.dice.randint(5, 30)))
            try:
                await self._enter(burst)
            except (Error, TimeoutError):
                self.befell["a page that died under the fingers"] += 1
                await self.phone.mend()
            self._see_what_was_kept(burst)

    def _next(self, n: int) -> list[Act]:
        burst, self._owed = self._owed + list(islice(self.acts, n)), []
        return burst

    def _see_what_was_kept(self, burst: list[Act]) -> None:
        # What nobody was told to be kept is entered again, as someone would who looks for it and does not find it.
        lost = [act for act in burst if not all(self.phone.ledger.has(one.id) for one in act)]
        self._owed += [[replace(one, id=stories.fresh_id(self.dice)) for one in act] for act in lost]

    async def _enter(self, burst: list[Act]) -> None:
        tab = self.dice.randrange(TABS)
        (what,) = self.dice.choices(
            (self._calmly, self._closing, self._crash, self._reload, self._close_tab, self._kill, self._tap),
            (70, 12, 4, 3, 3, 3, 4),
        )
        await what(tab, burst)

    async def _calmly(self, tab: int, burst: list[Act]) -> None:
        await self.phone.keep(tab, burst)

    async def _closing(self, tab: int, burst: list[Act]) -> None:
        self.befell["database closed under the page"] += 1
        await self.phone.keep(tab, burst, closing=True)

    async def _crash(self, tab: int, burst: list[Act]) -> None:
        entering = await self._begun(tab, burst)
        self.befell["tab crashed"] += 1
        await self.phone.crash(tab)
        await _over(entering)

    async def _reload(self, tab: int, burst: list[Act]) -> None:
        entering = await self._begun(tab, burst)
        self.befell["page reloaded"] += 1
        await self.phone.rest(self.phone.tabs[tab])
        await _over(entering)

    async def _close_tab(self, tab: int, burst: list[Act]) -> None:
        entering = await self._begun(tab, burst)
        self.befell["tab closed"] += 1
        await self.phone.close_tab(tab)
        await _over(entering)

    async def _kill(self, tab: int, burst: list[Act]) -> None:
        entering = await self._begun(tab, burst)
        self.befell["browser killed (SIGKILL)"] += 1
        await self.phone.kill()
        await _over(entering)
        if self.gets_full and self.dice.random() < 0.5:
            self.befell["phone full"] += 1
            unlucky = list(islice(self.acts, 6))
            burst += unlucky  # so that work() sees what became of them, too
            await self.phone.fill_up(unlucky)
        else:
            await self.phone.switch_on()

    async def _tap(self, tab: int, burst: list[Act]) -> None:
        await self.phone.keep(tab, burst)
        self.befell["entries kept by taps on forms"] += await tap(self.phone, self.dice)

    async def _begun(self, tab: int, burst: list[Act]) -> asyncio.Task[None]:
        entering = asyncio.create_task(self.phone.keep(tab, burst))
        await asyncio.sleep(self.dice.uniform(0, 0.15))
        return entering


async def _over(entering: asyncio.Task[None]) -> None:
    with suppress(Error, TimeoutError):
        await entering
