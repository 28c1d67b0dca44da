"""A hold test: a line or a set of lines put under vacuum or pressure, shut, and timed."""

from collections.abc import Iterator
from datetime import datetime
from typing import Literal, Self

from pydantic import model_validator

from app.records.fields import LONG, Fields, Flag, Moment, Number, Recorded, key, moment, number, whole, words
from app.records.kinds.job import one_of
from app.workings.decay import ImpossibleDecay
from app.workings.hold_test import HoldTest as Test
from app.workings.hold_test import judge
from app.workings.units import PressureUnit

_READINGS = "readings: Write each reading as seconds and what the gauge shows, such as 30 0.68, with ; between them."


class HoldTestFields(Fields):
    """One hold test. Figures of pressure are as the gauge shows them, in `unit`: vacuum below, pressure above the air.

    `readings` are those before the end, "30 0.68; 60 0.66": seconds since the start, and what the gauge showed.
    """

    car: str = key("car")
    line: str | None = key("line", default=None)
    branch: str | None = words(default=None)
    ticket: str | None = key("ticket", default=None)
    job: str | None = key("job", default=None)
    medium: Literal["vacuum", "pressure"] = key()
    unit: PressureUnit = key()
    ambient_kpa: Number = number(default=101.325, ge=45, le=110)
    volume_ml: Number | None = number(default=None, gt=0, le=500_000)
    most_value: Number | None = number(default=None, gt=0)
    start_value: Number = number(gt=0)
    end_value: Number = number(ge=0)
    started_at: Moment = moment()
    ended_at: Moment = moment()
    readings: str | None = words(LONG, default=None)
    start_c: Number | None = number(default=None, ge=-40, le=150)
    end_c: Number | None = number(default=None, ge=-40, le=150)
    limit_from: Literal["practice", "own", "maker"] = key(default="practice")
    limit_loss: Number = number(gt=0)
    limit_s: Number = number(gt=0, le=1_000_000)
    passed: Flag | None = whole(default=None)
    hole_mm: Number | None = number(default=None, ge=0, le=100)
    note: str | None = words(LONG, default=None)

    @model_validator(mode="after")
    def _can_have_been(self) -> Self:
        one_of(self, "line", "branch")
        if self.ended_at <= self.started_at:
            raise ValueError("ended_at: It ends after it starts.")
        try:
            judge(self.test())
        except ImpossibleDecay as error:
            raise ValueError(f"start_value: {error}") from None
        return self

    def test(self) -> Test:
        """The same in kPa and seconds. Raises ValueError("field: sentence") for readings that are none."""
        one = self.unit.si_per_unit / 1e3
        seconds = (datetime.fromisoformat(self.ended_at) - datetime.fromisoformat(self.started_at)).total_seconds()
        found = [(at, value * one) for at, value in readings_in(self.readings or "") if at < seconds]
        return Test(
            vacuum=self.medium == "vacuum",
            around_kpa=self.ambient_kpa,
            start_kpa=self.start_value * one,
            readings=(*sorted(found), (seconds, self.end_value * one)),
            limit_kpa=self.limit_loss * one,
            limit_s=self.limit_s,
            start_c=self.start_c,
            end_c=self.end_c,
            volume_ml=self.volume_ml,
        )


def readings_in(text: str) -> Iterator[tuple[float, float]]:
    """The readings of "30 0.68; 60 0.66" as (seconds, figure). Raises ValueError("readings: sentence")."""
    for one in filter(None, (each.strip() for each in text.replace("\n", ";").split(";"))):
        try:
            seconds, value = (float(word.replace(",", ".")) for word in one.split())
        except ValueError:
            raise ValueError(_READINGS) from None
        if not (0 < seconds < 1e7 and 0 <= value < 1e6):
            raise ValueError(_READINGS)
        yield seconds, value


class HoldTest(HoldTestFields, Recorded, table=True):
    """Table `hold_test`."""

    __tablename__ = "hold_test"
