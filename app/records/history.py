"""A record's history told from its entries: who set what and when, and what lost against a later entry."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from sqlalchemy import Connection

from app.records.entry import Kept, Value, in_order_of_entry
from app.records.field_words import field_word
from app.records.kinds import KINDS
from app.records.logbook import entries_of
from app.records.refusals import label_of
from app.records.rows import rows
from app.workings.units import TorqueUnit, unit_of

#: Lists a program writes, not a person: how long each is says enough.
_COUNTED = frozenset(("columns", "channels", "trouble"))


@dataclass(frozen=True, slots=True)
class Later:
    """The entry that set a field again: to what, when it counts as entered, and by which device, by id and by name.

    `first_in` says that it had arrived already, so that the earlier value never took effect at all.
    """

    value: Value
    at: str
    by: str
    by_name: str
    first_in: bool


@dataclass(frozen=True, slots=True)
class Set:
    """One field as one entry set it, in words; `later` is what it lost against, None while it stands."""

    name: str
    label: str
    value: Value
    later: Later | None


@dataclass(frozen=True, slots=True)
class Told:
    """One entry. `counted_at` differs from `entered_at` where a fast clock was pulled back."""

    id: str
    entered_at: str
    counted_at: str
    received_at: str
    by: str
    by_name: str
    first: bool
    sets: Sequence[Set]


def history_of(connection: Connection, kind: str, record: str) -> list[Told]:
    """Every entry of one record, the latest entered first; empty if there is no such record."""
    return histories(connection, [(kind, record)])[0]


def histories(connection: Connection, records: Sequence[tuple[str, str]]) -> list[list[Told]]:
    """The histories of several records, with one look for all the names they mention."""
    found = [(kind, in_order_of_entry(entries_of(connection, kind, record))) for kind, record in records]
    names = _names(connection, _mentioned(found))
    return [_told(kind, entries, names) for kind, entries in found]


def _told(kind: str, entries: Sequence[Kept], names: dict[str, str]) -> list[Told]:
    winners: dict[str, Kept] = {}
    told = []
    for place in range(len(entries) - 1, -1, -1):
        kept = entries[place]
        sets = [_set(kind, name, kept, winners.get(name), names) for name in kept.entry.fields]
        winners = dict.fromkeys(kept.entry.fields, kept) | winners
        entry, by = kept.entry, kept.entry.entered_by
        when = (entry.entered_at, kept.counted_at, kept.received_at)
        told.append(Told(entry.id, *when, by, _device(by, names), place == 0, sets))
    return told


def _set(kind: str, name: str, kept: Kept, winner: Kept | None, names: dict[str, str]) -> Set:
    value = _said(kind, name, kept.entry.fields[name], names)
    if winner is None:
        return Set(name, field_word(name), value, None)
    set_to = _said(kind, name, winner.entry.fields[name], names)
    first_in = winner.received_at < kept.received_at
    by = winner.entry.entered_by
    return Set(name, field_word(name), value, Later(set_to, winner.counted_at, by, _device(by, names), first_in))


def _device(by: str, names: dict[str, str]) -> str:
    # One that is unknown here was paired with the garage an import came from, or wrote before devices had names.
    return names.get(by) or (f"device {by[:4]}" if len(by) == 16 and " " not in by else by)


def _said(kind: str, name: str, value: Value, names: dict[str, str]) -> Value:
    if value is None:
        return None
    if _names_another(kind, name):
        return names.get(str(value), str(value))
    if name == "torque_unit" or (kind, name) == ("wrench", "unit"):
        return unit_of(str(value), TorqueUnit).label
    if name in _COUNTED and kind in {"trace", "logger"}:
        told = json.loads(str(value))
        return f"{len(told['columns'] if name == 'columns' else told)} in all"
    return label_of(value) if isinstance(value, str) and not _is_typed(kind, name) else value


@cache
def _is_typed(kind: str, name: str) -> bool:
    # Text a person typed has a least length and is shown as typed; what comes from a fixed list, by its label.
    return any(hasattr(limit, "min_length") for limit in KINDS[kind].fields.model_fields[name].metadata)


@cache
def _names_another(kind: str, name: str) -> bool:
    return bool(KINDS[kind].table.c[name].foreign_keys)


def _mentioned(found: Sequence[tuple[str, Sequence[Kept]]]) -> list[str]:
    return sorted(
        {
            value
            for kind, entries in found
            for kept in entries
            for name, value in kept.entry.fields.items()
            if isinstance(value, str) and _names_another(kind, name)
        }
        | {kept.entry.entered_by for _, entries in found for kept in entries}
    )


_NAMES = """
WITH asked(id) AS (SELECT value FROM json_each(?))
SELECT id, name FROM car JOIN asked USING (id) UNION ALL
SELECT id, name FROM component JOIN asked USING (id) UNION ALL
SELECT id, name FROM line JOIN asked USING (id) UNION ALL
SELECT j.id, l.name || ', ' || c.name FROM joint j JOIN asked USING (id) JOIN line l ON l.id = j.line
  JOIN component c ON c.id = CASE j."end" WHEN 'from' THEN l.from_component ELSE l.to_component END UNION ALL
SELECT id, label FROM own_suspect JOIN asked USING (id) UNION ALL
SELECT id, name FROM device JOIN asked USING (id) UNION ALL
SELECT id, name FROM fastener JOIN asked USING (id) UNION ALL
SELECT id, name FROM wrench JOIN asked USING (id) UNION ALL
SELECT id, name FROM logger JOIN asked USING (id) UNION ALL
SELECT id, name FROM trace JOIN asked USING (id) UNION ALL
SELECT id, name FROM part JOIN asked USING (id) UNION ALL
SELECT id, name FROM stage JOIN asked USING (id) UNION ALL
SELECT id, name FROM event JOIN asked USING (id) UNION ALL
SELECT id, what FROM must JOIN asked USING (id) UNION ALL
SELECT id, title FROM job JOIN asked USING (id) UNION ALL
SELECT id, what FROM recheck JOIN asked USING (id) UNION ALL
SELECT id, what FROM ticket JOIN asked USING (id) UNION ALL
SELECT id, trim(printf('%.10g', value) || ' ' || unit) FROM reading JOIN asked USING (id)
"""


def _names(connection: Connection, ids: Sequence[str]) -> dict[str, str]:
    return dict(rows(connection, lambda *row: row, _NAMES, json.dumps(ids)))
