"""Whether a page slows down as the record grows: 20 cars and ten years against one of a thousand entries.

    python -m tests.benchmarks.scale [--entries 100000] [--rounds 60]

Two garages are made. Each page is called of both in turn, in one process,
without a network; the median of the calls counts. At most 1.3 times as long is the aim. The page called is that of the
busiest car, and the searches are for words that a tenth or more of all records hold, for a rare one, and for none.
"""

import argparse
import asyncio
import random
import statistics
import tempfile
import time
import uuid
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from urllib.parse import urlencode

from sqlalchemy import Connection, Text

from app.airpath import layouts
from app.airpath.words import Layout
from app.main import create_app
from app.phone.cookie import PLAIN_COOKIE
from app.records.engine import writing
from app.records.entry import ENTRY, ODOMETER, Entry, Value
from app.records.fields import moment_text
from app.records.findable import find_anew
from app.records.garage import Garage
from app.records.kinds import KINDS
from app.records.logbook import take_one
from app.records.starting import car_entries
from app.settings import Settings, shipped
from tests.conftest import paired

AT_MOST = 1.3
CAR = "car-1"
SEARCHES = ("hose", "coupler clamp", "throttle", "brittle", "zebra")
PAGES = (
    f"/cars/{CAR}",
    f"/cars/{CAR}/touched",
    *(f"/find?{urlencode({'q': words})}" for words in SEARCHES),
    f"/find?{urlencode({'q': 'hose', 'car': CAR})}",
    f"/cars/{CAR}/hoses",
)
_WORK = ("Coupler", "Gauge hose", "Clamps", "Breather", "Boost leak looked for", "Intake off", "Belt", "Fluids")
_NOTES = ("clamp tightened", "hose chafed at the bracket", "coupler wiped out with a rag", "nothing found")


@dataclass
class Life:
    """One car's entries, one work evening after the other."""

    car: str
    evenings: int
    seed: int
    end: datetime

    def entries(self) -> Iterator[Entry]:
        dice = random.Random(self.seed)  # noqa: S311  # a story, not a secret
        layout = layouts.load(list(Layout)[self.seed % 3], shipped("seed_data") / "layouts")
        step = timedelta(days=3650) / max(1, self.evenings)
        when = self.end - timedelta(days=3650)

        def make(kind: str, record: str, fields: Mapping[str, Value]) -> Entry:
            at = moment_text(when)
            return Entry(str(uuid.UUID(int=dice.getrandbits(128), version=4)), kind, record, fields, at, at, "bench")

        yield from car_entries(make, self.car, layout, {"name": f"Car {self.seed}"})
        lines = [f"{self.car}.{line.key}" for line in layout.lines]
        for n in range(self.evenings):
            when += step
            yield from _evening(make, dice, (self.car, n, moment_text(when)), lines)


def _evening(
    make: Callable[[str, str, Mapping[str, Value]], Entry],
    dice: random.Random,
    told: tuple[str, int, str],
    lines: list[str],
) -> Iterator[Entry]:
    car, n, at = told
    job, reads = f"{car}-j{n}", 20_000 + n * 90
    yield make("drive", f"{car}-d{n}", {"car": car, "at": at, "odometer": reads, "heat_cycles": 2})
    title = f"{dice.choice(_WORK)} {n}"
    yield make("job", job, {"car": car, "title": title, "opened_at": at, "note": dice.choice(_NOTES)})
    for line in dice.sample(lines, 3):
        noted: dict[str, Value] = {"note": "end brittle"} if dice.random() < 0.01 else {}
        yield make("touch", f"{job}.{line}", {"job": job, "line": line, "how": "disconnected", "at": at} | noted)
        for joint in (f"{line}.from", f"{line}.to"):
            yield make("loose_end", f"{job}.{joint}", {"job": job, "joint": joint, "back_on_at": at})
            checked: dict[str, Value] = {"car": car, "job": job, "joint": joint, "done_at": at, "mark": "drawn"}
            yield make("check", f"{job}.{joint}", checked)
    yield make("finding", f"{car}-f{n}", {"car": car, "job": job, "line": dice.choice(lines), "seen_at": at,
               "what": f"{dice.choice(_NOTES)} ({n})", "settled_at": at, "settled_how": "seen to"})  # fmt: skip
    boost: dict[str, Value] = {"what": "peak_boost", "condition": "full_throttle", "unit": "bar", "basis": "gauge"}
    boost |= {"car": car, "value": round(dice.gauss(1.2, 0.02), 2), "taken_at": at, "odometer": reads, "healthy": True}
    yield make("reading", f"{car}-r{n}", boost)
    yield make("job", job, {"closed_at": at})


#: Entries of one evening, and of a car before the first.
_AN_EVENING, _A_CAR = 20, 95


def made(folder: Path, entries: int, cars: int) -> Garage:
    """A garage of about so many entries, shared out evenly among its cars.

    The first car's life goes through the door, in one transaction; the other cars are copies of it, row by row, under
    names of their own, with the search made anew: the door takes a thousand entries a second at best.
    """
    garage = Garage.open(Settings(folder))
    evenings = max(1, (entries // cars - _A_CAR) // _AN_EVENING)
    end = datetime.now(UTC) - timedelta(days=1)
    with writing(garage.engine) as connection:
        for entry in Life(CAR, evenings, 1, end).entries():
            outcome = take_one(connection, entry, entry.entered_at)
            if outcome.outcome != "taken":
                raise ValueError(outcome)
        for number in range(2, cars + 1):
            _copy(connection, number)
        if cars > 1:
            find_anew(connection)
        connection.exec_driver_sql("ANALYZE")
    return garage


def _copy(connection: Connection, number: int) -> None:
    connection.exec_driver_sql("PRAGMA defer_foreign_keys = ON")
    for table in (*(kind.table for kind in KINDS.values()), ODOMETER, ENTRY):
        columns = [column for column in table.columns if not (table is ENTRY and column.name == "seq")]
        renamed = [
            f"'{number:02x}' || substr(\"id\", 3, 12) || 'f' || substr(\"id\", 16)"
            if table is ENTRY and column.name == "id"
            else f"replace(\"{column.name}\", '{CAR}', 'car-{number}')"
            if isinstance(column.type, Text)
            else f'"{column.name}"'
            for column in columns
        ]
        names = ", ".join(f'"{column.name}"' for column in columns)
        of_first = "record" if table in (ENTRY, ODOMETER) else "id"
        connection.exec_driver_sql(
            f"INSERT INTO {table.name} ({names}) SELECT {', '.join(renamed)} FROM {table.name} "  # noqa: S608
            f"WHERE {of_first} = '{CAR}' OR {of_first} LIKE '{CAR}-%%' OR {of_first} LIKE '{CAR}.%%'"
        )


class Caller:
    """Calls the pages of one garage, in this process."""

    def __init__(self, garage: Garage) -> None:
        self.app = create_app(garage)
        self.cookie = f"{PLAIN_COOKIE}={paired(garage, 'bench')}".encode()

    async def call(self, page: str) -> tuple[int, float]:
        """The answer's status, and how long it took in ms."""
        path, _, query = page.partition("?")
        scope = {"type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "GET", "scheme": "http",
                 "path": path, "raw_path": path.encode(), "query_string": query.encode(), "root_path": "",
                 "headers": [(b"host", b"localhost"), (b"cookie", self.cookie)], "client": ("127.0.0.1", 1),
                 "server": ("localhost", 80), "state": {}}  # fmt: skip
        status = 0

        async def receive() -> dict[str, object]:
            return {"type": "http.request", "body": b"", "more_body": False}

        async def send(message: dict[str, object]) -> None:
            nonlocal status
            status = int(str(message.get("status", status)))

        began = time.perf_counter()
        await self.app(scope, receive, send)  # type: ignore[arg-type]  # plain dicts do for both
        return status, (time.perf_counter() - began) * 1000


async def measure(small: Caller, large: Caller, page: str, rounds: int) -> tuple[float, float] | None:
    """The median time of a page in both garages, in ms; None where this program has no such page."""
    times: tuple[list[float], list[float]] = ([], [])
    for turn in range(rounds + 5):
        for caller, kept in zip((small, large), times, strict=True):
            status, took = await caller.call(page)
            if status == 404:
                return None
            if status != 200:
                raise ValueError(f"{page} answered {status}")
            if turn >= 5:
                kept.append(took)
    return statistics.median(times[0]), statistics.median(times[1])


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--entries", type=int, default=100_000)
    parser.add_argument("--rounds", type=int, default=60)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        small = made(Path(folder) / "small", 1_000, 1)
        began = time.perf_counter()
        large = made(Path(folder) / "large", asked.entries, 20)
        with large.read() as db:
            count = db.exec_driver_sql("SELECT count(*) FROM entry").scalar()
            found = db.exec_driver_sql("SELECT count(*) FROM findable").scalar()
        size = large.settings.database.stat().st_size / 1e6
        print(
            f"{count} entries in {time.perf_counter() - began:.0f} s, {found} of the records to be found, {size:.0f} MB"
        )
        print("| page | 1 000 entries, ms | all, ms | times |\n| --- | --- | --- | --- |")
        callers = Caller(small), Caller(large)
        for page in PAGES:
            both = asyncio.run(measure(*callers, page, asked.rounds))
            if both is None:
                print(f"| {page} | no such page yet | | |")
                continue
            before, after = both
            mark = "" if after <= AT_MOST * before else " !"
            print(f"| {page} | {before:.2f} | {after:.2f} | {after / before:.2f}{mark} |", flush=True)
        small.close()
        large.close()


if __name__ == "__main__":
    main()
