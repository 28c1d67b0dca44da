"""A car, and the things air passes through on it."""

from typing import Literal

from app.airpath.words import ComponentKind, End, Hold, Layout, LineState, Material, Role
from app.records.fields import LONG, Count, Day, Fields, Flag, Number, Points, Recorded, key, number, whole, words
from app.workings.units import TorqueUnit


class CarFields(Fields):
    """One car. The facts (fuel to turbocharged) start from the layout and say how its faults look.

    Every odometer figure and distance in its record is in `distance_unit`, the unit its own odometer reads."""

    name: str = words()
    about: str | None = words(default=None)
    layout: Layout = key()
    fuel: Literal["petrol", "diesel"] = key(default="petrol")
    has_airflow_meter: Flag = whole(default=True)
    throttle_vacuum: Flag = whole(default=True)
    turbocharged: Flag = whole(default=True)
    distance_unit: Literal["km", "mi"] = key(default="km")
    altitude_m: Number | None = number(default=None, ge=-430, le=5000)
    note: str | None = words(LONG, default=None)


class Car(CarFields, Recorded, table=True):
    """Table `car`."""

    __tablename__ = "car"


class ComponentFields(Fields):
    """A thing lines connect, and where the drawing puts it."""

    car: str = key("car")
    kind: ComponentKind = key()
    name: str = words()
    x: Number | None = number(default=None, ge=-2000, le=2000)
    y: Number | None = number(default=None, ge=-2000, le=4000)
    w: Number | None = number(default=None, gt=0, le=500)
    h: Number | None = number(default=None, gt=0, le=500)
    fitted_on: Day | None = key(default=None)
    fitted_odometer: Number | None = number(default=None, ge=0, le=5_000_000)
    retired_on: Day | None = key(default=None)
    note: str | None = words(LONG, default=None)


class Component(ComponentFields, Recorded, table=True):
    """Table `component`."""

    __tablename__ = "component"


class LineFields(Fields):
    """A hose, pipe or hard line between two components. A line taken off the car for good is retired, not erased."""

    car: str = key("car")
    name: str = words()
    role: Role = key()
    material: Material | None = key(default=None)
    bore_mm: Number | None = number(default=None, gt=0, le=300)
    length_mm: Number | None = number(default=None, gt=0, le=10_000)
    from_component: str = key("component")
    to_component: str = key("component")
    state: LineState = key(default=LineState.ORIGINAL)
    part: str | None = words(default=None)
    fitted_on: Day | None = key(default=None)
    fitted_odometer: Number | None = number(default=None, ge=0, le=5_000_000)
    route: Points | None = words(LONG, default=None)
    number: Count | None = whole(default=None, ge=1, le=999)
    retired_on: Day | None = key(default=None)
    retired_reason: str | None = words(default=None)
    note: str | None = words(LONG, default=None)


class Line(LineFields, Recorded, table=True):
    """Table `line`."""

    __tablename__ = "line"


class JointFields(Fields):
    """One end of a line, with what holds it. Its torque is the maker's figure, or says where else it is from."""

    line: str = key("line")
    end: End = key()
    hold: Hold | None = key(default=None)
    hard_to_reach: Flag = whole(default=False)
    torque_value: Number | None = number(default=None, gt=0, le=2000)
    torque_tolerance: Number | None = number(default=None, ge=0, le=500)
    torque_unit: TorqueUnit | None = key(default=None)
    torque_source: str | None = words(default=None)
    note: str | None = words(LONG, default=None)


class Joint(JointFields, Recorded, table=True):
    """Table `joint`. Its id is the line's id, a dot and the end."""

    __tablename__ = "joint"
