"""A car's boost target, and what a reading of boost says beside it."""

from dataclasses import dataclass

from sqlalchemy import Connection

from app.airpath.readings import ReadingKind
from app.records.cautions import OVER_TARGET_READ
from app.records.kept import kept
from app.records.kinds import KINDS
from app.records.kinds.boost import BoostTargetFields
from app.records.readings import ReadingRow
from app.records.rows import row
from app.records.shown import Scale, written
from app.workings.boost_target import Beside, BoostTarget, Side

#: The readings that are held against the target.
BOOSTS = (ReadingKind.PEAK_BOOST, ReadingKind.STEADY_BOOST)
_NAMES = tuple(KINDS["boost_target"].fields.model_fields)


def target_id(car: str) -> str:
    """The id of a car's target: two phones that write it down write down the same."""
    return f"{car}.boost"


@dataclass(frozen=True, slots=True)
class TargetView:
    """A car's target as entered (`fields`) and in kPa absolute; `air_kpa` is the air it was stated in."""

    fields: BoostTargetFields
    target: BoostTarget
    air_kpa: float | None

    @property
    def scale(self) -> Scale:
        """The scale it was stated on."""
        return Scale(ReadingKind.PEAK_BOOST, self.fields.unit, self.fields.basis, self.air_kpa)


@kept
def boost_target(db: Connection, car: str) -> TargetView | None:
    """The car's target; None where none was written down, or it was struck out."""
    columns = ", ".join(f'"{name}"' for name in _NAMES)
    sql = f"SELECT {columns} FROM boost_target WHERE id = ? AND void_reason IS NULL"
    found = row(db, lambda *values: dict(zip(_NAMES, values, strict=True)), sql, target_id(car))
    if found is None:
        return None
    fields = BoostTargetFields.model_validate(found)
    return TargetView(fields, fields.target(), fields.taken(fields.points()[0][1], "curve").ambient_kpa)


@dataclass(frozen=True, slots=True)
class Held:
    """A boost beside its target: `says` in the reading's own unit, `caution` where it is over."""

    beside: Beside
    says: str
    caution: str | None


def held_to(reading: ReadingRow, view: TargetView | None) -> Held | None:
    """A reading beside the target; None where there is none, or the reading is none of boost, or is struck out."""
    if view is None or reading.kind not in BOOSTS or reading.void_reason is not None:
        return None
    beside = view.target.beside(reading.si, reading.engine_speed)
    return Held(beside, _says(reading, view, beside), OVER_TARGET_READ if beside.is_over else None)


def over_of(reading: ReadingRow, view: TargetView | None) -> str:
    """How far over its target a reading is, in words; nothing where it is not over."""
    held = held_to(reading, view)
    return held.says if held and held.beside.is_over else ""


def _says(reading: ReadingRow, view: TargetView, beside: Beside) -> str:
    scale = reading.scale
    off = f"{scale.figure(abs(beside.off_kpa) / scale.one)} {scale.unit_label}"
    if beside.side is Side.LIMIT and view.target.limit_kpa is not None:
        return f"{off} above the limit of {scale.figure(scale.shown(view.target.limit_kpa))}"
    speed = reading.engine_speed
    where = "the highest target" if speed is None else f"the target at {written(speed, 0)} rpm"
    aim = f"{where}, {scale.figure(scale.shown(beside.target_kpa))}"
    return {Side.OVER: f"{off} over {aim}", Side.UNDER: f"{off} under {aim}"}.get(beside.side, f"On {aim}")
