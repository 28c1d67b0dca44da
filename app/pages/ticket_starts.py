"""The reading a ticket may begin from: the sign it answers, what it says of it, and since when."""

from dataclasses import dataclass

from sqlalchemy import Connection

from app.pages.words import day
from app.records.baselines import baselines
from app.records.drift import Drifting, drifting
from app.records.judged import SIGN_OF, outcome_of, read_from, sentence
from app.records.readings import ReadingRow, reading_in_si
from app.triage.signs import SIGNS


@dataclass(frozen=True, slots=True)
class Start:
    """The reading, the sign it answers, the outcome, that in a sentence, and when the fault was first there."""

    reading: ReadingRow
    sign: str
    outcome: str | None
    told: str
    noticed_at: str

    @property
    def what(self) -> str:
        """What is not as it was, to begin with."""
        phrase = SIGNS[self.sign].phrase(self.outcome) if self.outcome else ""
        return phrase[:1].upper() + phrase[1:]


def start_of(db: Connection, car: str, reading: str) -> Start | None:
    """What a ticket of this car begins with, from a reading's id; None where that reading answers no sign.

    The latest of a series that drifts says what the drift says, and since when, even where it is within what is usual
    by itself.
    """
    found = reading_in_si(db, reading) if reading else None
    sign = SIGN_OF.get(found.kind) if found and found.car == car else None
    if found is None or sign is None:
        return None
    own, read = baselines(db, car), read_from(found)
    outcome = outcome_of(sign, read, own, None)
    told = sentence(sign, read, outcome, own)
    drift = drifting(db, car).get(found.series)
    if drift is None or drift.last.id != found.id:
        return Start(found, sign, outcome, told, found.taken_at)
    if outcome in (None, SIGNS[sign].healthy) and drift.outcome is not None:
        outcome, told = drift.outcome, _told(sign, drift)
    return Start(found, sign, outcome, told, drift.since)


def _told(sign: str, drift: Drifting) -> str:
    count = f"the last {drift.count} readings lie" if drift.count > 1 else "it lies"
    said = f"By itself it may pass, but {count} {drift.says} since {day(drift.since)}"
    return f"{said}: {SIGNS[sign].phrase(drift.outcome or '')}."
