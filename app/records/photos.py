"""Photos and their pictures.

A picture is a file, too large to be an entry: it is kept once, under its photo's id, before the entry that tells of the
photo is taken, and never changes. Backups hold it since they are the whole database; exports carry it in a line of its
own.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from sqlalchemy import Column, Connection, Engine, Integer, LargeBinary, Table, Text, insert, select
from sqlmodel import SQLModel

from app.photos.reencode import Picture
from app.records.engine import driver_of, writing
from app.records.rows import row, rows

PICTURE = Table(
    "picture",
    SQLModel.metadata,
    Column("id", Text, primary_key=True),
    Column("jpeg", LargeBinary, nullable=False),
    Column("width", Integer, nullable=False),
    Column("height", Integer, nullable=False),
    Column("sent_sha256", Text, nullable=False),
    Column("received_at", Text, nullable=False),
    sqlite_strict=True,
)

#: What a photo can be of.
ABOUT = ("job", "ticket", "line", "component", "part")


@dataclass(frozen=True, slots=True)
class PhotoRow:
    """One photo in a list; `width` and `height` are None while the picture is not there."""

    id: str
    taken_at: str
    note: str | None
    width: int | None
    height: int | None


@dataclass(frozen=True, slots=True)
class PhotoOf:
    """One photo, and what it is of: `about` is one of ABOUT, `of` that record's id, `name` what it is called.

    `before` is the photo of the same before the work; `rings` and `arrows` are as PhotoFields keeps them.
    """

    id: str
    car: str
    car_name: str
    about: str
    of: str
    name: str
    taken_at: str
    note: str | None
    before: str | None
    rings: str | None
    arrows: str | None
    void_reason: str | None
    width: int | None
    height: int | None


@dataclass(frozen=True, slots=True)
class Stored:
    """A picture as its table holds it."""

    id: str
    jpeg: bytes
    width: int
    height: int
    sent_sha256: str
    received_at: str


def put_picture(engine: Engine, photo: str, picture: Picture, received_at: str) -> Literal["taken", "had", "other"]:
    """Keep a photo's picture; it is on the disk once this returns. `other`: the id has another picture already."""
    with writing(engine) as connection:
        return store(
            connection,
            Stored(photo, picture.jpeg, picture.width, picture.height, picture.sent_sha256, received_at),
        )


def store(connection: Connection, one: Stored) -> Literal["taken", "had", "other"]:
    """The same inside the caller's transaction, for a picture that was kept before."""
    sent = connection.execute(select(PICTURE.c.sent_sha256).where(PICTURE.c.id == one.id)).scalar()
    if sent is not None:
        return "had" if sent == one.sent_sha256 else "other"
    connection.execute(
        insert(PICTURE).values(
            id=one.id,
            jpeg=one.jpeg,
            width=one.width,
            height=one.height,
            sent_sha256=one.sent_sha256,
            received_at=one.received_at,
        )
    )
    return "taken"


def jpeg_of(connection: Connection, photo: str) -> bytes | None:
    """A photo's picture; None while it is not here."""
    found = driver_of(connection).execute("SELECT jpeg FROM picture WHERE id = ?", (photo,)).fetchone()
    return None if found is None else bytes(found[0])


def pictures(connection: Connection) -> Iterator[Stored]:
    """Every picture, by id, one at a time."""
    found = driver_of(connection).execute(
        "SELECT id, jpeg, width, height, sent_sha256, received_at FROM picture ORDER BY id"
    )
    for one in found:
        yield Stored(*one)


def photos_of(connection: Connection, about: str, of: str) -> list[PhotoRow]:
    """The photos of one job, ticket, line, component or part (`about`, one of ABOUT), in the order they were taken."""
    if about not in ABOUT:
        raise ValueError(f"there are no photos of a {about}")
    return rows(connection, PhotoRow, _LISTS[about], of)


def photo(connection: Connection, photo_id: str) -> PhotoOf | None:
    """One photo; None if there is no such photo."""
    return row(connection, PhotoOf, _ONE, photo_id)


def later_of(connection: Connection, photo_id: str) -> list[PhotoRow]:
    """The photos that name this one as the one before."""
    return rows(connection, PhotoRow, _LATER, photo_id)


_LATER = """
SELECT p.id, p.taken_at, p.note, x.width, x.height FROM photo p LEFT JOIN picture x ON x.id = p.id
WHERE p.before = ? AND p.void_reason IS NULL ORDER BY p.taken_at, p.id
"""
_LISTS = {
    about: f"""
SELECT p.id, p.taken_at, p.note, x.width, x.height FROM photo p LEFT JOIN picture x ON x.id = p.id
WHERE p.{about} = ? AND p.void_reason IS NULL ORDER BY p.taken_at, p.id
"""  # a word of ABOUT
    for about in ABOUT
}
_ONE = """
SELECT p.id, p.car, car.name,
       CASE WHEN p.job IS NOT NULL THEN 'job' WHEN p.ticket IS NOT NULL THEN 'ticket'
            WHEN p.line IS NOT NULL THEN 'line' WHEN p.component IS NOT NULL THEN 'component' ELSE 'part' END,
       coalesce(p.job, p.ticket, p.line, p.component, p.part), coalesce(j.title, t.what, l.name, c.name, a.name),
       p.taken_at, p.note, p.before, p.rings, p.arrows, p.void_reason, x.width, x.height
FROM photo p JOIN car ON car.id = p.car LEFT JOIN picture x ON x.id = p.id
LEFT JOIN job j ON j.id = p.job LEFT JOIN ticket t ON t.id = p.ticket
LEFT JOIN line l ON l.id = p.line LEFT JOIN component c ON c.id = p.component LEFT JOIN part a ON a.id = p.part
WHERE p.id = ?
"""
