"""A garage with years of record, made through the door: seeded, so that every run makes the same one."""

import random
import uuid
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path

from sqlalchemy import Connection

from app.airpath import layouts
from app.airpath.words import Layout
from app.records.engine import writing
from app.records.entry import Entry, Value
from app.records.fields import moment_text
from app.records.garage import Garage
from app.records.logbook import take_one
from app.records.starting import car_entries
from app.settings import Settings, shipped
from tests.benchmarks.ten_years_more import Now, Rest

CAR = "tern"
JOB = "job-open"
TICKET = "ticket-open"
STOPGAP = "stopgap-open"
LINE = f"{CAR}.throttle_coupler"


class Story:
    """Makes entries one after the other, each at its own moment."""

    def __init__(self, connection: Connection, years: int, *, end: datetime, seed: int = 7) -> None:
        self.random = random.Random(seed)  # noqa: S311  # a story, not a secret
        self.end = end
        self.at = end - timedelta(days=365 * years)
        self.reads = 20_000.0
        layout = layouts.load(Layout.STORED_VACUUM, shipped("seed_data") / "layouts")
        self.layout = layout
        self.lines = [f"{CAR}.{line.key}" for line in layout.lines]
        self.rest = Rest(self.make, connection, CAR, self.lines)

    def make(self, kind: str, record: str, fields: Mapping[str, Value]) -> Entry:
        at = moment_text(self.at)
        return Entry(str(uuid.UUID(int=self.random.getrandbits(128), version=4)), kind, record, fields, at, at, "bench")

    def now(self) -> str:
        return moment_text(self.at)

    def entries(self) -> Iterator[Entry]:
        yield from car_entries(
            self.make, CAR, self.layout, {"name": "Tern", "about": "1.9 turbo estate", "altitude_m": 120}
        )
        yield from self.rest.begin(self.stands(0))
        week = 0
        while self.at < self.end - timedelta(days=10):
            self.at += timedelta(days=7)
            self.reads += 160
            week += 1
            yield from self.week(week)
            yield from self.rest.week(self.stands(week))
        yield from self.today()
        yield from self.rest.today(self.stands(week))

    def stands(self, week: int) -> Now:
        return Now(self.at, self.reads, week)

    def week(self, number: int) -> Iterator[Entry]:
        for n in range(2):
            drive: dict[str, Value] = {"car": CAR, "at": self.now(), "odometer": self.reads + n * 80, "heat_cycles": 2}
            yield self.make("drive", f"drive-{number}-{n}", drive)
        yield from self.readings(number)
        yield from self.job(f"job-{number}", f"Weekly work {number}", closed=True)
        if number % 13 == 0:
            yield from self.ticket(number)

    def readings(self, number: int) -> Iterator[Entry]:
        vacuum = round(self.random.gauss(19.5, 0.25), 1)
        boost = round(self.random.gauss(1.22, 0.015), 2)
        for kind, condition, value, unit, basis in (
            ("idle_vacuum", "warm", vacuum, "inHg", "vacuum"),
            ("peak_boost", "full_throttle", boost, "bar", "gauge"),
            ("vacuum_recovery", "lift_off", round(self.random.gauss(0.8, 0.05), 2), "s", None),
        ):
            fields: dict[str, Value] = {
                "car": CAR,
                "what": kind,
                "condition": condition,
                "value": value,
                "unit": unit,
                "taken_at": self.now(),
                "odometer": self.reads,
                "healthy": True,
            }
            yield self.make("reading", f"{kind}-{number}", fields | ({"basis": basis} if basis else {}))

    def job(self, job: str, title: str, *, closed: bool) -> Iterator[Entry]:
        yield self.make(
            "job",
            job,
            {
                "car": CAR,
                "title": title,
                "opened_at": self.now(),
                "odometer": self.reads,
                "air_temp_c": 8,
                "engine_cold": True,
            },
        )
        for line in self.random.sample(self.lines, 4):
            how = self.random.choice(["reached_past", "clamp_moved", "disconnected"])
            yield self.make("touch", f"{job}.{line}", {"job": job, "line": line, "how": how, "at": self.now()})
            if how == "disconnected" and closed:
                yield from self.back_on(job, line)
        if closed:
            yield self.make("job", job, {"closed_at": self.now()})

    def back_on(self, job: str, line: str) -> Iterator[Entry]:
        for joint in (f"{line}.from", f"{line}.to"):
            end = f"{job}.{joint}"
            yield self.make("loose_end", end, {"job": job, "joint": joint, "back_on_at": self.now()})
            checked: dict[str, Value] = {"car": CAR, "job": job, "joint": joint, "done_at": self.now(), "mark": "drawn"}
            yield self.make("check", end, checked)

    def ticket(self, number: int) -> Iterator[Entry]:
        ticket, line = f"ticket-{number}", self.random.choice(self.lines)
        yield self.make("ticket", ticket, {"car": CAR, "what": "Short of boost", "noticed_at": self.now()})
        sign: dict[str, Value] = {"ticket": ticket, "sign": "boost_level", "outcome": "slightly_low"}
        yield self.make("sign", f"{ticket}.boost_level", sign | {"noted_at": self.now()})
        now = self.now()
        done: dict[str, Value] = {"found_at": now, "found_line": line, "repaired_at": now, "repaired_how": "for_good"}
        yield self.make("ticket", ticket, done | {"proved_at": now, "proof_reading": f"peak_boost-{number}"})

    def today(self) -> Iterator[Entry]:
        self.at = self.end - timedelta(days=4)
        yield from self.job(JOB, "Throttle coupler", closed=False)
        stopgap: dict[str, Value] = {
            "car": CAR,
            "line": self.lines[5],
            "used": "Barb and cable tie",
            "limit_distance": 300,
        }
        fitted: dict[str, Value] = {"fitted_at": self.now(), "fitted_odometer": self.reads}
        yield self.make("stopgap", STOPGAP, stopgap | fitted)
        self.at = self.end - timedelta(days=2)
        fault: dict[str, Value] = {"car": CAR, "what": "Boost wanders at full throttle", "noticed_at": self.now()}
        yield self.make("ticket", TICKET, fault | {"noticed_odometer": self.reads + 85})
        for sign, outcome in (("boost_stability", "erratic"), ("boost_level", "on_target"), ("idle_vacuum", "normal")):
            fields: dict[str, Value] = {"ticket": TICKET, "sign": sign, "outcome": outcome, "noted_at": self.now()}
            yield self.make("sign", f"{TICKET}.{sign}", fields)


def make_garage(folder: Path, years: int) -> Garage:
    """A garage of `years` of weekly work, in one transaction."""
    garage = Garage.open(Settings(folder))
    with writing(garage.engine) as connection:
        for entry in Story(connection, years, end=datetime.now(UTC)).entries():
            outcome = take_one(connection, entry, entry.entered_at)
            if outcome.outcome != "taken":
                raise ValueError(outcome)
    return garage
