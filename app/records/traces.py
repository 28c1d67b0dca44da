"""Logs of drives: the list of a car's, one of them, how each logger writes, and a log's figures."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from sqlalchemy import Connection

from app.records import log_files, trace_cache
from app.records.garage import Garage
from app.records.log_files import NoFileError, parts_of
from app.records.not_done import NotDoneError
from app.records.rows import row, rows
from app.traces.file_form import FileForm, form_of
from app.traces.read import Read, UnreadableError, read
from app.traces.trace import Trace


class NoTraceError(NotDoneError):
    """A log has no figures to show; the message says why, in a sentence."""


@dataclass(frozen=True, slots=True)
class ChannelRow:
    """What one channel of a log holds: its least and greatest figure, and how many there are.

    `low` and `high` are None where there is none. `unit` is that of app.traces.trace.UNITS, or, for a channel of the
    file's own name, nothing.
    """

    name: str
    low: float | None
    high: float | None
    figures: int


@lru_cache(maxsize=512)
def _channels_of(text: str) -> Sequence[ChannelRow]:
    return tuple(ChannelRow(*one) for one in json.loads(text))


@dataclass(frozen=True)
class TraceRow:
    """One log. What came of reading it is None until someone said what its columns are."""

    id: str
    car: str
    car_name: str
    job: str | None
    job_title: str | None
    drive: str | None
    name: str
    begun_at: str
    logger: str | None
    logger_name: str | None
    columns: str | None
    ambient_kpa: float | None
    seconds: float | None
    channels_text: str | None
    rows: int | None
    bad_rows: int | None
    bad_cells: int | None
    trouble_text: str | None
    note: str | None
    void_reason: str | None
    size: int | None
    sha256: str | None

    @cached_property
    def form(self) -> FileForm | None:
        """How its file is read."""
        return None if self.columns is None else form_of(self.columns)

    @cached_property
    def channels(self) -> Sequence[ChannelRow]:
        """Its channels, those the program knows the meaning of first."""
        return _channels_of(self.channels_text or "[]")

    @cached_property
    def trouble(self) -> Sequence[tuple[int, str]]:
        """The first of what was odd in its file: line and sentence. Line 0 is about the whole."""
        return tuple((int(line), str(why)) for line, why in json.loads(self.trouble_text or "[]"))


@dataclass(frozen=True, slots=True)
class LoggerRow:
    """One logger, and how many logs were read as its own."""

    id: str
    name: str
    columns: str
    note: str | None
    void_reason: str | None
    logs: int

    @property
    def form(self) -> FileForm:
        """How its files are read."""
        return form_of(self.columns)


_TRACE = """
SELECT t.id, t.car, car.name, t.job, job.title, t.drive, t.name, t.begun_at, t.logger, l.name, t.columns, t.ambient_kpa,
       t.seconds, t.channels, t.rows, t.bad_rows, t.bad_cells, t.trouble, t.note, t.void_reason, f.size, f.sha256
FROM trace t JOIN car ON car.id = t.car LEFT JOIN job ON job.id = t.job LEFT JOIN logger l ON l.id = t.logger
LEFT JOIN log_file f ON f.id = t.id
"""
_LOGGERS = """
SELECT l.id, l.name, l.columns, l.note, l.void_reason,
       (SELECT count(*) FROM trace t WHERE t.logger = l.id AND t.void_reason IS NULL) FROM logger l
"""


def traces_of(db: Connection, car: str) -> list[TraceRow]:
    """A car's logs, the last drive first; those struck out are not among them."""
    return rows(db, TraceRow, f"{_TRACE} WHERE t.car = ? AND t.void_reason IS NULL ORDER BY t.begun_at DESC, t.id", car)


def trace_row(db: Connection, trace: str) -> TraceRow | None:
    """One log, struck out or not; None if there is none of that id."""
    return row(db, TraceRow, f"{_TRACE} WHERE t.id = ?", trace)


def with_file(db: Connection, car: str, sha256: str) -> TraceRow | None:
    """The car's log of a file with this SHA-256 that is not struck out; None if it has none."""
    return row(db, TraceRow, f"{_TRACE} WHERE t.car = ? AND f.sha256 = ? AND t.void_reason IS NULL", car, sha256)


def loggers(db: Connection) -> list[LoggerRow]:
    """Every logger that is remembered, by name."""
    return rows(db, LoggerRow, f"{_LOGGERS} WHERE l.void_reason IS NULL ORDER BY l.name, l.id")


def logger_row(db: Connection, logger: str) -> LoggerRow | None:
    """One logger; None if none is remembered by that id."""
    return row(db, LoggerRow, f"{_LOGGERS} WHERE l.id = ?", logger)


def trace_of(garage: Garage, trace: str) -> Trace:
    """A log's figures. Raises NoTraceError where there are none to show, saying why."""
    with garage.read() as db:
        one = trace_row(db, trace)
    if one is None:
        raise NoTraceError("There is no such log.")
    return figures_of(garage, one)


def figures_of(garage: Garage, one: TraceRow) -> Trace:
    """The figures of a log whose row was read, as that row says. Raises NoTraceError where there are none to show."""
    if one.form is None:
        raise NoTraceError("Nobody said yet what the columns of this log are.")
    if one.sha256 is None:
        raise NoTraceError("The file of this log is not in this garage.")
    key = trace_cache.key_of(one.id, one.sha256, one.form, one.ambient_kpa)
    if (kept := trace_cache.kept(garage.settings, key)) is not None:
        return kept
    with garage.read() as db:
        try:
            made = read(parts_of(db, one.id), one.form, one.ambient_kpa).trace
        except (NoFileError, UnreadableError) as error:
            raise NoTraceError(str(error)) from error
    trace_cache.keep(garage.settings, key, made)
    return made


def read_file(garage: Garage, trace: str, form: FileForm, ambient_kpa: float | None) -> Read:
    """Read a log's file, and keep its figures at hand. Raises NoTraceError where that can't be done."""
    with garage.read() as db:
        told = log_files.file_of(db, trace)
        try:
            made = read(parts_of(db, trace), form, ambient_kpa)
        except (NoFileError, UnreadableError) as error:
            raise NoTraceError(str(error)) from error
    if told is not None:
        trace_cache.keep(garage.settings, trace_cache.key_of(trace, told.sha256, form, ambient_kpa), made.trace)
    return made


def told_of(made: Read) -> dict[str, str | float | int]:
    """What the record says of a file that was read: fields of a TraceFields."""
    trouble = [*((0, note) for note in made.notes), *made.trouble]
    channels = [_channel(name, made.trace) for name in made.trace.channels]
    return {
        "seconds": round(made.trace.seconds, 3),
        "channels": json.dumps(channels, ensure_ascii=False, separators=(",", ":")),
        "rows": made.trace.at.size,
        "bad_rows": made.bad_rows,
        "bad_cells": made.bad_cells,
        "trouble": json.dumps(trouble, ensure_ascii=False, separators=(",", ":")),
    }


def _channel(name: str, trace: Trace) -> tuple[str, float | None, float | None, int]:
    figures = trace.channels[name]
    count = int(np.isfinite(figures).sum())
    if not count:
        return name, None, None, 0
    return name, float(f"{np.nanmin(figures):.6g}"), float(f"{np.nanmax(figures):.6g}"), count
