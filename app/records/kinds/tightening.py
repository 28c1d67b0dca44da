"""What is tightened beside the joints of the air path, and what it is tightened with."""

from typing import Literal

from app.records.fields import LONG, Count, Day, Fields, Number, Recorded, key, number, whole, words
from app.workings.units import TorqueUnit


class FastenerFields(Fields):
    """One group of fasteners of a car that share a figure: the bolts of a wheel, a caliper, a mounting."""

    car: str = key("car")
    name: str = words()
    of: Literal["wheel", "caliper", "mounting", "exhaust", "other"] = key(default="other")
    how_many: Count | None = whole(default=None, ge=1, le=100)
    thread: str | None = words(20, default=None)
    strength_class: str | None = words(20, default=None)
    torque_value: Number | None = number(default=None, gt=0, le=2000)
    torque_tolerance: Number | None = number(default=None, ge=0, le=500)
    torque_unit: TorqueUnit | None = key(default=None)
    torque_source: str | None = words(default=None)
    retired_on: Day | None = key(default=None)
    note: str | None = words(LONG, default=None)


class Fastener(FastenerFields, Recorded, table=True):
    """Table `fastener`."""

    __tablename__ = "fastener"


class WrenchFields(Fields):
    """A torque wrench of the garage: between which settings it may be trusted, and since when."""

    name: str = words()
    smallest: Number | None = number(default=None, gt=0, le=2000)
    largest: Number = number(gt=0, le=2000)
    unit: TorqueUnit = key()
    lever_mm: Number | None = number(default=None, gt=0, le=3000)
    calibrated_on: Day | None = key(default=None)
    retired_on: Day | None = key(default=None)
    note: str | None = words(LONG, default=None)


class Wrench(WrenchFields, Recorded, table=True):
    """Table `wrench`."""

    __tablename__ = "wrench"
