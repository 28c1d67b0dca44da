"""The car's boost target: how much it is meant to make at which engine speed, and what it must never pass; and that
somebody looked at a log in which it went over."""

import json
from typing import Literal, Self

from pydantic import model_validator

from app.airpath.readings import READINGS, ReadingKind
from app.records.fields import LONG, Fields, Moment, Number, Points, Recorded, key, moment, number, words
from app.records.si import Taken, si_of, unit_in_si
from app.workings.boost_target import BoostTarget as Target

#: Boost, as its readings are taken.
BOOST = READINGS[ReadingKind.PEAK_BOOST]
#: Engine speeds of no car's engine are slips of the finger, rpm.
SPEEDS = (300.0, 20_000.0)


class BoostTargetFields(Fields):
    """A curve and how far off it is still right. Its id is the car's, a dot and `boost`.

    `curve` holds points of (engine speed in rpm, boost in `unit`); figures, unit, basis and the air around the car only
    make sense together. `boost_limit` is never to be passed at any engine speed.
    """

    car: str = key("car")
    curve: Points = words(LONG)
    tolerance: Number = number(ge=0)
    boost_limit: Number | None = number(default=None)
    unit: str = words(20)
    basis: Literal["gauge", "absolute"] = key()
    barometer_value: Number | None = number(default=None)
    barometer_unit: str | None = words(20, default=None)
    altitude_m: Number | None = number(default=None, ge=-430, le=5000)
    source: str | None = words(default=None)
    note: str | None = words(LONG, default=None)

    @model_validator(mode="after")
    def _makes_sense_as_a_target(self) -> Self:
        points = sorted(self.points())
        if not points:
            raise ValueError("curve: Give at least one engine speed with its boost.")
        speeds = [speed for speed, _ in points]
        if not all(SPEEDS[0] <= speed <= SPEEDS[1] for speed in speeds):
            raise ValueError(f"curve: An engine turns at {SPEEDS[0]:.0f} to {SPEEDS[1]:.0f} rpm.")
        if len(set(speeds)) < len(speeds):
            raise ValueError("curve: Each engine speed can have one boost only.")
        self.target()
        return self

    def points(self) -> list[tuple[float, float]]:
        """The points as entered: engine speed in rpm, boost in `unit`."""
        return [(speed, boost) for speed, boost in json.loads(self.curve)]

    def taken(self, value: float, field: str) -> Taken:
        """A boost of the curve in kPa absolute. Raises ValueError("field: sentence") where it makes no sense."""
        ambient = (self.barometer_value, self.barometer_unit, self.altitude_m)
        try:
            return si_of(BOOST, value, self.unit, self.basis, ambient)
        except ValueError as error:
            raise ValueError(str(error).replace("value: ", f"{field}: ", 1)) from None

    def target(self) -> Target:
        """The target in kPa absolute. Raises ValueError("field: sentence") where the figures make no sense."""
        points = [(speed, self.taken(boost, "curve").si) for speed, boost in sorted(self.points())]
        limit = None if self.boost_limit is None else self.taken(self.boost_limit, "boost_limit").si
        target = Target(points, self.tolerance * unit_in_si(BOOST, self.unit), limit)
        if limit is not None and limit < target.highest_kpa:
            raise ValueError("boost_limit: The target itself goes above that.")
        return target


class BoostTarget(BoostTargetFields, Recorded, table=True):
    """Table `boost_target`."""

    __tablename__ = "boost_target"


class OverboostFields(Fields):
    """That somebody looked at what went over target in a log. Its id is the log's."""

    trace: str = key("trace")
    looked_at: Moment = moment()
    note: str | None = words(LONG, default=None)


class Overboost(OverboostFields, Recorded, table=True):
    """Table `overboost`."""

    __tablename__ = "overboost"
