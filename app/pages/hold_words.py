"""How a hold test is said: the words the phone uses, too (static/bay/hold-test.js)."""

from datetime import datetime

from app.pages.words import number, plain
from app.records.kinds.hold_test import HoldTestFields
from app.workings.units import PressureUnit

LABELS = {
    "medium": {"vacuum": "vacuum", "pressure": "pressure"},
    "unit": {unit.value: unit.label for unit in PressureUnit},
    "limit_from": {
        "practice": "common practice, no source",
        "own": "a limit of your own",
        "maker": "the maker’s figure",
    },
}
#: The direct check a hold test is, and what its outcome is called there.
METHOD = {"vacuum": "hand_vacuum_pump", "pressure": "pressure_test"}
RESULT = {True: "sound", False: "fault", None: "unclear"}


def lasted(seconds: float) -> str:
    """A length of time as a clock shows it: 0:45, 12:05, 1:02:30."""
    whole = int(seconds)
    hours, minutes = divmod(whole // 60, 60)
    return f"{hours}:{minutes:02}:{whole % 60:02}" if hours else f"{minutes}:{whole % 60:02}"


def reckoned(figure: float) -> str:
    """A figure nobody read off a gauge, no finer than one could: three digits or so."""
    size = abs(figure)
    return number(figure, 0 if size >= 100 else 1 if size >= 10 else 2 if size >= 1 else 3)


def summary(test: HoldTestFields) -> str:
    """A test in one line, for the check it is."""
    seconds = (datetime.fromisoformat(test.ended_at) - datetime.fromisoformat(test.started_at)).total_seconds()
    hole = "" if test.hole_mm is None else f", a hole of {number(test.hole_mm, 3)} mm"
    figures = f"{plain(test.start_value)} to {plain(test.end_value)} {test.unit.label}"
    return f"Hold test, {test.medium}: {figures} in {lasted(seconds)}{hole}"
