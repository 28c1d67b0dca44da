"""By which words each kind of record is found, and in which group: SQL over the record's row `r` and its car's `c`."""

from collections.abc import Mapping
from dataclasses import dataclass

#: The groups of what is found, in the order shown: key, and what they are called.
GROUPS: Mapping[str, str] = {
    "things": "Cars, lines and components",
    "parts": "Parts and the plan",
    "torque": "Joints and torque",
    "tickets": "Tickets",
    "jobs": "Jobs",
    "findings": "Findings",
    "stopgaps": "Stopgaps",
    "checks": "Checks and re-checks",
    "readings": "Readings",
    "driving": "Drives, logs and events",
    "photos": "Photos",
    "own": "Suspects and grades of your own",
}
_NUMBER = {key: number for number, key in enumerate(GROUPS, 1)}

LINE = "(SELECT name FROM line WHERE id = r.{0})"
COMPONENT = "(SELECT name FROM component WHERE id = r.{0})"
_NAMED = (LINE.format("line"), COMPONENT.format("component"))


@dataclass(frozen=True, slots=True)
class Finds:
    """How one kind is found. `at` its moment or day, `only` which of them, `part_of` the table of its parent.

    `title` where it is to be called something else than everywhere.
    """

    group: int
    words: tuple[str, ...] = ()
    at: str = "NULL"
    only: str = "true"
    part_of: str = ""
    title: str = ""


def _text(names: str) -> tuple[str, ...]:
    return tuple(f"r.{name}" for name in names.split())


def _keys(names: str) -> tuple[str, ...]:
    return tuple(f"replace(r.{name}, '_', ' ')" for name in names.split())


def _figure(name: str, unit: str) -> str:
    return f"CASE WHEN r.{name} IS NOT NULL THEN printf('%.10g ', r.{name}) || {unit} END"


# A unit is kept as N_m is written without its sign: people type "Nm".
_TORQUE = _figure("torque_value", "replace(coalesce(r.torque_unit, ''), '.', '')")
_BORE = _figure("bore_mm", "'mm'")
_NOTED = "r.note IS NOT NULL"

FINDS: Mapping[str, Finds] = {
    "car": Finds(_NUMBER["things"], _text("about note")),
    "car_figures": Finds(
        _NUMBER["things"],
        ("'displacement volumetric efficiency reservoir'", _figure("displacement_l", "'l'"), *_text("note")),
    ),
    "component": Finds(_NUMBER["things"], (*_keys("kind"), *_text("note"))),
    "line": Finds(
        _NUMBER["things"],
        (
            *_keys("role material state"),
            _BORE,
            *_text("part"),
            COMPONENT.format("from_component"),
            COMPONENT.format("to_component"),
            *_text("note retired_reason"),
        ),
    ),
    "part": Finds(
        _NUMBER["parts"],
        (
            *_keys("kind state material condition"),
            _BORE,
            *_text("position thread strength_class source note"),
            *_keys("hold"),
            *_NAMED,
        ),
    ),
    "stage": Finds(_NUMBER["parts"], (*_text("note"), "'stage'")),
    "need": Finds(_NUMBER["parts"], ("'needed for ' || (SELECT name FROM part WHERE id = r.part)",), part_of="part"),
    "joint": Finds(
        _NUMBER["torque"],
        (_TORQUE, *_text("torque_source"), *_keys("hold"), *_text("note")),
        only="coalesce(r.torque_value, r.hold, r.note) IS NOT NULL",
        part_of="line",
    ),
    "fastener": Finds(_NUMBER["torque"], (_TORQUE, *_keys("of"), *_text("thread strength_class torque_source note"))),
    "wrench": Finds(_NUMBER["torque"], ("'torque wrench'", *_text("note"))),
    "ticket": Finds(
        _NUMBER["tickets"],
        (
            *_text("note found_wrong repaired_note proof_reason reopened_reason"),
            LINE.format("found_line"),
            COMPONENT.format("found_component"),
            *_keys("found_suspect"),
        ),
        at="r.noticed_at",
    ),
    "sign": Finds(_NUMBER["tickets"], _text("outcome"), "r.noted_at", "r.sign = 'codes'", part_of="ticket"),
    "direct_check": Finds(_NUMBER["tickets"], (*_keys("method result"), *_text("note")), "r.done_at", part_of="ticket"),
    "job": Finds(_NUMBER["jobs"], _text("note carried_reason"), "r.opened_at"),
    "touch": Finds(_NUMBER["jobs"], (*_text("note"), *_keys("how")), "r.at", _NOTED, part_of="job"),
    "loose_end": Finds(_NUMBER["jobs"], _text("note"), "coalesce(r.back_on_at, r.changed_at)", _NOTED, part_of="job"),
    "part_change": Finds(_NUMBER["jobs"], (*_text("off_part on_part note position"), *_NAMED), "r.at", part_of="job"),
    "finding": Finds(_NUMBER["findings"], (*_text("settled_how"), *_NAMED), "r.seen_at"),
    "stopgap": Finds(_NUMBER["stopgaps"], (*_text("what part_name part_stands ended_how"), *_NAMED), "r.fitted_at"),
    "recheck": Finds(_NUMBER["checks"], (*_text("note"), *_NAMED), "r.since_at"),
    "check": Finds(
        _NUMBER["checks"],
        (_TORQUE, *_text("what note"), "CASE r.good WHEN 0 THEN 'not in order' END"),
        "r.done_at",
        "r.torque_value IS NOT NULL OR r.note IS NOT NULL OR r.what IS NOT NULL OR r.good = 0",
        part_of="job",
    ),
    "must": Finds(_NUMBER["checks"], ("'before an event'",)),
    "hold_test": Finds(
        _NUMBER["checks"],
        ("'hold test'", *_keys("medium"), *_text("note"), "CASE r.passed WHEN 0 THEN 'leaks' END"),
        "r.ended_at",
    ),
    "looked_at": Finds(_NUMBER["checks"], _text("note"), "r.looked_at", _NOTED, part_of="event"),
    "reading": Finds(
        _NUMBER["readings"],
        (*_text("free_name note"), *_keys("what condition")),
        "r.taken_at",
        "coalesce(r.note, r.free_name) IS NOT NULL",
    ),
    "overboost": Finds(_NUMBER["readings"], _text("note"), "r.looked_at", _NOTED, part_of="trace"),
    "boost_target": Finds(_NUMBER["readings"], (*_text("source note"), "'boost target'")),
    "event": Finds(_NUMBER["driving"], (*_keys("kind"), *_text("note signed_by signed_despite")), "r.on_day"),
    "drive": Finds(_NUMBER["driving"], _text("note"), "r.at", _NOTED, title="'Drive'"),
    "trace": Finds(
        _NUMBER["driving"], ("'log'", *_text("note"), "(SELECT name FROM logger WHERE id = r.logger)"), "r.begun_at"
    ),
    "logger": Finds(_NUMBER["driving"], ("'logger'", *_text("note"))),
    "photo": Finds(_NUMBER["photos"], (*_NAMED, "(SELECT name FROM part WHERE id = r.part)"), "r.taken_at", _NOTED),
    "own_suspect": Finds(_NUMBER["own"], (*_keys("behaves_like"), *_text("note"))),
    "overrule": Finds(_NUMBER["own"], _text("note")),
}
