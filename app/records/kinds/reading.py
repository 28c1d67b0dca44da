"""Readings, the baselines they are held to, and the drives that lie between them."""

from typing import Literal, Self

from pydantic import model_validator
from sqlalchemy import Index, text

from app.airpath.readings import READINGS, Condition, ReadingKind
from app.records.fields import LONG, Count, Fields, Flag, Moment, Number, Recorded, key, moment, number, whole, words
from app.records.si import Taken, si_of, unit_in_si, widest_spread

Basis = Literal["gauge", "vacuum", "absolute"]


class ReadingFields(Fields):
    """A number off a gauge, as entered, with its conditions and the pressure of the air around the car.

    The figure, its unit, its basis, the ambient pressure and the engine speed (rpm, of a boost) only make sense
    together and are set together.
    """

    car: str = key("car")
    what: ReadingKind = key()
    free_name: str | None = words(default=None)
    condition: Condition = key()
    value: Number = number()
    unit: str = words(20)
    basis: Basis | None = key(default=None)
    barometer_value: Number | None = number(default=None)
    barometer_unit: str | None = words(20, default=None)
    altitude_m: Number | None = number(default=None, ge=-430, le=5000)
    engine_speed: Number | None = number(default=None, ge=0, le=20_000)
    taken_at: Moment = moment()
    odometer: Number | None = number(default=None, ge=0, le=5_000_000)
    healthy: Flag = whole(default=False)
    job: str | None = key("job", default=None)
    note: str | None = words(LONG, default=None)

    @model_validator(mode="after")
    def _makes_sense_as_a_reading(self) -> Self:
        if self.what == ReadingKind.FREE and self.free_name is None:
            raise ValueError("free_name: Say what was read.")
        if self.condition not in READINGS[self.what].conditions:
            raise ValueError("condition: This reading is not taken under that condition.")
        self.taken()
        return self

    def taken(self) -> Taken:
        """The reading in SI, with the ambient pressure used (kPa absolute).

        Raises ValueError("field: sentence") where the figures make no sense together.
        """
        return si_of(
            READINGS[self.what],
            self.value,
            self.unit,
            self.basis,
            (self.barometer_value, self.barometer_unit, self.altitude_m),
        )


def series_of(what: str, condition: str, free_name: str | None = None, unit: str = "") -> str:
    """The key of the readings that can be compared with one another.

    A free kind is told apart by its name and unit, as nothing says how one of its units turns into another.
    """
    return f"{what}.{condition}.{(free_name or '').casefold()}.{unit}" if what == "free" else f"{what}.{condition}"


class Reading(ReadingFields, Recorded, table=True):
    """Table `reading`. `si` is kPa absolute for a pressure, else the quantity's SI unit (percent as it is).

    Both indexes are by series and time, so that a car page looks up the last few of each and never walks ten years.
    """

    __tablename__ = "reading"
    __table_args__ = (
        Index("ix_reading_past", "car", "series", "taken_at", sqlite_where=text("void_reason IS NULL")),
        Index(
            "ix_reading_healthy",
            "car",
            "series",
            "taken_at",
            sqlite_where=text("void_reason IS NULL AND healthy = 1"),
        ),
        {"sqlite_strict": True},
    )

    series: str = key(default="")
    si: float | None = number(default=None)
    ambient_kpa: float | None = number(default=None)


class BaselineFields(Fields):
    """The car's own healthy value as its owner states it; its id is the car's, the kind and the condition.

    `spread` is how far either side of the centre is still usual, as a person says "19.5, give or take 0.6".
    Without one, the baseline is learned from the readings marked healthy.
    """

    car: str = key("car")
    what: ReadingKind = key()
    condition: Condition = key()
    centre: Number = number()
    spread: Number = number(gt=0)
    unit: str = words(20)
    basis: Basis | None = key(default=None)
    barometer_value: Number | None = number(default=None)
    barometer_unit: str | None = words(20, default=None)
    altitude_m: Number | None = number(default=None, ge=-430, le=5000)
    note: str | None = words(LONG, default=None)

    @model_validator(mode="after")
    def _makes_sense_as_a_baseline(self) -> Self:
        try:
            self.taken(self.centre)
        except ValueError as error:
            raise ValueError(str(error).replace("value: ", "centre: ", 1)) from None
        kind = READINGS[self.what]
        if self.spread * unit_in_si(kind, self.unit) > widest_spread(kind):
            said = f"Give or take {self.spread:g} {self.unit} can't be right for {kind.label.lower()}."
            raise ValueError(f"spread: {said} Look at the figure.")
        return self

    def taken(self, value: float) -> Taken:
        """`value`, read as the centre is, in SI. Raises as ReadingFields.taken does."""
        return si_of(
            READINGS[self.what],
            value,
            self.unit,
            self.basis,
            (self.barometer_value, self.barometer_unit, self.altitude_m),
        )


class Baseline(BaselineFields, Recorded, table=True):
    """Table `baseline`. `spread_si` is one spread as app.workings.spread counts them: the usual range is two."""

    __tablename__ = "baseline"

    centre_si: float | None = number(default=None)
    spread_si: float | None = number(default=None)


class DriveFields(Fields):
    """Distance and heat cycles since the last note of them."""

    car: str = key("car")
    at: Moment = moment()
    odometer: Number = number(ge=0, le=5_000_000)
    heat_cycles: Count = whole(default=1, ge=0, le=1000)
    note: str | None = words(LONG, default=None)


class Drive(DriveFields, Recorded, table=True):
    """Table `drive`."""

    __tablename__ = "drive"
    __table_args__ = (Index("ix_drive_at", "car", "at"), {"sqlite_strict": True})
