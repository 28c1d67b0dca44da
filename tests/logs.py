"""Logs to test with: a drive with pulls, as figures and as a file that was taken in."""

import io
import uuid

import numpy as np

from app.records.entry import Entry
from app.records.garage import Garage
from app.records.log_files import put_file
from app.records.logbook import now
from app.records.traces import read_file, told_of
from app.traces.file_form import Column, FileForm
from app.traces.trace import Trace

COLUMNS = (
    ("engine_speed", "rpm"),
    ("manifold_pressure", "kPa"),
    ("throttle", "%"),
)
FORM = FileForm(
    "utf-8", ",", ".", 2, 0, "seconds", (Column("time"), *(Column(name, name, unit) for name, unit in COLUMNS))
)


def drive(*peaks: float, rate: float = 10.0) -> Trace:
    """A pull of ten seconds for each of `peaks` (kPa absolute), with ten of cruising before and after it."""
    each = np.arange(0, 20, 1 / rate)
    pulls = (each >= 5) & (each < 15)
    share = np.clip((each - 5) / 10, 0, 1)
    rpm = np.where(pulls, 2000 + 4500 * share, 2000.0)
    rise = np.clip((each - 5) / 3, 0, 1)
    at = np.arange(each.size * len(peaks)) / rate
    kpa = np.concatenate([np.where(pulls, 100 + (peak - 100) * rise, 60.0) for peak in peaks])
    throttle = np.tile(np.where(pulls, 100.0, 15.0), len(peaks))
    return Trace(at, {"engine_speed": np.tile(rpm, len(peaks)), "manifold_pressure": kpa, "throttle": throttle})


def file_of(trace: Trace) -> bytes:
    """The trace as a file of FORM."""
    rows = np.column_stack([trace.at, *(trace.channels[name] for name, _ in COLUMNS)])
    text = io.StringIO()
    text.write(",".join(["time", *(name for name, _ in COLUMNS)]) + "\n")
    np.savetxt(text, rows, fmt="%.6g", delimiter=",")
    return text.getvalue().encode()


def take_in(garage: Garage, log: str, car: str, trace: Trace, begun: str = "2026-04-18T10:00:00.000Z") -> None:
    """Take a trace in as a log of a car."""
    put_file(garage.engine, log, io.BytesIO(file_of(trace)), now())
    about = {"car": car, "name": f"{log}.csv", "begun_at": begun, "columns": FORM.as_text()}
    fields = {**about, **told_of(read_file(garage, log, FORM, None))}
    assert garage.take(Entry(str(uuid.uuid4()), "trace", log, fields, now(), now(), "bay phone")).outcome == "taken"
