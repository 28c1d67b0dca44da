"""The demo garage's logs: two invented drives over the same road, one before the leak and one with it.

Every figure is made up of a few plain rules, so that a healthy drive and one with a leak differ as a car's would.
"""

import io
import math
import uuid
from collections.abc import Iterator
from datetime import datetime, timedelta

from sqlalchemy import Connection

from app.records import log_files, traces
from app.records.entry import Entry, Value
from app.records.fields import moment_text
from app.traces.file_form import Column, FileForm
from app.traces.read import read

CAR = "tern"
_LAPTOP = "laptop on the bench"
_NAMES = (
    *("Time (s)", "Engine speed (rpm)", "Road speed (km/h)", "MAP (kPa)", "Barometer (kPa)", "Throttle (%)"),
    *("MAF (g/s)", "STFT (%)", "Coolant (°C)", "IAT (°C)", "Boost duty (%)", "Gear"),
)
_CHANNELS = (
    *(("engine_speed", "rpm"), ("road_speed", "km/h"), ("manifold_pressure", "kPa"), ("barometer", "kPa")),
    *(("throttle", "%"), ("air_flow", "g/s"), ("fuel_trim_short", "%"), ("coolant", "degC"), ("intake_air", "degC")),
    *(("boost_duty", "%"), ("gear", "1")),
)
FORM = FileForm(
    *("utf-8", ";", ",", 2, 0, "seconds"),
    (Column(_NAMES[0]), *(Column(name, *of) for name, of in zip(_NAMES[1:], _CHANNELS, strict=True))),
)
_LOGGER = "little-logger"
_BARO = 99.7  # kPa, the garage's height
_BOOST = 106  # kPa over the air, what this car's gauge shows at steady full throttle
#: km/h for each 1000 rpm, gear by gear.
_REACH = (0.0, 7.5, 13.5, 20.5, 28.0, 36.0)
#: The road: seconds, throttle in %, gear (0: out of gear, standing).
_ROAD = (
    *((25, 2, 0), (4, 35, 1), (5, 40, 2), (8, 30, 3), (20, 18, 4), (2, 0, 4), (9, 100, 3), (3, 0, 3), (14, 16, 4)),
    *((2, 0, 4), (12, 100, 4), (4, 0, 4), (18, 14, 4), (10, 0, 3), (6, 0, 2), (20, 2, 0)),
)
_HZ = 10


def demo_logs(connection: Connection, at: datetime) -> Iterator[Entry]:
    """The entries of both logs and their logger; their files are kept as they come."""
    for number, (days, name, leak) in enumerate(((16, "To work and back.csv", 0.0), (1, "Same road again.csv", 0.16))):
        begun = (at - timedelta(days=days)).replace(hour=7, minute=42, second=0, microsecond=0)
        told = moment_text(begun + timedelta(minutes=20))
        text = _drive(leak).encode()
        record = f"{CAR}.drive-{number + 1}"
        log_files.keep(connection, record, io.BytesIO(text), told)
        if not number:
            about: dict[str, Value] = {"name": "The little logger", "columns": FORM.as_text()}
            yield _entry("logger", _LOGGER, about, told)
        made = read([text], FORM)
        about = {"car": CAR, "name": name, "begun_at": moment_text(begun), "logger": _LOGGER}
        yield _entry("trace", record, about | {"columns": FORM.as_text(), **traces.told_of(made)}, told)


def _entry(kind: str, record: str, fields: dict[str, Value], at: str) -> Entry:
    return Entry(str(uuid.uuid5(uuid.NAMESPACE_OID, f"{kind} {record} {at}")), kind, record, fields, at, at, _LAPTOP)


def _drive(leak: float) -> str:
    """The file of one drive; `leak` is the share of the boost that is lost."""
    lines = [";".join(_NAMES)]
    speed, pressure, rpm, trim, row = 0.0, 34.0, 840.0, 0.0, 0
    for seconds, throttle, gear in _ROAD:
        for _ in range(seconds * _HZ):
            at = row / _HZ
            rpm, speed = _moved(rpm, speed, throttle, gear)
            aim = _aim(rpm, throttle, leak, at)
            pressure += (aim - pressure) * (0.09 if aim > pressure else 0.3)
            flow = 1.9 / 2 * rpm / 60 * 0.86 * pressure / 101.3 * 1.18  # litres a turn, filled, at the air's density
            trim += (_trim(pressure, leak) - trim) * 0.05
            flap = 84 if throttle == 100 else 12 + throttle * 0.8
            duty = 0 if pressure < _BARO else min(86, 30 + (pressure - _BARO) * (0.35 + leak * 2))
            shaken = (rpm + 9 * math.sin(at * 7.1), speed, pressure + 0.5 * math.sin(at * 9.7), _BARO)
            rest = (flap, flow, trim + 0.8 * math.sin(at * 2.3), min(91, 64 + at / 4), 21 + at / 40, duty)
            lines.append(
                ";".join([f"{at:.1f}", *(f"{one:.1f}" for one in (*shaken, *rest)), str(gear)]).replace(".", ",")
            )
            row += 1
    return "\n".join(lines) + "\n"


def _moved(rpm: float, speed: float, throttle: int, gear: int) -> tuple[float, float]:
    if not gear:
        return rpm + (840 - rpm) * 0.1, max(0.0, speed - 0.8)
    pull = (throttle - 14) * (0.0145 / gear if gear > 2 else 0.02) if throttle else -0.22 - speed / 600
    speed = max(6.0, speed + pull)
    return max(900.0, 1000 * speed / _REACH[gear]), speed


def _aim(rpm: float, throttle: int, leak: float, at: float) -> float:
    """The pressure in the manifold the engine is on its way to, kPa absolute."""
    if throttle < 5:
        return (33.0 if rpm < 1000 else 26.0) + 40 * leak
    if throttle < 60:
        return 38.0 + throttle * 1.1 + 12 * leak
    full = _BARO + _BOOST * min(1.0, max(0.15, (rpm - 1300) / 1300))
    wander = 5 * math.sin(at * 4) if leak else 0.0
    return _BARO + (full - _BARO) * (1 - 0.6 * leak) + wander


def _trim(pressure: float, leak: float) -> float:
    return (45 if pressure < 60 else -28 if pressure > _BARO + 20 else 8) * leak + 0.5
