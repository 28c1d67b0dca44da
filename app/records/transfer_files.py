"""The files that lie beside the record, as lines of an export: pictures of photos, and the files of logs."""

import base64
import binascii
from collections.abc import Iterable, Iterator
from typing import Any

from sqlalchemy import Connection

from app.photos.reencode import NoPictureError, looked_at
from app.records import log_files, photos
from app.records.fields import is_record_id, moment_wrong
from app.records.log_files import LogFile, NoFileError, Piece
from app.records.photos import Stored

_PICTURE = ("picture", "jpeg", "sent_sha256", "received_at")
_FILE = ("log_file", "sha256", "size", "pieces", "received_at")
_PIECE = ("log_piece", "number", "deflated")


def lines_of_files(
    db: Connection, pictures: Iterable[Stored], files: Iterable[LogFile]
) -> Iterator[dict[str, str | int]]:
    """The lines of these pictures, then of these files, each followed by its pieces."""
    for picture in pictures:
        jpeg = base64.b64encode(picture.jpeg).decode()
        values = (picture.id, jpeg, picture.sent_sha256, picture.received_at)
        yield dict(zip(_PICTURE, values, strict=True))
    for file in files:
        yield dict(zip(_FILE, (file.id, file.sha256, file.size, file.pieces, file.received_at), strict=True))
        for piece in log_files.pieces_of(db, file.id):
            deflated = base64.b64encode(piece.deflated).decode()
            yield dict(zip(_PIECE, (piece.log, piece.number, deflated), strict=True))


def is_file_line(one: dict[str, Any]) -> bool:
    """Whether a line is of a file and not an entry."""
    return not one.keys().isdisjoint(("picture", "log_file", "log_piece"))


def take_file_line(connection: Connection, one: dict[str, Any]) -> str:
    """Take such a line in: `taken` or `had`. Raises ValueError, in a sentence, for one that can't be."""
    if "picture" in one:
        outcome: str = photos.store(connection, _picture(one))
        wrong = f"picture {one['picture']}: Another picture already has this id."
    elif "log_file" in one:
        outcome = log_files.store(connection, _file(one))
        wrong = f"log_file {one['log_file']}: Another file already has this id."
    else:
        outcome = log_files.store_piece(connection, _piece(one))
        wrong = f"log_piece {one['log_piece']}: It belongs to no file that is here, or differs from the one that is."
    if outcome == "other":
        raise ValueError(wrong)
    return outcome


def _picture(one: dict[str, Any]) -> Stored:
    if one.keys() != set(_PICTURE) or not all(isinstance(value, str) for value in one.values()):
        raise ValueError("A picture has " + ", ".join(sorted(_PICTURE)) + ", each a text, and nothing else.")
    _look_at_id("picture", one["picture"])
    _look_at_moment(one)
    try:
        jpeg = base64.b64decode(one["jpeg"], validate=True)
        width, height = looked_at(jpeg)
    except (binascii.Error, NoPictureError):
        raise ValueError("jpeg: This is no picture as an export holds it.") from None
    return Stored(one["picture"], jpeg, width, height, one["sent_sha256"], one["received_at"])


def _file(one: dict[str, Any]) -> LogFile:
    texts, counts = ("log_file", "sha256", "received_at"), ("size", "pieces")
    _look_at_keys(one, _FILE, texts, counts)
    _look_at_id("log_file", one["log_file"])
    _look_at_moment(one)
    file = LogFile(one["log_file"], one["sha256"], one["size"], one["pieces"], one["received_at"])
    if not log_files.is_size(file):
        raise ValueError("size: This is no file of a log as an export holds it.")
    return file


def _piece(one: dict[str, Any]) -> Piece:
    _look_at_keys(one, _PIECE, ("log_piece", "deflated"), ("number",))
    try:
        deflated = base64.b64decode(one["deflated"], validate=True)
        log_files.inflated(deflated)
    except (binascii.Error, NoFileError):
        raise ValueError("deflated: This is no piece of a log's file as an export holds it.") from None
    return Piece(one["log_piece"], one["number"], deflated)


def _look_at_keys(one: dict[str, Any], keys: tuple[str, ...], texts: tuple[str, ...], counts: tuple[str, ...]) -> None:
    whole = one.keys() == set(keys) and all(isinstance(one[name], str) for name in texts)
    if not whole or not all(type(one[name]) is int and abs(one[name]) < 1 << 40 for name in counts):
        raise ValueError("Such a line has " + ", ".join(sorted(keys)) + ", and nothing else.")


def _look_at_id(name: str, text: str) -> None:
    if not is_record_id(text):
        raise ValueError(f"{name}: An id is up to 200 letters, digits, dots and dashes.")


def _look_at_moment(one: dict[str, Any]) -> None:
    if (wrong := moment_wrong(one["received_at"])) is not None:
        raise ValueError(f"received_at: {wrong}")
