"""A reading held against its baseline, in words."""

from dataclasses import dataclass

from app.records.baselines import BaselineView
from app.records.readings import ReadingRow
from app.workings.spread import Where

#: Air pressures nearer than this are the same day to a gauge (kPa; 0.3 inHg).
_SAME_AIR_KPA = 1.0


@dataclass(frozen=True, slots=True)
class Held:
    """What a reading says beside its baseline. `where` is inside, edge, outside, or empty without a baseline."""

    says: str
    where: str
    advice: str = ""
    air: str = ""


def held(reading: ReadingRow, usual: BaselineView | None) -> Held:
    """Say how far off a reading is, in its own unit and with the air there was around the car."""
    if reading.void_reason is not None:
        return Held("Struck out: it counts for nothing.", "")
    placed = reading.placed(usual)
    if usual is None or placed is None:
        return Held("There is nothing usual to hold it against yet.", "", "Mark the readings of a car that runs right.")
    if usual.usual.count == 1 and reading.healthy:
        return Held("The first healthy one: the next are held against it.", "")
    scale = reading.scale
    off = reading.value - scale.shown(usual.usual.centre)
    size = scale.figure(abs(off))
    side = "below" if off < 0 else "above"
    figures = usual.figures(scale)
    says = f"{size} {side} your usual {figures}" if size.strip("0.,") else f"Right on your usual {figures}"
    advice = {
        Where.INSIDE: "Inside what is usual for this car.",
        Where.EDGE: "At the edge of what is usual. Take it again the same way before you hunt for a fault.",
        Where.OUTSIDE: "Outside what is usual for this car.",
    }[placed.where]
    return Held(says, placed.where.value, advice, _air(reading, usual))


def _air(reading: ReadingRow, usual: BaselineView) -> str:
    here, there = reading.ambient_kpa, usual.air_kpa
    if here is None or there is None or abs(here - there) < _SAME_AIR_KPA:
        return ""
    if reading.basis == "absolute" and usual.basis == "absolute":
        return ""
    before = usual.figures(reading.scale.at(there))
    return (
        f"The air was at {here:.1f} kPa here, and at {there:.1f} kPa where {before} is usual. "
        f"Both are held against each other as absolute pressure: {reading.si:.1f} and {usual.usual.centre:.1f} kPa."
    )
