"""What two people do to one car: acts of a few entries each, drawn from a seed.

An act is a list of entries without their moments; the text "@now" stands for the moment it is kept at, by the phone's
own clock.
"""

import base64
import io
import random
import uuid
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

from PIL import Image

from app.records.entry import Entry, Value
from app.records.garage import Garage
from app.records.logbook import now

CAR = "tern"
LINES = tuple(f"{CAR}.line{n}" for n in range(1, 7))
#: Records that every phone changes, so that their fields have to merge.
SHARED_JOBS = tuple(f"shared-job-{n}" for n in range(40))
SHARED_TICKETS = tuple(f"shared-ticket-{n}" for n in range(20))
NOW = "@now"

Fields = Mapping[str, Value]


@dataclass(frozen=True, slots=True)
class Told:
    """One entry to be made; `bad` if the server is bound to refuse it. A photo has its picture with it, in base64."""

    id: str
    kind: str
    record: str
    fields: Fields
    bad: bool = False
    picture: str = ""


Act = list[Told]


def fresh_id(dice: random.Random) -> str:
    """An id no other has, and the same each time the dice are thrown alike."""
    return str(uuid.UUID(int=dice.getrandbits(128), version=4))


def lay_ground(garage: Garage) -> None:
    """The car, its lines and joints, the shared jobs and tickets, and one job and ticket for each phone's taps."""
    at = now()

    def take(kind_: str, record_: str, **fields: Value) -> None:
        entries.append(Entry(str(uuid.uuid4()), kind_, record_, fields, at, at, "workbench"))

    entries: list[Entry] = []
    take("car", CAR, name="Tern", layout="direct-signal")
    take("component", f"{CAR}.a", car=CAR, kind="throttle", name="Throttle")
    take("component", f"{CAR}.b", car=CAR, kind="manifold", name="Manifold")
    for number, line in enumerate(LINES, 1):
        ends = {"from_component": f"{CAR}.a", "to_component": f"{CAR}.b"}
        take("line", line, car=CAR, name=f"Hose {number}", role="charge", number=number, **ends)
        for end in ("from", "to"):
            take("joint", f"{line}.{end}", line=line, end=end)
    for job in (*SHARED_JOBS, "taps-of-A", "taps-of-B"):
        take("job", job, car=CAR, title=job.capitalize(), opened_at=at)
    for ticket in (*SHARED_TICKETS, "ticket-of-A", "ticket-of-B"):
        take("ticket", ticket, car=CAR, what=ticket.capitalize(), noticed_at=at)
    garage.take_all(entries)


def acts(seed: int, who: str) -> Iterator[Act]:
    """Act after act of one person, without end."""
    dice = random.Random(f"{seed} {who}")  # noqa: S311  # a story, no secret
    tell = _Teller(dice, who)
    plots: tuple[Callable[[], Iterator[Act]], ...] = (tell.a_job, tell.a_ticket, tell.shared_work, tell.loose_notes)
    while True:
        open_plots = [dice.choice(plots)() for _ in range(3)]
        while open_plots:  # one is rarely done with one thing before the next begins
            plot = dice.choice(open_plots)
            act = next(plot, None)
            if act is None:
                open_plots.remove(plot)
            else:
                yield act


@dataclass
class _Teller:
    dice: random.Random
    who: str

    def entry(self, kind: str, record: str, **fields: Value) -> Told:
        return Told(self.new(), kind, record, fields)

    def new(self) -> str:
        return fresh_id(self.dice)

    def a_job(self) -> Iterator[Act]:
        """A job from its opening to its closing, with all that came off put back and looked at."""
        job = self.new()
        yield [self.entry("job", job, car=CAR, title=f"Job of {self.who}", opened_at=NOW, odometer=self._odometer())]
        lines = self.dice.sample(LINES, self.dice.randint(1, 4))
        for line in lines:
            how = self.dice.choice(("reached_past", "clamp_moved", "disconnected", "replaced"))
            yield [self.entry("touch", f"{job}.{line}", job=job, line=line, how=how, ends="both", at=NOW)]
        if self.dice.random() < 0.4:
            yield [self.entry("touch", f"{job}.{lines[0]}", void_reason="Not that one")]
            yield [self.entry("touch", f"{job}.{lines[0]}", void_reason="")]
        for line in lines:
            for end in ("from", "to"):
                yield list(self._back_on(job, f"{line}.{end}"))
        yield [self._finding(job)]
        yield [self._reading(job)]
        yield [self._photo(job)]
        for title in ("Renamed", "Renamed again"):
            yield [self.entry("job", job, title=f"{title} by {self.who}")]
        yield [self.entry("job", job, closed_at=NOW, carried_reason="")]
        if self.dice.random() < 0.3:
            yield [self.entry("job", job, closed_at="")]
            yield [self.entry("job", job, void_reason="Opened by mistake")]

    def a_ticket(self) -> Iterator[Act]:
        """A ticket from the first sign to the proof."""
        ticket, line = self.new(), self.dice.choice(LINES)
        yield [self.entry("ticket", ticket, car=CAR, what="Boost falls away", noticed_at=NOW)]
        for sign, answers in _SIGNS.items():
            outcome = self.dice.choice(answers)
            fields: dict[str, Value] = {"ticket": ticket, "sign": sign, "outcome": outcome, "reading": ""}
            yield [self.entry("sign", f"{ticket}.{sign}", **fields, noted_at=NOW)]
        yield [self.entry("sign", f"{ticket}.hiss", outcome="", reading="")]
        looked: dict[str, Value] = {"ticket": ticket, "line": line, "method": "look_and_feel", "result": "fault"}
        yield [self.entry("direct_check", self.new(), **looked, done_at=NOW)]
        yield [self.entry("ticket", ticket, found_at=NOW, found_line=line, found_wrong="Split")]
        stopgap, limit = self.new(), self.dice.choice((50, 100.5))
        gap: dict[str, Value] = {"car": CAR, "line": line, "ticket": ticket, "used": "Tape", "limit_distance": limit}
        yield [
            self.entry("stopgap", stopgap, **gap, fitted_at=NOW),
            self.entry("ticket", ticket, repaired_at=NOW, repaired_how="stopgap"),
        ]
        yield [self.entry("stopgap", stopgap, ended_at=NOW, ended_how="New hose")]
        reading = self._reading(None)
        yield [reading, self.entry("ticket", ticket, proved_at=NOW, proof_reading=reading.record)]

    def shared_work(self) -> Iterator[Act]:
        """Changes to what the other person changes too."""
        job, ticket = self.dice.choice(SHARED_JOBS), self.dice.choice(SHARED_TICKETS)
        for n in range(self.dice.randint(2, 6)):
            line, name = self.dice.choice(LINES), f"{self.who} {n}"
            yield [self.entry("job", job, title=f"Title by {name}")]
            yield [self.entry("job", job, note=f"Note by {name}", odometer=self._odometer())]
            how = self.dice.choice(("reached_past", "disconnected"))
            yield [self.entry("touch", f"{job}.{line}", job=job, line=line, how=how, ends="both", at=NOW)]
            yield list(self._back_on(job, f"{line}.to"))
            yield [self.entry("ticket", ticket, what=f"Fault by {name}", note=f"Note by {name}")]
            outcome = self.dice.choice(_SIGNS["idle_needle"])
            fields: dict[str, Value] = {"ticket": ticket, "sign": "idle_needle", "outcome": outcome}
            yield [self.entry("sign", f"{ticket}.idle_needle", **fields, noted_at=NOW)]

    def loose_notes(self) -> Iterator[Act]:
        """Readings and findings by themselves; now and then one that no server would take."""
        for _ in range(self.dice.randint(2, 5)):
            yield [self._finding(None)]
            yield [self._reading(None)]
            yield [self.entry("drive", self.new(), car=CAR, at=NOW, odometer=self._odometer(), heat_cycles="1")]
            if self.dice.random() < 0.2:
                one = self._finding(None)
                yield [Told(one.id, one.kind, one.record, {**one.fields, "weight": "heavy"}, bad=True)]

    def _back_on(self, job: str, joint: str) -> Iterator[Told]:
        yield self.entry("loose_end", f"{job}.{joint}", job=job, joint=joint, back_on_at=NOW)
        mark = self.dice.choice(("drawn", "in_line"))
        fields: dict[str, Value] = {"car": CAR, "job": job, "joint": joint, "good": "yes", "mark": mark}
        yield self.entry("check", f"{job}.{joint}", **fields, seated="yes", done_at=NOW)

    def _finding(self, job: str | None) -> Told:
        weight = self.dice.choice(("note", "watch", "act"))
        what = "Oil mist " * self.dice.randint(1, 40)
        return self.entry("finding", self.new(), car=CAR, job=job, what=what, weight=weight, seen_at=NOW)

    def _reading(self, job: str | None) -> Told:
        read: dict[str, Value] = {"what": "idle_vacuum", "condition": "warm", "unit": "inHg", "basis": "vacuum"}
        value = self.dice.choice(("19,5", "18.25", "20"))
        return self.entry("reading", self.new(), car=CAR, job=job, **read, value=value, taken_at=NOW)

    def _photo(self, job: str) -> Told:
        out = io.BytesIO()
        Image.frombytes("RGB", (8, 8), self.dice.randbytes(192)).save(out, "JPEG")
        told = self.entry("photo", self.new(), car=CAR, job=job, taken_at=NOW)
        return replace(told, picture=base64.b64encode(out.getvalue()).decode())

    def _odometer(self) -> str:
        return f"{self.dice.randint(184_000, 185_000)}"


_SIGNS: Mapping[str, tuple[str, ...]] = {
    "idle_vacuum": ("normal", "slightly_low", "very_low"),
    "idle_needle": ("steady", "wavering", "flicking"),
    "hiss": ("none", "at_idle", "under_boost"),
    "boost_level": ("on_target", "slightly_low", "capped_low"),
}
