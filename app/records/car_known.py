"""The records of one car that its pages carry, so that a phone can lay over them what it has entered since."""

from collections.abc import Iterable, Mapping, Sequence

from sqlalchemy import Connection

from app.records.cars import CarRow
from app.records.distance import odometer
from app.records.entry import Value
from app.records.jobs import JobRow
from app.records.known import Known
from app.records.rechecks import RecheckRow
from app.records.rows import rows
from app.records.stopgaps import StopgapLine

_UNFINISHED = "SELECT id FROM job WHERE car = ?1 AND (ends_left > 0 OR closed_at IS NULL) AND void_reason IS NULL"
_PARTS = {
    "line": "SELECT id, name, role, retired_on FROM line WHERE car = ?1 AND void_reason IS NULL ORDER BY number, id",
    "component": "SELECT id, name FROM component WHERE car = ?1 AND void_reason IS NULL",
    "joint": """SELECT j.id, j.line, j."end" FROM joint j JOIN line l ON l.id = j.line
                WHERE l.car = ?1 AND l.retired_on IS NULL AND l.void_reason IS NULL AND j.void_reason IS NULL
                ORDER BY l.number, l.id, j."end" """,
    "touch": f"""SELECT id, job, line, how, ends FROM touch WHERE job IN ({_UNFINISHED}) AND void_reason IS NULL""",
    "loose_end": f"""SELECT id, back_on_at FROM loose_end
                     WHERE job IN ({_UNFINISHED}) AND back_on_at IS NOT NULL AND void_reason IS NULL""",
    "check": f"""SELECT id, done_at, CASE good WHEN 1 THEN 'yes' ELSE 'no' END FROM joint_check
                 WHERE job IN ({_UNFINISHED}) AND joint IS NOT NULL AND void_reason IS NULL""",
}
_WORK = {
    "job": "SELECT id, car FROM job WHERE (ends_left > 0 OR closed_at IS NULL) AND void_reason IS NULL",
    "ticket": "SELECT id, car FROM ticket WHERE stands <> 'proved' AND void_reason IS NULL",
}
_NAMES = {
    "line": ("name", "role", "retired_on"),
    "component": ("name",),
    "joint": ("line", "end"),
    "touch": ("job", "line", "how", "ends"),
    "loose_end": ("back_on_at",),
    "check": ("done_at", "good"),
}

_STOPGAP = (
    "car",
    "line",
    "component",
    "what",
    "ticket",
    "job",
    "used",
    "fitted_at",
    "fitted_odometer",
    "limit_distance",
    "limit_days",
    "limit_heat_cycles",
    "part_name",
    "part_bore_mm",
    "part_length_mm",
    "part_material",
    "part_stands",
    "ordered_on",
    "expected_on",
    "ended_at",
    "ended_how",
    "void_reason",
    "name",
    "from_reads",
)


def filled(pairs: Iterable[tuple[str, Value]]) -> dict[str, Value]:
    """The fields that are set."""
    return {name: value for name, value in pairs if value is not None}


def car_itself(db: Connection, car: CarRow) -> Known:
    """The car, with its odometer's latest figure and when it was read."""
    last = odometer(db, car.id)
    found: Mapping[str, Value] = {"name": car.name, "about": car.about}
    if last:
        found = {**found, "reads": last.reads, "reads_at": last.at}
    return {f"car/{car.id}": filled(found.items())}


def cars_of_work(db: Connection) -> Known:
    """Which car each unfinished job and ticket is of."""
    found = [(kind, *one) for kind, sql in _WORK.items() for one in rows(db, lambda *row: row, sql)]
    return {f"{kind}/{record}": {"car": car} for kind, record, car in found}


def places_known(db: Connection, car: str) -> Known:
    """The car's lines and components, by name."""
    return _found(db, car, "line", "component")


def own_known(db: Connection, car: str) -> Known:
    """The suspects of the fitter's own on a car, by name."""
    found = rows(db, lambda *row: row, "SELECT id, label FROM own_suspect WHERE car = ? AND void_reason IS NULL", car)
    return {f"own_suspect/{suspect}": {"label": label} for suspect, label in found}


def work_known(db: Connection, car: str) -> Known:
    """The car's parts, and what its unfinished jobs did to them; a query for each kind."""
    found = _found(db, car, *_PARTS)
    for ref, fields in found.items():
        if ref.startswith("line/"):
            # "Breather hose, crankcase to catch can": where several are named, the hose is enough.
            fields["short"] = str(fields["name"]).partition(", ")[0]
    return found


def _found(db: Connection, car: str, *kinds: str) -> Known:
    return {
        f"{kind}/{record}": filled(zip(_NAMES[kind], values, strict=True))
        for kind in kinds
        for record, *values in rows(db, lambda *row: row, _PARTS[kind], car)
    }


def stopgap_known(gap: StopgapLine) -> dict[str, Value]:
    """A stopgap's fields, with what the record says has gone by."""
    limits = {"gone_distance": gap.gone_distance, "gone_days": gap.gone_days, "gone_cycles": gap.heat_cycles}
    spent = {"spent_distance": gap.gone_distance, "spent_cycles": gap.heat_cycles} if gap.ended_at else {}
    follows: Mapping[str, Value] = {
        **limits,
        **spent,
        "cycles_before": gap.heat_cycles,
        "share": gap.share,
        "danger": "yes" if gap.not_to_be_driven_on else None,
        "past": "yes" if gap.share >= 1 else None,
        "stops": "yes" if gap.share >= 1 or gap.not_to_be_driven_on else None,
    }
    return filled([*((name, getattr(gap, name)) for name in _STOPGAP), *follows.items()])


def recheck_known(one: RecheckRow, reads: float | None) -> dict[str, Value]:
    """A re-check's fields, with what the record says has gone by; `reads`: the car's odometer now."""
    from_reads = None if reads is None or one.distance is None else reads - one.distance
    found: Mapping[str, Value] = {
        "car": one.car,
        "what": one.what,
        "since_at": one.since_at,
        "after_heat_cycles": one.after_heat_cycles,
        "after_distance": one.after_distance,
        "after_days": one.after_days,
        "after_event": "yes" if one.after_event else None,
        "after_job": "yes" if one.after_job else None,
        "event_gone": one.event_gone,
        "job_gone": one.job_gone,
        "done_at": one.done_at,
        "from_reads": from_reads,
        "gone_distance": None if one.distance is None else max(0.0, one.distance),
        "gone_days": one.days,
        "gone_cycles": one.heat_cycles,
        "cycles_before": one.heat_cycles,
        "share": one.used,
    }
    return filled(found.items())


def job_known(job: JobRow, loose: Sequence[str]) -> dict[str, Value]:
    """A job's fields, with what follows from its touches; `loose`: the names of the lines with an end loose."""
    fields: dict[str, Value] = {
        "car": job.car,
        "title": job.title,
        "opened_at": job.opened_at,
        "odometer": job.odometer,
        "closed_at": job.closed_at,
        "carried_reason": job.carried_reason,
        "touched": job.touched,
        "ends_off": job.ends_off,
        "ends_on": job.ends_on,
        "ends_left": job.ends_left,
        "ends_checked": job.ends_off - job.ends_left,
        "still_off": job.ends_off - job.ends_on,
        "loose": in_words(list(dict.fromkeys(loose))),
        "open": "yes" if job.state in {"open", "unfinished"} else None,
    }
    return filled(fields.items())


def in_words(names: list[str]) -> str:
    """`Gauge hose, inlet and 3 more`: up to three names."""
    shown = names[:3] + ([f"{len(names) - 3} more"] if len(names) > 3 else [])
    return "".join(shown) if len(shown) < 2 else f"{', '.join(shown[:-1])} and {shown[-1]}"
