"""A log's file taken in: looked at, kept, and read where its logger is known; and what a person says of its columns."""

import hashlib
from datetime import UTC, datetime
from pathlib import PurePath
from typing import IO

from app.pages.forms import Posted
from app.records import log_files, traces
from app.records.cars import CarRow
from app.records.entry import Entry, Value
from app.records.fields import SHORT, moment_text
from app.records.garage import Garage
from app.records.logbook import RefusedError, now
from app.records.traces import NoTraceError
from app.traces.cells import stamp_text
from app.traces.clock import DATED, is_with_zone, seconds_in
from app.traces.file_form import FileForm
from app.traces.read import needs_ambient
from app.traces.sniff import HEAD, NoLogError, Sniffed, as_known, fingerprint, overruled_by, sniff
from app.workings.atmosphere import OutsideAtmosphere, standard_pressure_kpa

_HAD = "This file is here already, as “{0}”."
_OTHER = "Another file was sent under this form. Open the page anew, and choose the file again."
#: Before it no logger told the day: its clock was never set.
_FIRST_YEAR = 1995


def taken_in(garage: Garage, car: CarRow, told: Posted, file: IO[bytes], name: str) -> str:
    """Keep a file as a log of the car, and read it if its logger is known; the address to go on at.

    Raises NoLogError, in a sentence and with nothing kept, for a file that is no log or is here already.
    """
    head = file.read(HEAD)
    sniffed = sniff(head)
    file.seek(0)
    digest = hashlib.file_digest(file, "sha256").hexdigest()  # type: ignore[arg-type]  # a file opened for bytes
    file.seek(0)
    trace = told.record()
    with garage.read() as db:
        there = traces.with_file(db, car.id, digest)
        known = traces.logger_row(db, logger_id(sniffed.form))
    if there is not None and there.id != trace:
        raise NoLogError(_HAD.format(there.name))
    if log_files.put_file(garage.engine, trace, file, now()) == "other":
        raise NoLogError(_OTHER)
    about: dict[str, Value] = {"car": car.id, "name": _name(name)}
    about["begun_at"] = begun_at(sniffed, sniffed.form) or now()
    if known is None or known.void_reason:
        garage.take_all([told.make("trace", trace, about)])
        return f"/logs/{trace}/columns"
    try:
        sniffed = sniff(head, overruled_by(known.form, sniffed.form))
        form = as_known(sniffed.form, known.form)
    except NoLogError:  # as below
        garage.take_all([told.make("trace", trace, about)])
        return f"/logs/{trace}/columns"
    ambient = usual_ambient(car) if needs_ambient(form) else None
    about["begun_at"] = begun_at(sniffed, form) or now()
    try:
        about |= read_in(garage, trace, form, ambient) | {"logger": known.id}
        garage.take_all([told.make("trace", trace, about)])
    except (NoTraceError, RefusedError):  # this file is not like that logger's others: a person has to look
        garage.take_all([told.make("trace", trace, {k: about[k] for k in ("car", "name", "begun_at")})])
        return f"/logs/{trace}/columns"
    return f"/logs/{trace}"


def confirmed(told: Posted, trace: str, logger: str, form: FileForm, read: dict[str, Value]) -> list[Entry]:
    """The entries of a form that says what the columns are: the logger, remembered, and the log."""
    remembered = told.make("logger", logger, {"name": told["logger_name"], "columns": form.as_text()})
    about: dict[str, Value] = {"name": told["name"], "begun_at": told["begun_at"], "note": told["note"]}
    return [remembered, told.make("trace", trace, about | read | {"logger": logger})]


def read_in(garage: Garage, trace: str, form: FileForm, ambient_kpa: float | None) -> dict[str, Value]:
    """Read a log's file that is kept: what its record says of it. Raises NoTraceError."""
    made = traces.read_file(garage, trace, form, ambient_kpa)
    return {"columns": form.as_text(), "ambient_kpa": ambient_kpa, **traces.told_of(made)}


def logger_id(form: FileForm) -> str:
    """The id of the logger that writes such files: two garages that see the same header mean the same one.

    `form` is as guessed, whatever a person said of it: the next file is guessed first, too.
    """
    return hashlib.sha256(fingerprint(form).encode()).hexdigest()[:32]


def usual_ambient(car: CarRow) -> float | None:
    """The air around the car at the height where it is kept, kPa absolute; None where that is not known."""
    if car.altitude_m is None:
        return None
    try:
        return round(standard_pressure_kpa(car.altitude_m), 2)
    except OutsideAtmosphere:
        return None


def begun_at(sniffed: Sniffed, form: FileForm) -> str | None:
    """When the log began by its own clock, as the record writes moments; None where it does not tell a day.

    Without a zone it is the time on this machine's clock. A clock that was never set, or runs ahead, tells nothing.
    """
    if form.clock not in DATED or not sniffed.rows:
        return None
    cell = stamp_text(sniffed.rows[0], form).strip().replace(",", ".")
    seconds = seconds_in(cell, form.clock)
    try:
        when = datetime.fromtimestamp(seconds, UTC)
    except (ValueError, OverflowError, OSError):
        return None
    if not form.clock.startswith("epoch") and not is_with_zone(cell):
        when = when.replace(tzinfo=None).astimezone()
    text = moment_text(when)
    return text if when.year >= _FIRST_YEAR and text <= now() else None


def _name(file_name: str) -> str:
    plain = "".join(c for c in PurePath(file_name.replace("\\", "/")).name if c.isprintable()).strip()
    return plain[:SHORT] or "Log"
