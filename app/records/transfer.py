"""The whole record, or one car's, as JSON Lines of entries, out and back in.

The first line says what the file is; then one entry a line, in order of arrival, then one picture a line, by id, then
the files of logs (records.transfer_files). Taken
into an empty garage, an export gives the same record and the same export, byte for byte; taken in again, it changes
nothing.
"""

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import islice
from typing import IO, Any, TextIO

from sqlalchemy import Connection

from app.records import log_files, photos
from app.records.archive import entries_of_car, files_of_car, header_of, less_ids, pictures_of_car
from app.records.engine import writing
from app.records.entry import Entry
from app.records.entry_json import read_entry
from app.records.fields import moment_wrong
from app.records.garage import Garage
from app.records.logbook import take_one
from app.records.not_done import NotDoneError
from app.records.rows import row, rows
from app.records.transfer_files import is_file_line, lines_of_files, take_file_line

FORM = 1
_HEADER = {"witnessmark": "entries", "form": FORM}
_KEYS = frozenset(
    ("id", "kind", "record", "version", "fields", "happened_at", "entered_at", "entered_by", "received_at")
)
#: Lines to a transaction: enough that waiting for the disk costs little, few enough that a power cut costs little.
_LINES = 2000
#: Bytes of the longest line there can be: a picture's, with room to spare.
_LONGEST = 32_000_000

_SELECT = """
SELECT id, kind, record, version, fields, happened_at, entered_at, entered_by, received_at FROM entry ORDER BY seq
"""


@dataclass(slots=True)
class Brought:
    """What became of an import. `refused` holds each refused line's number and why, in plain words."""

    taken: int = 0
    had: int = 0
    refused: list[tuple[int, str]] = field(default_factory=list)
    #: Ids of what came with something left out and is here already as a whole.
    whole: frozenset[str] = frozenset()


def export(garage: Garage, out: TextIO) -> int:
    """Write every entry, every picture and every file of a log to `out`; how many entries there were."""
    count = 0
    out.write(_line(_HEADER))
    with garage.read() as db:
        for one in db.exec_driver_sql(_SELECT):
            id_, kind, record, version, fields, happened_at, entered_at, entered_by, received_at = one
            entry = {"id": id_, "kind": kind, "record": record, "version": version, "fields": json.loads(fields)}
            entry |= {"happened_at": happened_at, "entered_at": entered_at}
            entry |= {"entered_by": entered_by, "received_at": received_at}
            out.write(_line(entry))
            count += 1
        out.writelines(_line(one) for one in lines_of_files(db, photos.pictures(db), log_files.files(db)))
    return count


def export_car(garage: Garage, car: str, out: TextIO, *, without_prices: bool) -> int:
    """Write every entry and file of one car to `out`; how many entries there were. NotDoneError for no such car."""
    count = 0
    with garage.read() as db:
        out.write(_line(_HEADER | header_of(db, car, without_prices=without_prices)))
        for entry in entries_of_car(db, car, without_prices=without_prices):
            out.write(_line(entry))
            count += 1
        files = lines_of_files(db, pictures_of_car(db, car), files_of_car(db, car))
        out.writelines(_line(one) for one in files)
    return count


@dataclass(frozen=True, slots=True)
class Export:
    """An export as it is read: of which car it is (None: of a whole garage), and its lines, each with its number.

    `first` is the car's first entry.
    """

    car: str | None
    first: str | None
    lines: Iterator[tuple[int, bytes]]


def lines_in(stream: IO[bytes]) -> Iterator[bytes]:
    """The lines of a stream nobody vouches for. Raises NotDoneError at one longer than any of an export's."""
    while line := stream.readline(_LONGEST + 1):
        if len(line) > _LONGEST:
            raise NotDoneError("This is no export: it has a line that is far too long. What came before it was taken.")
        yield line


def lines_of(stream: Iterable[bytes]) -> Export:
    """An export, its first line read. Raises NotDoneError if that is not of an export this program knows."""
    numbered = enumerate(stream, 1)
    _, first = next(numbered, (1, b""))
    header = _header(first)
    car, begun = (one if isinstance(one, str) else None for one in (header.get("car"), header.get("first")))
    return Export(car, begun, numbered)


def bring_in(garage: Garage, given: Export) -> Brought:
    """Take the entries of an export (see lines_of) in at the door, each as received when the export says it was.

    Entries are taken in order and kept in runs, each on the disk before the next begins; a refused one holds up no
    other. Raises NotDoneError, with nothing taken, where another car already has the id of the one it is of.
    """
    brought, lines = Brought(), given.lines
    with garage.read() as db:
        _look_for_another(db, given)
        brought.whole = _whole(db) if given.car else frozenset()
    while run := list(islice(lines, _LINES)):
        with writing(garage.engine) as connection:
            for number, line in run:
                if line.strip():
                    _take_line(connection, number, line, brought)
    return brought


def _line(content: object) -> str:
    return json.dumps(content, ensure_ascii=False, separators=(",", ":")) + "\n"


def _header(line: bytes) -> dict[str, Any]:
    try:
        header = json.loads(line.decode("utf-8-sig"))
    except ValueError:
        header = None
    if not isinstance(header, dict) or header.get("witnessmark") != "entries":
        raise NotDoneError("This is no export: its first line does not say so.")
    form = header.get("form")
    if form != FORM:
        raise NotDoneError(f"This export is of form {form}; this program reads form {FORM}. Update the program first.")
    return header


def _look_for_another(db: Connection, given: Export) -> None:
    there = row(db, str, "SELECT id FROM entry WHERE kind = 'car' AND record = ? ORDER BY seq LIMIT 1", given.car)
    if there is None or row(db, str, "SELECT id FROM entry WHERE id = ?", given.first) is not None:
        return
    raise NotDoneError(f"Another car of this garage already has the id {given.car}. Nothing was taken.")


def _whole(db: Connection) -> frozenset[str]:
    return frozenset(one for entry in rows(db, str, "SELECT id FROM entry") for one in less_ids(entry))


def _take_line(connection: Connection, number: int, line: bytes, brought: Brought) -> None:
    try:
        one = _object(line)
        if is_file_line(one):
            if take_file_line(connection, one) == "taken":
                brought.taken += 1
            else:
                brought.had += 1
            return
        entry, received_at = _read(one)
    except ValueError as error:
        brought.refused.append((number, str(error)))
        return
    if entry.id in brought.whole:
        brought.had += 1
        return
    outcome = take_one(connection, entry, received_at)
    if outcome.outcome == "taken":
        brought.taken += 1
    elif outcome.outcome == "had":
        brought.had += 1
    else:
        why = "; ".join(_reasons(outcome.reasons.items()))
        brought.refused.append((number, f"{entry.kind} {entry.record}: {why}"))


def _reasons(reasons: Iterable[tuple[str, str]]) -> Iterator[str]:
    for name, sentence in reasons:
        yield f"{name}: {sentence}" if name else sentence


def _object(line: bytes) -> dict[str, Any]:
    try:
        one = json.loads(line.decode())
    except (ValueError, RecursionError):
        raise ValueError("This line can't be read as JSON.") from None
    return one if isinstance(one, dict) else {}


def _read(one: dict[str, Any]) -> tuple[Entry, str]:
    if one.keys() != _KEYS:
        raise ValueError("An entry has " + ", ".join(sorted(_KEYS)) + ", and nothing else.")
    for name in ("entered_by", "received_at"):
        if not isinstance(one[name], str):
            raise ValueError(f"{name}: Write this as text.")
    if (wrong := moment_wrong(one["received_at"])) is not None:
        raise ValueError(f"received_at: {wrong}")
    return read_entry(one, one["entered_by"]), one["received_at"]
