"""The one box over all records: what was typed, and the newest of each group that hold every word of it."""

import re
import unicodedata
from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.find_words import GROUPS
from app.records.findable import places_of
from app.records.kinds import KINDS
from app.records.record_heads import RecordHead
from app.records.rows import rows

#: How many a group shows beside the others, and how many alone.
FEW, MANY = 5, 40
#: Nobody types more; what is beyond is not looked for.
_MOST_WORDS, _LONGEST = 8, 40
#: Around what matched. No field can hold these.
_FROM, _TO = "\x02", "\x03"
_WORD = re.compile(r"[^\W_]+")

#: A stretch of text, and whether it is what was looked for.
Piece = tuple[str, bool]


@dataclass(frozen=True, slots=True)
class Hit:
    """One record that was found. `title` and `words` in pieces, `place` where it stands in its group."""

    head: RecordHead
    at: str | None
    title: tuple[Piece, ...]
    words: tuple[Piece, ...]
    place: int


@dataclass(frozen=True, slots=True)
class HitGroup:
    """What was found of one group, newest first. `before` is where the older ones go on, None if these are all."""

    key: str
    name: str
    hits: tuple[Hit, ...]
    before: int | None


def words_of(typed: str) -> tuple[str, ...]:
    """The words of what was typed, as far as they are looked for: letters and digits, at most eight."""
    text = unicodedata.normalize("NFC", typed)
    return tuple(word[:_LONGEST] for word in _WORD.findall(text)[:_MOST_WORDS])


def cars_to_search(connection: Connection) -> list[tuple[str, str]]:
    """The cars there are, as pairs of id and name."""
    return rows(connection, lambda *car: car, "SELECT id, name FROM car WHERE void_reason IS NULL ORDER BY name, id")


def find(
    connection: Connection, typed: str, car: str | None = None, *, only: str | None = None, before: int | None = None
) -> list[HitGroup]:
    """The records that hold every word of `typed`, or words that begin so, by group; newest first, and the last few.

    `car` leaves out what is on other cars; `only` shows one group (a key of GROUPS), from the place `before` on.
    As many queries as there are groups, each of which looks at no more than it shows.
    """
    if not (words := words_of(typed)):
        return []
    # A single letter is taken as it stands: half of all words begin with it.
    wanted = " AND ".join(f'"{word}"{"*" if len(word) > 1 else ""}' for word in words)
    match = f"{{title words}} : ({wanted})"
    if car is not None:
        match += ' AND car : "' + car.replace('"', "") + '"'
    found = []
    for number, key in enumerate(GROUPS, 1):
        if only in (None, key):
            first, last = places_of(number)
            last = last if before is None else min(last, before - 1)
            found.append(_group(connection, key, (match, first, last, car), FEW if only is None else MANY))
    return [group for group in found if group.hits]


_FOUND = f"""
SELECT f.kind, f.record, f.title, f.car, c.name, f.parent, f.at, f.place,
       highlight(findable_words, 0, '{_FROM}', '{_TO}'), snippet(findable_words, 1, '{_FROM}', '{_TO}', '…', 14)
FROM findable_words w CROSS JOIN findable f ON f.place = w.rowid LEFT JOIN car c ON c.id = f.car
WHERE w.findable_words MATCH ?1 AND w.rowid BETWEEN ?2 AND ?3 AND c.void_reason IS NULL
  AND (?4 IS NULL OR f.car = ?4)
ORDER BY w.rowid DESC LIMIT ?5
"""


def _group(connection: Connection, key: str, wanted: tuple[str, int, int, str | None], most: int) -> HitGroup:
    hits = rows(connection, _hit, _FOUND, *wanted, most + 1)
    shown = tuple(hits[:most])
    return HitGroup(key, GROUPS[key], shown, shown[-1].place if len(hits) > most else None)


def _hit(*row: object) -> Hit:
    kind, record, title, car, car_name, parent, at, place, marked, snippet = row
    head = RecordHead(
        str(kind),
        KINDS[str(kind)].label,
        str(record),
        str(title),
        _or_none(car),
        _or_none(car_name),
        _or_none(parent),
        None,
    )
    return Hit(head, _or_none(at), _pieces(str(marked)), _pieces(str(snippet)), int(str(place)))


def _or_none(value: object) -> str | None:
    return None if value is None else str(value)


def _pieces(marked: str) -> tuple[Piece, ...]:
    first, *others = marked.split(_FROM)
    pieces: list[Piece] = [(first, False)]
    for other in others:
        hit, _, rest = other.partition(_TO)
        pieces += [(hit, True), (rest, False)]
    return tuple(piece for piece in pieces if piece[0])
