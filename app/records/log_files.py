"""The files of logs, as they were sent.

A file is too large to be an entry: it is kept once, under its log's id, before the entry that tells of the log is
taken, and never changes. It lies in pieces, each compressed by itself, so that neither taking it in nor reading it ever
needs the whole of it at once. Backups hold it since they are the whole database; exports carry it in lines of its own.
"""

import hashlib
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import IO, Literal

from sqlalchemy import Column, Connection, Engine, Integer, LargeBinary, Table, Text
from sqlmodel import SQLModel

from app.records.engine import driver_of, writing
from app.records.rows import row

LOG_FILE = Table(
    "log_file",
    SQLModel.metadata,
    Column("id", Text, primary_key=True),
    Column("sha256", Text, nullable=False),
    Column("size", Integer, nullable=False),
    Column("pieces", Integer, nullable=False),
    Column("received_at", Text, nullable=False),
    sqlite_strict=True,
)
LOG_PIECE = Table(
    "log_piece",
    SQLModel.metadata,
    Column("log", Text, primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("deflated", LargeBinary, nullable=False),
    sqlite_strict=True,
)

#: Bytes of the largest file taken: about six hours at 50 Hz with 12 channels.
MOST_BYTES = 100_000_000
#: Bytes of the file to a piece.
PIECE = 1 << 20
_MOST_PIECES = MOST_BYTES // PIECE + 1
#: Fast rather than small: figures shrink to under a half at once, and hardly any more for ten times the work.
_LEVEL = 1

Kept = Literal["taken", "had", "other"]


@dataclass(frozen=True, slots=True)
class LogFile:
    """What is known of one file: the SHA-256 and size of what was sent, and in how many pieces it lies."""

    id: str
    sha256: str
    size: int
    pieces: int
    received_at: str


@dataclass(frozen=True, slots=True)
class Piece:
    """A part of a file, deflated (zlib). `number` counts from 0."""

    log: str
    number: int
    deflated: bytes


class NoFileError(Exception):
    """A log's file is not here, or not all of it; the message says which."""


def put_file(engine: Engine, log: str, file: IO[bytes], received_at: str) -> Kept:
    """Keep a log's file, read from where it stands; it is on the disk once this returns.

    `other`: the id has another file already, and nothing was changed.
    """
    with writing(engine) as connection:
        return keep(connection, log, file, received_at)


def keep(connection: Connection, log: str, file: IO[bytes], received_at: str) -> Kept:
    """The same inside the caller's transaction."""
    begun, digest, size = file.tell(), hashlib.sha256(), 0
    while piece := file.read(PIECE):
        digest.update(piece)
        size += len(piece)
    file.seek(begun)
    told = LogFile(log, digest.hexdigest(), size, -(-size // PIECE), received_at)
    outcome = store(connection, told)
    for number in range(told.pieces if outcome == "taken" else 0):
        store_piece(connection, Piece(log, number, zlib.compress(file.read(PIECE), _LEVEL)))
    return outcome


def store(connection: Connection, one: LogFile) -> Kept:
    """Say that there is such a file, inside the caller's transaction; its pieces follow."""
    there = file_of(connection, one.id)
    if there is not None:
        return "had" if there.sha256 == one.sha256 else "other"
    driver_of(connection).execute(
        "INSERT INTO log_file (id, sha256, size, pieces, received_at) VALUES (?, ?, ?, ?, ?)",
        (one.id, one.sha256, one.size, one.pieces, one.received_at),
    )
    return "taken"


def store_piece(connection: Connection, one: Piece) -> Kept:
    """Keep one piece of a file that was told of. `other`: it has another already, or no such piece."""
    told = file_of(connection, one.log)
    if told is None or not 0 <= one.number < told.pieces:
        return "other"
    driver = driver_of(connection)
    about = (one.log, one.number)
    there = driver.execute("SELECT deflated FROM log_piece WHERE log = ? AND number = ?", about).fetchone()
    if there is not None:
        return "had" if bytes(there[0]) == one.deflated else "other"
    driver.execute("INSERT INTO log_piece (log, number, deflated) VALUES (?, ?, ?)", (*about, one.deflated))
    return "taken"


def file_of(connection: Connection, log: str) -> LogFile | None:
    """What is known of a log's file; None while it is not here."""
    return row(connection, LogFile, "SELECT id, sha256, size, pieces, received_at FROM log_file WHERE id = ?", log)


def parts_of(connection: Connection, log: str) -> Iterator[bytes]:
    """A log's file as it was sent, piece by piece. Raises NoFileError where it is not here as it was sent."""
    told = file_of(connection, log)
    if told is None:
        raise NoFileError("The file of this log is not in this garage.")
    digest = hashlib.sha256()
    for number in range(told.pieces):
        part = inflated(_piece(connection, log, number))
        digest.update(part)
        yield part
    if digest.hexdigest() != told.sha256:
        raise NoFileError("The file of this log is not as it was sent.")


def head_of(connection: Connection, log: str, most: int) -> bytes:
    """The first `most` bytes of a log's file. Raises NoFileError where they are not here."""
    told = file_of(connection, log)
    if told is None:
        raise NoFileError("The file of this log is not in this garage.")
    return inflated(_piece(connection, log, 0))[:most] if told.pieces else b""


def inflated(deflated: bytes) -> bytes:
    """A piece as it was sent. Raises NoFileError for what is none: it never grows beyond a piece."""
    inflate = zlib.decompressobj()
    try:
        part = inflate.decompress(deflated, PIECE)
    except zlib.error:
        raise NoFileError("A piece of this log's file can't be read.") from None
    if not inflate.eof or inflate.unused_data:
        raise NoFileError("A piece of this log's file can't be read.")
    return part


def files(connection: Connection) -> Iterator[LogFile]:
    """Every file, by id."""
    for one in driver_of(connection).execute("SELECT id, sha256, size, pieces, received_at FROM log_file ORDER BY id"):
        yield LogFile(*one)


def pieces_of(connection: Connection, log: str) -> Iterator[Piece]:
    """The pieces of one file that are here, in order, one at a time."""
    found = driver_of(connection).execute(
        "SELECT log, number, deflated FROM log_piece WHERE log = ? ORDER BY number", (log,)
    )
    for one in found:
        yield Piece(*one)


def is_size(told: LogFile) -> bool:
    """Whether a file's own figures agree with each other and with what is taken."""
    return 0 <= told.size <= MOST_BYTES and told.pieces == -(-told.size // PIECE) <= _MOST_PIECES


def _piece(connection: Connection, log: str, number: int) -> bytes:
    found = (
        driver_of(connection)
        .execute("SELECT deflated FROM log_piece WHERE log = ? AND number = ?", (log, number))
        .fetchone()
    )
    if found is None:
        raise NoFileError("The file of this log has not come in whole yet.")
    return bytes(found[0])
