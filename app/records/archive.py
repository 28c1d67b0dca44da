"""One car's record, picked out of the garage's: what goes along when a car is sold, with its pictures.

It is an export like any other (records.transfer), of the entries that belong to one car. Its header names the car and
the first entry of it, and says what was left out.

What is left out changes an entry, and two entries must never share an id. So an entry that loses something gets an id
that follows from its own and from what sort of thing it lost (`less_ids`): sent twice it is the same again, and the
garage it came from can tell that it has the whole of it.
"""

import json
import uuid
from collections.abc import Iterator, Mapping
from functools import cache

from sqlalchemy import Connection

from app.records import log_files, photos
from app.records.entry import Value
from app.records.kinds import KINDS
from app.records.not_done import NotDoneError
from app.records.record_heads import SAID
from app.records.rows import row, rows

#: What a seller may leave out: kind of record -> its fields.
PRICES: Mapping[str, frozenset[str]] = {"part": frozenset({"price", "currency", "source"})}

_ENTRIES = """
SELECT id, kind, record, version, fields, happened_at, entered_at, entered_by, received_at FROM entry ORDER BY seq
"""
_FIRST = "SELECT id FROM entry WHERE kind = 'car' AND record = ? ORDER BY seq LIMIT 1"
# A wrench is the garage's own; one that a check of this car was made with goes along, or the check could not.
_WRENCHES = "SELECT DISTINCT wrench FROM joint_check WHERE car = ? AND wrench IS NOT NULL"


# So does the logger its logs were read as.
_LOGGERS = "SELECT DISTINCT logger FROM trace WHERE car = ? AND logger IS NOT NULL"


def header_of(db: Connection, car: str, *, without_prices: bool) -> dict[str, str]:
    """What the archive's first line says beside what every export's does. Raises NotDoneError for no such car."""
    first = row(db, str, _FIRST, car)
    if first is None:
        raise NotDoneError(f"There is no car {car} in this garage.")
    return {"car": car, "first": first} | ({"without": "prices"} if without_prices else {})


def entries_of_car(db: Connection, car: str, *, without_prices: bool) -> Iterator[dict[str, object]]:
    """Every entry of the car, in the order they arrived."""
    own = _records(db, car)
    for id_, kind, record, version, text, happened_at, entered_at, entered_by, received_at in rows(
        db, lambda *one: one, _ENTRIES
    ):
        if record not in own.get(kind, ()):
            continue
        fields: dict[str, Value] = json.loads(text)
        dear = PRICES.get(kind, frozenset()) if without_prices else frozenset()
        cheap = {name: value for name, value in fields.items() if name not in dear}
        kept = _without_strangers(kind, cheap, own, car)
        if kept:
            lost = _lost(prices=cheap != fields, strangers=kept != cheap)
            told = {
                "id": _less_id(id_, lost) if lost else id_,
                "kind": kind,
                "record": record,
                "version": version,
                "fields": kept,
            }
            told |= {"happened_at": happened_at, "entered_at": entered_at}
            yield told | {"entered_by": entered_by, "received_at": received_at}


def pictures_of_car(db: Connection, car: str) -> Iterator[photos.Stored]:
    """Every picture of the car's photos."""
    own = _records(db, car)["photo"]
    return (one for one in photos.pictures(db) if one.id in own)


def files_of_car(db: Connection, car: str) -> Iterator[log_files.LogFile]:
    """Every file of the car's logs."""
    own = _records(db, car)["trace"]
    return (one for one in log_files.files(db) if one.id in own)


def less_ids(entry: str) -> list[str]:
    """The ids an entry may have after something was left out of it."""
    return [_less_id(entry, lost) for lost in ("prices", "strangers", "prices and strangers")]


def _less_id(entry: str, lost: str) -> str:
    return str(uuid.uuid5(uuid.UUID(entry), f"without {lost}"))


def _lost(*, prices: bool, strangers: bool) -> str:
    return " and ".join(name for name, is_lost in (("prices", prices), ("strangers", strangers)) if is_lost)


def _records(db: Connection, car: str) -> dict[str, frozenset[str]]:
    of = {kind: rows(db, str, sql, car) for kind, sql in _of_car().items()}
    of |= {"wrench": rows(db, str, _WRENCHES, car), "logger": rows(db, str, _LOGGERS, car)}
    return {kind: frozenset(ids) for kind, ids in of.items()}


@cache
def _of_car() -> dict[str, str]:
    return {
        kind: f"SELECT r.id FROM {KINDS[kind].table.name} r WHERE {car} = ?"
        for kind, (_, car, _) in SAID.items()
        if car != "NULL"
    }


@cache
def _named(kind: str) -> dict[str, str]:
    """Which fields name another record, and of which kind."""
    tables = {one.table.name: one.name for one in KINDS.values()}
    columns = ((name, KINDS[kind].table.c[name]) for name in KINDS[kind].field_names)
    return {name: tables[key.column.table.name] for name, column in columns for key in column.foreign_keys}


def _without_strangers(
    kind: str, fields: Mapping[str, Value], own: Mapping[str, frozenset[str]], car: str
) -> dict[str, Value]:
    # What once belonged to another car, or was made with something of another's, says nothing of that one here.
    kept = dict(fields)
    for name, of in _named(kind).items():
        if kept.get(name) is not None and kept[name] not in own.get(of, ()):
            if of == "car":
                kept[name] = car
            else:
                del kept[name]
    return kept
