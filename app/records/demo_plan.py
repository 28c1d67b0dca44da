"""The plan of the demo garage's first car: its stages, parts wherever they are, and what each needs first."""

from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta

from app.records.demo_job import Teller
from app.records.entry import Value

#: When it happened, kind, record, fields.
_Step = tuple[datetime, str, str, Mapping[str, Value]]

_STAGES = (
    ("sealed", 1, "Sealed, every hose known", -30, None),
    ("cooled", 2, "Cooled, ready for more boost", -120, 165.0),
    ("track", 3, "Sprung and damped for the track", -300, None),
)


def _part(**fields: Value) -> dict[str, Value]:
    return fields


#: Days ago it was first written down, then its fields; days in them by how long ago they are.
_PARTS: tuple[tuple[str, int, dict[str, Value]], ...] = (
    (
        "coupler-63",
        40,
        _part(name="Silicone coupler, 63 mm", kind="hose", state="here", line="throttle_coupler", stage="sealed")
        | _part(price=38.5, currency="EUR", source="Hose dealer, by post", condition="new", arrived_on=22, bore_mm=63)
        | _part(wall_mm=4.5, length_mm=90, material="silicone", plies=4, stands_c=180, needs_cutting="no"),
    ),
    (
        "clamps-70",
        40,
        _part(name="T-bolt clamps, 67 to 75 mm, two", kind="clamp", state="here", line="throttle_coupler")
        | _part(stage="sealed", price=13, currency="EUR", arrived_on=22, hold="t_bolt", range_low_mm=67)
        | _part(range_high_mm=75, band_mm=19),
    ),
    (
        "actuator-hose",
        30,
        _part(name="Actuator hose, silicone 5 mm", kind="hose", state="ordered", line="boost_actuator")
        | _part(stage="sealed", price=9.8, currency="EUR", bore_mm=5, wall_mm=3, material="silicone")
        | _part(ordered_on=30, expected_on=16),
    ),
    (
        "cooler",
        60,
        _part(name="Front-mounted intercooler", state="ordered", component="intercooler", stage="cooled", price=420)
        | _part(currency="EUR", source="Workshop, second hand", condition="used", ordered_on=20, expected_on=-9),
    ),
    (
        "pipe-60",
        58,
        _part(name="Hot charge pipe, 60 mm", kind="hose", line="hot_pipe", stage="cooled", price=85, currency="EUR")
        | _part(bore_mm=60, material="metal", needs_cutting="yes"),
    ),
    ("tune", 58, _part(name="Tune for the cooler air", kind="work", stage="cooled", price=350, currency="EUR")),
    ("damper-plain", 900, _part(name="Damper, as it came", state="fitted", position="Front left damper")),
    (
        "damper-sport",
        15,
        _part(name="Sport damper", position="Front left damper", stage="track", price=210, currency="EUR"),
    ),
    (
        "old-coupler",
        630,
        _part(name="Rubber coupler, first one", kind="hose", state="shelf", line="throttle_coupler")
        | _part(condition="worn", bore_mm=63, material="rubber"),
    ),
)
_DAYS = ("ordered_on", "expected_on", "arrived_on")
_NEEDS: tuple[tuple[str, str, dict[str, Value]], ...] = (
    ("pipe-60", "cooler", {"needs_part": "cooler"}),
    ("tune", "pipe-60", {"needs_part": "pipe-60"}),
    ("tune", "actuator-hose", {"needs_part": "actuator-hose"}),
    ("tune", "code_reader", {"tool": "code_reader"}),
    ("tune", "idle_vacuum", {"reading": "idle_vacuum"}),
    ("damper-sport", "alignment", {"what": "A day booked on the alignment bench"}),
)


def plan_entries(telling: Teller) -> Iterator[_Step]:
    """What was written of the plan, a minute apart from the day it began."""
    for number, (key, step, name, by_day, power_kw) in enumerate(_STAGES):
        fields: dict[str, Value] = {"car": telling.car, "step": step, "name": name, "by_day": _day(telling, by_day)}
        when = telling.moment("@950 19:00") + timedelta(minutes=number)
        yield when, "stage", telling.own(key), fields | ({"power_kw": power_kw} if power_kw else {})
    for number, (key, days, given) in enumerate(_PARTS):
        when = telling.moment(f"@{days} 19:10") + timedelta(minutes=number)
        yield when, "part", telling.own(key), {"car": telling.car} | _told(telling, given)
    # The hose that was to come two weeks ago slipped.
    slip: dict[str, Value] = {"expected_on": _day(telling, -4)}
    yield telling.moment("@14 12:00"), "part", telling.own("actuator-hose"), slip
    for number, (part, what, given) in enumerate(_NEEDS):
        when = telling.moment("@13 20:00") + timedelta(minutes=number)
        fields = _part(part=telling.own(part)) | _told(telling, given)
        yield when, "need", f"{telling.own(part)}.{what}", fields


def _told(telling: Teller, given: Mapping[str, Value]) -> dict[str, Value]:
    own = {"line", "component", "stage", "needs_part"}
    told: dict[str, Value] = {name: telling.own(str(one)) if name in own else one for name, one in given.items()}
    return told | {name: _day(telling, int(str(given[name]))) for name in _DAYS if name in given}


def _day(telling: Teller, ago: int) -> str:
    return telling.moment(f"@{ago}").date().isoformat()
