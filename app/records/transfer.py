"""The whole record as JSON Lines of entries, out and back in.

The first line says what the file is; then one entry a line, in order of arrival, then one picture a line, by id. Taken
into an empty garage, an export gives the same record and the same export, byte for byte; taken in again, it changes
nothing.
"""

import base64
import binascii
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import islice
from typing import Any, TextIO

from sqlalchemy import Connection

from app.photos.reencode import NoPictureError, looked_at
from app.records import photos
from app.records.engine import writing
from app.records.entry import Entry
from app.records.entry_json import read_entry
from app.records.fields import is_record_id, moment_wrong
from app.records.garage import Garage
from app.records.logbook import take_one
from app.records.not_done import NotDoneError
from app.records.photos import Stored

FORM = 1
_HEADER = {"witnessmark": "entries", "form": FORM}
_KEYS = frozenset(
    ("id", "kind", "record", "version", "fields", "happened_at", "entered_at", "entered_by", "received_at")
)
_PICTURE_KEYS = frozenset(("picture", "jpeg", "sent_sha256", "received_at"))
#: Lines to a transaction: enough that waiting for the disk costs little, few enough that a power cut costs little.
_LINES = 2000

_SELECT = """
SELECT id, kind, record, version, fields, happened_at, entered_at, entered_by, received_at FROM entry ORDER BY seq
"""


@dataclass(slots=True)
class Brought:
    """What became of an import. `refused` holds each refused line's number and why, in plain words."""

    taken: int = 0
    had: int = 0
    refused: list[tuple[int, str]] = field(default_factory=list)


def export(garage: Garage, out: TextIO) -> int:
    """Write every entry and every picture to `out`; how many entries there were."""
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
        out.writelines(_line(_of_picture(picture)) for picture in photos.pictures(db))
    return count


def lines_of(stream: Iterable[bytes]) -> Iterator[tuple[int, bytes]]:
    """The lines of an export after its first, each with its number.

    Raises NotDoneError if the first line is not that of an export this program knows.
    """
    numbered = enumerate(stream, 1)
    _, first = next(numbered, (1, b""))
    _look_at_header(first)
    return numbered


def bring_in(garage: Garage, lines: Iterator[tuple[int, bytes]]) -> Brought:
    """Take the entries of an export (see lines_of) in at the door, each as received when the export says it was.

    Entries are taken in order and kept in runs, each on the disk before the next begins; a refused one holds up no
    other.
    """
    brought = Brought()
    while run := list(islice(lines, _LINES)):
        with writing(garage.engine) as connection:
            for number, line in run:
                if line.strip():
                    _take_line(connection, number, line, brought)
    return brought


def _line(content: object) -> str:
    return json.dumps(content, ensure_ascii=False, separators=(",", ":")) + "\n"


def _look_at_header(line: bytes) -> None:
    try:
        header = json.loads(line.decode("utf-8-sig"))
    except ValueError:
        header = None
    if not isinstance(header, dict) or header.get("witnessmark") != "entries":
        raise NotDoneError("This is no export: its first line does not say so.")
    form = header.get("form")
    if form != FORM:
        raise NotDoneError(f"This export is of form {form}; this program reads form {FORM}. Update the program first.")


def _of_picture(one: Stored) -> dict[str, str]:
    jpeg = base64.b64encode(one.jpeg).decode()
    return {"picture": one.id, "jpeg": jpeg, "sent_sha256": one.sent_sha256, "received_at": one.received_at}


def _take_line(connection: Connection, number: int, line: bytes, brought: Brought) -> None:
    try:
        one = _object(line)
        if "picture" in one:
            _take_picture(connection, number, one, brought)
            return
        entry, received_at = _read(one)
    except ValueError as error:
        brought.refused.append((number, str(error)))
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


def _take_picture(connection: Connection, number: int, one: dict[str, Any], brought: Brought) -> None:
    outcome = photos.store(connection, _picture(one))
    if outcome == "other":
        brought.refused.append((number, f"picture {one['picture']}: Another picture already has this id."))
    elif outcome == "taken":
        brought.taken += 1
    else:
        brought.had += 1


def _picture(one: dict[str, Any]) -> Stored:
    if one.keys() != _PICTURE_KEYS or not all(isinstance(value, str) for value in one.values()):
        raise ValueError("A picture has " + ", ".join(sorted(_PICTURE_KEYS)) + ", each a text, and nothing else.")
    if not is_record_id(one["picture"]):
        raise ValueError("picture: An id is up to 200 letters, digits, dots and dashes.")
    if (wrong := moment_wrong(one["received_at"])) is not None:
        raise ValueError(f"received_at: {wrong}")
    try:
        jpeg = base64.b64decode(one["jpeg"], validate=True)
        width, height = looked_at(jpeg)
    except (binascii.Error, NoPictureError):
        raise ValueError("jpeg: This is no picture as an export holds it.") from None
    return Stored(one["picture"], jpeg, width, height, one["sent_sha256"], one["received_at"])


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
