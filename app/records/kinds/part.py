"""Parts: what is at a position, what is to come there, and the plan they belong to."""

from typing import Literal, Self

from pydantic import model_validator

from app.airpath.words import Hold, Material
from app.records.fields import LONG, Count, Day, Fields, Moment, Number, Recorded, key, moment, number, whole, words
from app.records.kinds.job import one_of
from app.triage.signs import Need as ToolNeed

PartState = Literal["wanted", "ordered", "here", "fitted", "shelf", "gone"]
PartKind = Literal["hose", "clamp", "fastener", "fluid", "other", "work"]
_PLACE = ("line", "component", "position")


class StageFields(Fields):
    """One step of the plan of a car: what is to be true of it once all of the stage's parts are fitted."""

    car: str = key("car")
    step: Count = whole(ge=1, le=99)
    name: str = words()
    by_day: Day | None = key(default=None)
    power_kw: Number | None = number(default=None, gt=0, le=2000)
    note: str | None = words(LONG, default=None)


class Stage(StageFields, Recorded, table=True):
    """Table `stage`."""

    __tablename__ = "stage"


class PartFields(Fields):
    """One part, wherever it is: wanted, ordered, here, fitted, on the shelf or gone.

    It belongs at one position, or, on the shelf, at none yet. `work` is an item of the plan that is no part (a tune).
    Several that are wanted for one position are candidates. Money is in `currency` (ISO 4217). Which figures of the
    specification make sense follows from `kind`; all are kept, as a hose sold as a fitting is still both.
    """

    car: str = key("car")
    name: str = words()
    kind: PartKind = key(default="other")
    state: PartState = key(default="wanted")
    line: str | None = key("line", default=None)
    component: str | None = key("component", default=None)
    position: str | None = words(default=None)
    stage: str | None = key("stage", default=None)
    job: str | None = key("job", default=None)
    ordered_on: Day | None = key(default=None)
    expected_on: Day | None = key(default=None)
    arrived_on: Day | None = key(default=None)
    fitted_at: Moment | None = moment(default=None)
    fitted_odometer: Number | None = number(default=None, ge=0, le=5_000_000)
    removed_at: Moment | None = moment(default=None)
    price: Number | None = number(default=None, ge=0, le=10_000_000)
    currency: str | None = words(3, default=None)
    source: str | None = words(default=None)
    condition: Literal["new", "used", "worn", "unknown"] | None = key(default=None)
    bore_mm: Number | None = number(default=None, gt=0, le=300)
    wall_mm: Number | None = number(default=None, gt=0, le=50)
    length_mm: Number | None = number(default=None, gt=0, le=10_000)
    material: Material | None = key(default=None)
    plies: Count | None = whole(default=None, ge=1, le=12)
    stands_c: Number | None = number(default=None, ge=-60, le=1200)
    stands_kpa: Number | None = number(default=None, gt=0, le=100_000)
    needs_cutting: Literal["yes", "no"] | None = key(default=None)
    hold: Hold | None = key(default=None)
    range_low_mm: Number | None = number(default=None, gt=0, le=500)
    range_high_mm: Number | None = number(default=None, gt=0, le=500)
    band_mm: Number | None = number(default=None, gt=0, le=50)
    thread: str | None = words(20, default=None)
    strength_class: str | None = words(20, default=None)
    life_distance: Number | None = number(default=None, gt=0, le=1_000_000)
    life_days: Count | None = whole(default=None, ge=1, le=20_000)
    note: str | None = words(LONG, default=None)

    @model_validator(mode="after")
    def _makes_sense_as_a_part(self) -> Self:
        if any(getattr(self, name) is not None for name in _PLACE):
            one_of(self, *_PLACE)
        if self.currency is not None:
            self.currency = self.currency.upper()
            if not (len(self.currency) == 3 and self.currency.isascii() and self.currency.isalpha()):
                raise ValueError("currency: Write three letters, such as EUR.")
        if self.price is not None and self.currency is None:
            raise ValueError("currency: Say in which currency.")
        low, high = self.range_low_mm, self.range_high_mm
        if low is not None and high is not None and low > high:
            raise ValueError("range_high_mm: The largest comes after the smallest.")
        return self


class Part(PartFields, Recorded, table=True):
    """Table `part`."""

    __tablename__ = "part"


class NeedFields(Fields):
    """What an item of the plan needs first. Its id is the part's, a dot, and what it needs.

    Another item fitted (`needs_part`), a part at hand (`needs_here`), a tool the garage has, a reading of that kind in
    its baseline, or anything in words, which a hand ticks off (`met_at`).
    """

    part: str = key("part")
    needs_part: str | None = key("part", default=None)
    needs_here: str | None = key("part", default=None)
    tool: ToolNeed | None = key(default=None)
    reading: str | None = key(default=None)
    what: str | None = words(default=None)
    met_at: Moment | None = moment(default=None)

    @model_validator(mode="after")
    def _needs_one_thing(self) -> Self:
        one_of(self, "needs_part", "needs_here", "tool", "reading", "what")
        if self.needs_part == self.part:
            raise ValueError("needs_part: A part can't need itself.")
        return self


class Need(NeedFields, Recorded, table=True):
    """Table `need`."""

    __tablename__ = "need"
