"""The outbox under torture: `python -m tests.torture.run --seed 1 --entries 10000`.

Two phones with two tabs each enter thousands of entries while requests and answers are lost, the server is killed in
the middle of an answer, tabs crash, whole browsers are killed, clocks are wrong, the phone is full and its database is
closed under the page. Then the weather clears, all is sent, and the ledger is held against the record.
"""

import argparse
import asyncio
import random
import sys
import tempfile
import time
from collections import Counter
from collections.abc import AsyncIterator, Mapping, Sequence
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path

from playwright.async_api import Error, Playwright, async_playwright

from app.records.garage import Garage
from app.records.known import Known
from app.records.logbook import now
from tests.conftest import paired
from tests.torture import agree, stories
from tests.torture.ledger import Ledger, Verdict, judge
from tests.torture.phone import Phone, chromium
from tests.torture.proxy import FAIR, Proxy
from tests.torture.server import Server
from tests.torture.storm import Person, bad_weather

_MINUTE_MS = 60_000
#: How wrong each phone's clock is, one life of its browser after the other.
SKEWS_MS = {
    "A": (0, -10 * _MINUTE_MS, 0),
    "B": (10 * _MINUTE_MS, -10 * _MINUTE_MS, 120 * _MINUTE_MS, 6 * _MINUTE_MS),
}
#: The phone that also gets full. A full phone forgets what it has sent, so old pages are only held against the other.
GETS_FULL, REMEMBERS = "B", "A"
#: How often each phone tries to hand in what is left, once the weather is fair.
_TRIES = 20


@dataclass
class Run:
    """One run: what was asked for, what befell, what came of it."""

    seed: int
    entries: int
    folder: Path
    ledger: Ledger = field(default_factory=Ledger)
    befell: Counter[str] = field(default_factory=Counter)
    verdict: Verdict | None = None
    left: list[Mapping[str, object]] = field(default_factory=list)
    disagree: dict[str, list[str]] = field(default_factory=dict)
    took_s: float = 0.0

    @property
    def wrong(self) -> Mapping[str, Sequence[str]]:
        """What came out wrong: name -> entries or records. Empty after a run as it should be."""
        assert self.verdict is not None
        return {**self.verdict.wrong, **{name: refs for name, refs in self.disagree.items() if refs}}


async def torture(run: Run) -> Run:
    """Do it, and fill in `run`."""
    begun = time.monotonic()
    server = Server(run.folder / "garage")
    garage = server.look()
    stories.lay_ground(garage)
    ground = _arrived(garage)
    proxy = Proxy(server.port, run.seed, kill=server.kill)
    try:
        await server.start()
        await proxy.start()
        async with async_playwright() as playwright, _people(run, playwright, proxy, garage) as people:
            old_page, as_of = await _storm(run, people, proxy, server, garage)
            run.left = await _hand_in(people, server)
            refused, waiting = _told_apart(run.left)
            run.verdict = judge(run.ledger, _arrived(garage)[len(ground) :], refused, waiting)
            await _compare(run, people, garage, old_page, as_of)
    finally:
        await proxy.stop()
        await server.stop()
        garage.close()
    run.befell.update(proxy.befell)
    run.befell["server killed (SIGKILL)"] = server.kills
    run.took_s = time.monotonic() - begun
    return run


@asynccontextmanager
async def _people(run: Run, playwright: Playwright, proxy: Proxy, garage: Garage) -> AsyncIterator[list[Person]]:
    browser = chromium()
    assert browser is not None, "no Chromium on PATH, and CHROMIUM is not set"
    people = []
    for who, skews in SKEWS_MS.items():
        address = f"http://127.0.0.1:{proxy.port}"
        profile, cookie = run.folder / f"phone-{who}", paired(garage, who)
        phone = Phone(who, profile, address, browser, playwright, run.ledger, cookie, skews)
        dice = random.Random(f"{run.seed} what befalls {who}")  # noqa: S311  # fate, no secret
        people.append(Person(phone, stories.acts(run.seed, who), dice, who == GETS_FULL))
    try:
        await asyncio.gather(*(person.phone.switch_on() for person in people))
        yield people
    finally:
        for person in people:
            with suppress(Error):
                await person.phone.kill()
            run.befell.update(person.befell)
            run.befell.update({f"not kept, and said so ({why})": n for why, n in person.phone.why_not_kept.items()})


async def _storm(run: Run, people: list[Person], proxy: Proxy, server: Server, garage: Garage) -> tuple[Known, str]:
    """Work through the storm. What a page of half way through would have held, and as of when."""
    dice = random.Random(f"{run.seed} weather")  # noqa: S311  # weather, no secret
    weather = asyncio.create_task(bad_weather(proxy, server, dice))
    half = run.entries // len(people) // 2
    try:
        await asyncio.gather(*(person.work(half) for person in people))
        as_of = now()
        old_page = _every(garage)
        await asyncio.gather(*(person.work(half) for person in people))
    finally:
        weather.cancel()
        proxy.weather = FAIR
    return old_page, as_of


async def _hand_in(people: list[Person], server: Server) -> list[Mapping[str, object]]:
    """Send all there is. What stays in the outboxes."""
    await server.wait_up()
    left = await asyncio.gather(*(_emptied(person.phone) for person in people))
    return [one for mine in left for one in mine]


def _told_apart(left: Sequence[Mapping[str, object]]) -> tuple[list[str], list[str]]:
    """The ids of what is left with a reason, and without one.

    Someone not told that an entry was kept enters it again under a new id. Where no server would take it, the first is
    refused and the second waits for the first to be mended: that is its reason.
    """
    refused = {
        str(one["id"]): (one["kind"], one["record"]) for one in left if one["state"] == "refused" and one["reasons"]
    }
    behind = [str(one["id"]) for one in left if (one["kind"], one["record"]) in refused.values()]
    explained = list(dict.fromkeys([*refused, *behind]))
    return explained, [str(one["id"]) for one in left if str(one["id"]) not in explained]


async def _emptied(phone: Phone) -> list[Mapping[str, object]]:
    await phone.mend()
    left = await phone.outbox()
    for _ in range(_TRIES):
        await phone.in_page("async () => { await (await bay('sender.js')).send(); }")
        left = await phone.outbox()
        if all(one["state"] == "refused" for one in left):
            break
        await asyncio.sleep(0.5)
    return left


async def _compare(run: Run, people: list[Person], garage: Garage, old_page: Known, as_of: str) -> None:
    every = _every(garage)
    with garage.read() as db:
        run.disagree["records that are not what their entries add up to"] = agree.rows_against_entries(db, every)
        run.disagree["photos whose picture is missing or another"] = agree.without_picture(db, run.ledger.pictures)
        run.befell["photos with their pictures"] = agree.photos(db)
        authors = agree.authors(db, run.ledger.made)
    for person in people:
        phone = person.phone
        await phone.mend()
        # Refused entries are laid over too, as they may yet be mended; they are about records of their own.
        shown = await agree.laid_over(phone, every, now(), list(every))
        run.disagree[f"phone {phone.who} shows otherwise than the server"] = agree.differing(shown, every)
        if phone.who == REMEMBERS:
            mine = [ref for ref, names in authors.items() if names == {phone.who}]
            shown = await agree.laid_over(phone, old_page, as_of, mine)
            wanted = {ref: every[ref] for ref in mine}
            run.disagree[f"an old page on phone {phone.who} shows otherwise"] = agree.differing(shown, wanted)
            run.befell["records held against an old page"] = len(mine)
    run.befell["records held against each phone"] = len(every)


def _every(garage: Garage) -> Known:
    with garage.read() as db:
        return agree.everything(db)


def _arrived(garage: Garage) -> list[str]:
    with garage.read() as db:
        return list(db.exec_driver_sql("SELECT id FROM entry ORDER BY seq").scalars())


def report(run: Run) -> str:
    """The run as a table."""
    verdict = run.verdict
    assert verdict is not None
    lines = [f"seed {run.seed}, {len(run.ledger.made)} made, {run.took_s:.0f} s", ""]
    lines += [f"{n:7d}  {what}" for what, n in sorted(run.befell.items())]
    lines += ["", f"{verdict.acknowledged:7d}  acknowledged as kept", f"{verdict.recorded:7d}  in the record"]
    lines += [f"{verdict.refused:7d}  refused, in an outbox with the reason", ""]
    judged = {
        "acknowledged and missing": verdict.missing,
        "duplicated": verdict.doubled,
        "unexplained": verdict.unexplained,
        "told not kept, yet in the record": verdict.kept_though_told_not,
        "out of its device's order": verdict.out_of_order,
        "left in an outbox without a reason": verdict.left_waiting,
        **run.disagree,
    }
    lines += [f"{len(found):7d}  {what}" for what, found in judged.items()]
    lines += [f"         {what}: {', '.join(found[:5])}" for what, found in run.wrong.items()]
    odd = [one for one in run.left if one["id"] not in run.ledger.bad]
    lines += [f"         left: {one['kind']} {one['record']} {one['fields']} {one['reasons']}" for one in odd[:20]]
    return "\n".join(lines)


def main() -> int:
    """Run it from the command line: 0 if all came out right."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--entries", type=int, default=10_000)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="torture", ignore_cleanup_errors=True) as folder:
        run = asyncio.run(torture(Run(asked.seed, asked.entries, Path(folder))))
        said = (Path(folder) / "garage.said").read_text(encoding="utf-8", errors="replace")
    print(report(run))
    if said:
        print("\nThe server said:\n" + said[-3000:])
    return 1 if run.wrong else 0


if __name__ == "__main__":
    sys.exit(main())
