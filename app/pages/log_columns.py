"""What the columns of a log are: recognised, shown with the first rows, and confirmed by a person."""

from collections.abc import Callable
from dataclasses import asdict, replace
from functools import partial
from typing import Any

from fastapi import APIRouter, HTTPException, Request
from starlette.responses import Response

from app.pages.forms import EMPTY, Filled, Form, Posted, reasons_of
from app.pages.log_taking import begun_at, confirmed, logger_id, read_in, usual_ambient
from app.pages.logs import the_log
from app.pages.shell import garage_of, page, see
from app.pages.which import the_car
from app.records import traces
from app.records.cars import CarRow
from app.records.fields import read_moment
from app.records.log_answers import sniffed_of
from app.records.log_files import NoFileError
from app.records.logbook import RefusedError
from app.records.traces import LoggerRow, NoTraceError, TraceRow
from app.traces.clock import CLOCKS
from app.traces.file_form import OWN, Column, FileForm, Overruled, form_of
from app.traces.read import needs_ambient
from app.traces.sniff import GUESS, NoLogError, Sniffed, as_known, overruled_by
from app.traces.units import units_for
from app.traces.words import LABELS

router = APIRouter()

_SEPARATORS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
_DECIMALS = {".": "point", ",": "comma"}
_ENCODINGS = {
    "utf-8": "UTF-8",
    "utf-16-le": "UTF-16, little end first",
    "utf-16-be": "UTF-16, big end first",
    "cp1252": "Windows, Western (1252)",
    "cp1250": "Windows, Central European (1250)",
    "cp1251": "Windows, Cyrillic (1251)",
}
_NEEDS_AIR = "A gauge's pressure is above the air around the car: say how high that stood, in kPa, such as 98.5."


@router.get("/logs/{log_id}/columns")
def ask(request: Request, log_id: str, encoding: str = "", delimiter: str = "", decimal: str = "") -> Response:
    """The first rows, and for each column what it seems to be; as a person says the file is written, if they do."""
    said = {"encoding": encoding, "delimiter": delimiter, "decimal": decimal}
    try:
        return _Asked.of(request, log_id, Overruled(**said)).page(request, EMPTY)
    except ValueError as error:  # it can't be read so: the guess again, and why
        return _Asked.of(request, log_id).page(request, Filled(said, {"": str(error), "written": ""}), 422)


@router.post("/logs/{log_id}/columns")
def take(request: Request, log_id: str, form: Form) -> Response:
    """Take what the columns are, read the file with it, and on to the log; or the form again."""
    garage = garage_of(request)
    try:
        asked = _Asked.of(request, log_id, Overruled(form["encoding"], form["delimiter"], form["decimal"]))
    except ValueError as error:
        return _Asked.of(request, log_id).page(request, form.again({"": str(error), "written": ""}), 422)
    try:
        made, ambient = asked.said(form), _ambient(form)
        if needs_ambient(made) and ambient is None:
            return asked.page(request, form.again({"ambient_kpa": _NEEDS_AIR}), 422)
        read = read_in(garage, log_id, made, ambient if needs_ambient(made) else None)
        read_moment(form["begun_at"])
        garage.take_all(confirmed(form, log_id, asked.logger, made, read))
    except RefusedError as error:
        reasons = reasons_of(error.outcomes)
        return asked.page(request, form.again(_at_boxes(reasons, form)), 422)
    except (NoTraceError, ValueError) as error:
        return asked.page(request, form.again({"": str(error)}), 422)
    return see(f"/logs/{log_id}")


def _at_boxes(reasons: dict[str, str], form: Posted) -> dict[str, str]:
    # The logger's name and the log's are boxes of one form, and either may be what is missing.
    if "name" in reasons and form["name"].strip():
        reasons["logger_name"] = reasons.pop("name")
    return reasons


def _ambient(form: Posted) -> float | None:
    text = form["ambient_kpa"].strip().replace(",", ".")
    try:
        return float(text) if text else None
    except ValueError:
        raise ValueError(_NEEDS_AIR) from None


class _Asked:
    """A log and its file's beginning, as the question about its columns needs them."""

    def __init__(self, log: TraceRow, car: CarRow, guess: Sniffed, known: LoggerRow | None) -> None:
        self.log, self.car, self.known = log, car, known
        self.logger = logger_id(guess.form)
        self.sniffed, self.form = guess, guess.form

    @classmethod
    def of(cls, request: Request, log_id: str, overruled: Overruled = GUESS) -> "_Asked":
        """Raises HTTPException 404 for a log that is not here, or whose file is not, and NoLogError as `sniff` does."""
        garage = garage_of(request)
        with garage.read() as db:
            log = the_log(db, log_id)
            try:
                guess = sniffed_of(garage, db, log)
            except (NoFileError, NoLogError) as error:
                raise HTTPException(404, str(error)) from error
            known = traces.logger_row(db, logger_id(guess.form))
            asked = cls(log, the_car(db, log.car), guess, known)
            asked._written(overruled, partial(sniffed_of, garage, db, log))
        return asked

    def _written(self, overruled: Overruled, sniffed: Callable[[Overruled], Sniffed]) -> None:
        """How the file is written: as a person says now, else as it was read before, else as its logger's files are."""
        remembered = None if self.known is None or self.known.void_reason else self.known.form
        before = self.log.form or remembered
        if before is None:
            self.sniffed = sniffed(overruled)
            self.form = self.sniffed.form
            return
        if overruled == GUESS:
            overruled = overruled_by(before, self.sniffed.form)
            if self.log.form is not None:
                overruled = replace(overruled, encoding=before.encoding)
        self.sniffed = sniffed(overruled)
        found = self.sniffed.form
        alike = (before.delimiter, before.decimal) == (found.delimiter, found.decimal)
        self.form = as_known(found, before) if alike and len(before.columns) == len(found.columns) else found
        names = zip(self.form.columns, found.columns, strict=True)
        self.form = replace(self.form, columns=tuple(replace(one, name=here.name) for one, here in names))

    def said(self, form: Posted) -> FileForm:
        """The file's form as a person said it is. Raises ValueError, in a sentence."""
        columns = []
        for n, one in enumerate(self.form.columns):
            channel, _, unit = form[f"column_{n}"].partition("|")
            columns.append(Column(one.name, channel, unit))
        clock = int(form["clock_column"]) if form["clock_column"].isdecimal() else self.form.clock_column
        day = int(form["date_column"]) if form["date_column"].isdecimal() else None
        no_channels = [n for n in (clock, day) if n is not None and n < len(columns)]
        for n in no_channels:
            columns[n] = Column(columns[n].name)
        told = asdict(replace(self.sniffed.form, columns=()))
        told |= {"clock_column": clock, "clock": form["clock"], "date_column": day, "columns": tuple(columns)}
        made = FileForm(**told)
        return form_of(made.as_text())  # looked over as one that comes from elsewhere is

    def page(self, request: Request, form: Filled, status: int = 200) -> Response:
        """The form, as it was filled in."""
        found = self.form
        shown: dict[str, Any] = {
            "log": self.log,
            "car": self.car,
            "form": form,
            "file": found,
            "rows": self.sniffed.rows,
            "choices": _CHOICES,
            "chosen": [
                f"{one.channel}|{one.unit}" if one.channel not in {"", OWN} else one.channel for one in found.columns
            ],
            "clocks": CLOCKS,
            "separators": _SEPARATORS,
            "decimals": _DECIMALS,
            "encodings": _ENCODINGS,
            "begun": begun_at(self.sniffed, found) or self.log.begun_at,
            "ambient": self.log.ambient_kpa or usual_ambient(self.car),
            "logger_name": self.known.name if self.known else f"Logger of {self.car.name}",
        }
        return page(request, "logs/columns.html", status=status, **shown)


#: What a column can be: channel by channel, each in its units.
_CHOICES: list[tuple[str, list[tuple[str, str]]]] = [
    (label, [(f"{channel}|{key}", scale.label) for key, scale in (units_for(channel) or {}).items()])
    for channel, label in LABELS.items()
]
