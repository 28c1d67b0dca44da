"""Any record by its kind and id: what it is called, whose it is, what it belongs to, and whether it was struck out."""

from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.kinds import KINDS
from app.records.rows import row

_NAMED = "coalesce((SELECT name FROM line WHERE id = r.line), (SELECT name FROM component WHERE id = r.component))"
_OWN = "(SELECT label FROM own_suspect WHERE id = r.own_suspect)"
_JOINT = """(SELECT l.name || ', at ' || p.name FROM joint j JOIN line l ON l.id = j.line
  JOIN component p ON p.id = CASE j."end" WHEN 'from' THEN l.from_component ELSE l.to_component END
  WHERE j.id = {joint})"""
_FASTENER = "(SELECT name FROM fastener WHERE id = r.fastener)"
_OF_JOB = "(SELECT car FROM job WHERE id = r.job)"
_OF_TICKET = "(SELECT car FROM ticket WHERE id = r.ticket)"
_NEED = """coalesce((SELECT name FROM part WHERE id = coalesce(r.needs_part, r.needs_here)), r.what,
  replace(coalesce(r.tool, r.reading), '_', ' '))"""

#: Kind -> title, car and the record it belongs to, in SQL over the record's row `r` and its car's `c`.
SAID: dict[str, tuple[str, str, str]] = {
    "car": ("r.name", "r.id", "NULL"),
    "car_figures": ("'Figures of the car'", "r.car", "NULL"),
    "component": ("r.name", "r.car", "NULL"),
    "line": ("r.name", "r.car", "NULL"),
    "joint": (_JOINT.format(joint="r.id"), "(SELECT car FROM line WHERE id = r.line)", "r.line"),
    "job": ("r.title", "r.car", "NULL"),
    "touch": (_NAMED, _OF_JOB, "r.job"),
    "loose_end": (_JOINT.format(joint="r.joint"), _OF_JOB, "r.job"),
    "recheck": ("r.what", "r.car", "NULL"),
    "check": (f"coalesce(r.what, {_JOINT.format(joint='r.joint')}, {_FASTENER}, {_NAMED})", "r.car", "r.job"),
    "part_change": ("coalesce(r.on_part, r.off_part)", _OF_JOB, "r.job"),
    "finding": ("r.what", "r.car", "r.job"),
    "drive": ("printf('%.10g ' || c.distance_unit, r.odometer)", "r.car", "NULL"),
    "reading": ("printf('%.10g ', r.value) || r.unit", "r.car", "NULL"),
    "baseline": ("replace(r.what || ', ' || r.condition, '_', ' ')", "r.car", "NULL"),
    "overboost": (
        "'Boost over target, looked at'",
        "(SELECT car FROM trace WHERE id = r.trace)",
        "r.trace",
    ),
    "boost_target": ("coalesce('Boost target, ' || r.source, 'Boost target')", "r.car", "NULL"),
    "ticket": ("r.what", "r.car", "NULL"),
    "sign": ("replace(r.sign, '_', ' ')", _OF_TICKET, "r.ticket"),
    "direct_check": (f"coalesce({_NAMED}, {_OWN}, replace(r.suspect, '_', ' '))", _OF_TICKET, "r.ticket"),
    "stopgap": ("r.used", "r.car", "NULL"),
    "event": ("r.name", "r.car", "NULL"),
    "tool": ("replace(r.tool, '_', ' ')", "NULL", "NULL"),
    "own_suspect": ("r.label", "r.car", "NULL"),
    "overrule": ("replace(r.kind || ', ' || r.sign || ': ' || r.outcome, '_', ' ')", "r.car", "NULL"),
    "photo": ("coalesce(r.note, 'A photo')", "r.car", "coalesce(r.job, r.ticket, r.line, r.component, r.part)"),
    "must": ("r.what", "r.car", "NULL"),
    "looked_at": ("(SELECT what FROM must WHERE id = r.must)", "(SELECT car FROM event WHERE id = r.event)", "r.event"),
    "stage": ("r.name", "r.car", "NULL"),
    "part": ("r.name", "r.car", "NULL"),
    "need": (_NEED, "(SELECT car FROM part WHERE id = r.part)", "r.part"),
    "fastener": ("r.name", "r.car", "NULL"),
    "wrench": ("r.name", "NULL", "NULL"),
    "hold_test": ("coalesce((SELECT name FROM line WHERE id = r.line), r.branch)", "r.car", "NULL"),
    "logger": ("r.name", "NULL", "NULL"),
    "trace": ("r.name", "r.car", "NULL"),
}


@dataclass(frozen=True, slots=True)
class RecordHead:
    """One record of any kind. `parent` is the id of the line, job or ticket it belongs to; None where it has none.

    `car` and its name are None for what is the garage's own.
    """

    kind: str
    label: str
    id: str
    title: str
    car: str | None
    car_name: str | None
    parent: str | None
    void_reason: str | None


def head_of(connection: Connection, kind: str, record: str) -> RecordHead | None:
    """One record's name and place, struck out or not; None if there is no such kind or no such record."""
    if kind not in SAID:
        return None
    title, car, parent = SAID[kind]
    sql = f"""
SELECT ?, ?, r.id, {title}, c.id, c.name, {parent}, r.void_reason
FROM {KINDS[kind].table.name} r LEFT JOIN car c ON c.id = {car} WHERE r.id = ?"""
    return row(connection, RecordHead, sql, kind, KINDS[kind].label, record)
