"""Logs: what a logger noted of one drive, and how each logger writes. The file itself lies beside the record."""

from typing import Annotated

from pydantic import BeforeValidator

from app.records.fields import LONG, Count, Fields, Moment, Number, Recorded, key, moment, number, whole, words
from app.traces.file_form import form_of

#: Letters of the longest text that says how a file of MOST_COLUMNS columns is read, or what it holds.
_LONGEST = 60_000


def _read_form(value: object) -> str:
    return form_of(str(value)).as_text()


FormText = Annotated[str, BeforeValidator(_read_form)]


class LoggerFields(Fields):
    """How one logger's files are read. Its id follows from the header, so that its next file is known again."""

    name: str = words()
    columns: FormText = words(_LONGEST)
    note: str | None = words(LONG, default=None)


class Logger(LoggerFields, Recorded, table=True):
    """Table `logger`."""

    __tablename__ = "logger"


class TraceFields(Fields):
    """One log of one drive. Its file is kept under its id (records.log_files), and gets there before it.

    While `columns` is not there, nobody said yet what its columns are. It says how this file is read; what came of
    reading it goes with it: how long it is, s, its `channels` (records.traces.ChannelRow, as JSON), how many rows were
    kept, how many left out and how many cells held no figure, and the first of these with their lines (`trouble`).
    `ambient_kpa` is the air around the car, for pressures by a gauge in a log without a barometer.
    """

    car: str = key("car")
    job: str | None = key("job", default=None)
    drive: str | None = key("drive", default=None)
    name: str = words()
    begun_at: Moment = moment()
    logger: str | None = key("logger", default=None)
    columns: FormText | None = words(_LONGEST, default=None)
    ambient_kpa: Number | None = number(default=None, ge=45, le=115)
    seconds: Number | None = number(default=None, ge=0)
    channels: str | None = words(_LONGEST, default=None)
    rows: Count | None = whole(default=None, ge=0)
    bad_rows: Count | None = whole(default=None, ge=0)
    bad_cells: Count | None = whole(default=None, ge=0)
    trouble: str | None = words(_LONGEST, default=None)
    note: str | None = words(LONG, default=None)


class Trace(TraceFields, Recorded, table=True):
    """Table `trace`."""

    __tablename__ = "trace"
