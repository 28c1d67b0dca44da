"""The plan of a car as the record has it: stages, items, and needs with what each comes to today."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection

from app.airpath.readings import READINGS, ReadingKind
from app.plan.items import Item, Need, NeedKind, Plan, Stage
from app.records.baselines import baselines
from app.records.experience import tools_said
from app.records.readings import last_of
from app.records.rows import rows
from app.triage.signs import NEED_LABEL
from app.triage.signs import Need as Tool
from app.workings.spread import Where

_STAGES = """
SELECT id, step, name, by_day, power_kw, note FROM stage WHERE car = ? AND void_reason IS NULL ORDER BY step, id
"""
_ITEMS = """
SELECT p.id, p.name, p.state, s.id, p.kind = 'work', p.ordered_on, p.expected_on
FROM part p LEFT JOIN stage s ON s.id = p.stage AND s.void_reason IS NULL
WHERE p.car = ? AND p.void_reason IS NULL ORDER BY coalesce(s.step, 1000), p.rowid
"""
_NEEDS = """
SELECT n.id, n.part, n.needs_part, n.needs_here, n.tool, n.reading, n.what, n.met_at, o.name
FROM need n JOIN part p ON p.id = n.part AND p.void_reason IS NULL AND p.car = ?
LEFT JOIN part o ON o.id = coalesce(n.needs_part, n.needs_here)
WHERE n.void_reason IS NULL ORDER BY n.rowid
"""


@dataclass(frozen=True, slots=True)
class _NeedRow:
    id: str
    part: str
    needs_part: str | None
    needs_here: str | None
    tool: str | None
    reading: str | None
    what: str | None
    met_at: str | None
    other: str | None


def plan_of(connection: Connection, car: str) -> Plan:
    """The whole plan of a car; the number of queries hangs on how many kinds of reading are asked for, and no more.

    A tool of which nothing was said counts as there. A reading is met while the last one of its kind lies within the
    car's own usual values.
    """
    stages = stages_of(connection, car)
    asked = rows(connection, _NeedRow, _NEEDS, car)
    healthy = _healthy(connection, car, {one.reading for one in asked if one.reading})
    lacking = {tool for tool, owned in tools_said(connection).items() if not owned}
    needs: dict[str, list[Need]] = {}
    for one in asked:
        needs.setdefault(one.part, []).append(_need(one, healthy, lacking))
    items = rows(connection, lambda *said: _item(said, needs), _ITEMS, car)
    return Plan(stages, {one.id: one for one in items})


def stages_of(connection: Connection, car: str) -> list[Stage]:
    """The stages of a car's plan, in their order."""
    return rows(connection, Stage, _STAGES, car)


def in_the_graph(plan: Plan) -> Plan:
    """What of a plan is drawn: what a stage holds, and what needs something or is needed; of the gone the needed."""
    asks = {item.id for item in plan.items.values() if item.needs and item.is_to_do}
    asked = {need.of for item in plan.items.values() if item.id in asks or item.stage for need in item.needs if need.of}
    kept = {
        item.id: item
        for item in plan.items.values()
        if item.id in asked or item.id in asks or (item.stage and item.state != "gone")
    }
    return Plan(plan.stages, kept)


def _item(said: tuple[Any, ...], needs: Mapping[str, Sequence[Need]]) -> Item:
    record, name, state, stage, is_work, ordered_on, expected_on = said
    return Item(record, name, state, stage, bool(is_work), ordered_on, expected_on, needs.get(record, ()))


def _need(one: _NeedRow, healthy: dict[str, bool], lacking: set[Tool]) -> Need:
    if one.needs_part or one.needs_here:
        kind = NeedKind.FITTED if one.needs_part else NeedKind.HERE
        return Need(one.id, kind, one.other or "", one.needs_part or one.needs_here)
    if one.tool:
        return Need(one.id, NeedKind.TOOL, NEED_LABEL[Tool(one.tool)], met=Tool(one.tool) not in lacking)
    if one.reading:
        return Need(one.id, NeedKind.READING, reading_label(one.reading), met=healthy.get(one.reading, False))
    return Need(one.id, NeedKind.WORDS, one.what or "", met=one.met_at is not None)


def reading_label(kind: str) -> str:
    """What a kind of reading is called inside a sentence; the key itself where there is none such."""
    return READINGS[ReadingKind(kind)].label.lower() if kind in set(ReadingKind) else kind


def _healthy(connection: Connection, car: str, kinds: set[str]) -> dict[str, bool]:
    usual = baselines(connection, car) if kinds else {}
    found = {}
    for kind in sorted(kinds & set(ReadingKind)):
        last = last_of(connection, car, ReadingKind(kind))
        placed = last.placed(usual.get(last.series)) if last else None
        found[kind] = placed is not None and placed.where is not Where.OUTSIDE
    return found
