"""Logs of the generator, put into a garage as a person's would be."""

import io
from collections.abc import Mapping

from app.records.garage import Garage
from app.records.log_files import put_file
from app.records.traces import read_file, told_of
from app.traces.file_form import OWN, Column, FileForm
from app.traces.trace import UNITS, Trace
from tests.conftest import Enter
from tests.traces.generator import csv_text

_UNIT: Mapping[str, str] = {"engine_speed": "rpm", "road_speed": "km/h", "air_flow": "g/s", "coolant": "degC"}


def form_for(trace: Trace) -> FileForm:
    """How the generator's table is read."""
    units = {"manifold_pressure": "kPa", "barometer": "kPa", "intake_air": "degC"} | dict(_UNIT)
    names = csv_text(Trace(trace.at[:1], {name: of[:1] for name, of in trace.channels.items()})).splitlines()[0]
    heads = names.split(",")
    columns = [Column(heads[0], "", "")]
    for head, name in zip(heads[1:], trace.channels, strict=True):
        columns.append(Column(head, name if name in UNITS else OWN, units.get(name, "%")))
    return FileForm("utf-8", ",", ".", 2, 0, "seconds", tuple(columns))


def keep_log(garage: Garage, enter: Enter, log: str, car: str, trace: Trace, begun_at: str, **more: str) -> None:  # noqa: PLR0917  # a log is all of these
    """Keep a trace as a log of a car: its file, and the entry that tells of it."""
    put_file(garage.engine, log, io.BytesIO(csv_text(trace).encode()), begun_at)
    form = form_for(trace)
    made = read_file(garage, log, form, None)
    enter("trace", log, car=car, name=f"Log {log}", begun_at=begun_at, columns=form.as_text(), **told_of(made), **more)
