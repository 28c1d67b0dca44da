"""Trims at idle: with a meter, air it missed must be fuelled; with a pressure sensor the air is counted anyway."""

from app.airpath.words import Layout, Role, Suspect
from app.triage.facts import Facts
from app.triage.knowledge.grades import (
    ALMOST_ALWAYS,
    OFTEN,
    RARELY,
    SOMETIMES,
    UNRELATED,
    Rows,
    row,
)

_MISSED = "air the meter never saw has to be fuelled"


def _metered(layout: Layout) -> Rows:
    direct = layout is Layout.DIRECT_SIGNAL
    return {
        Role.MANIFOLD_SMALL: row(
            "air the meter never saw has to be fuelled; a pinhole drowns in what trims wander by",
            normal=SOMETIMES,
            adding=ALMOST_ALWAYS,
        ),
        Suspect.MANIFOLD_GASKET: row(_MISSED, normal=RARELY, adding=ALMOST_ALWAYS),
        Role.BRAKE_SERVO: row(_MISSED, normal=SOMETIMES, adding=OFTEN),
        Role.BREATHER: row(_MISSED, normal=SOMETIMES, adding=OFTEN, removing=RARELY),
        Role.INTAKE: row("a split after the meter; sucked flat it shows nothing", normal=OFTEN, adding=OFTEN),
        Role.CHARGE: row("the pipe is near atmosphere at idle, so little comes in", normal=OFTEN, adding=SOMETIMES),
        Role.RECIRCULATION: row("it ends after the meter", normal=OFTEN, adding=SOMETIMES),
        Role.DIVERTER_SIGNAL: row(
            _MISSED, normal=SOMETIMES if direct else OFTEN, adding=OFTEN if direct else SOMETIMES
        ),
        Role.VACUUM_STORE: row("its check valve keeps a leak to itself", normal=ALMOST_ALWAYS, adding=SOMETIMES),
        Suspect.DIVERTER_VALVE: row(
            "air going round inside the metered loop changes no trim; a torn diaphragm may let in open air",
            normal=ALMOST_ALWAYS,
            adding=SOMETIMES,
        ),
        Suspect.CHANGEOVER_SOLENOID: row("a body that vents lets in air", normal=ALMOST_ALWAYS, adding=SOMETIMES),
        Role.GAUGE: row("a thin line lets in a little", normal=ALMOST_ALWAYS, adding=SOMETIMES),
        Suspect.AIRFLOW_SENSOR: row(
            "a dirty meter under-reads, a damaged one may over-read", normal=SOMETIMES, adding=OFTEN, removing=SOMETIMES
        ),
    }


def _by_pressure() -> Rows:
    counted = row("the pressure sensor counts the extra air", normal=ALMOST_ALWAYS, adding=SOMETIMES)
    return {
        Role.MANIFOLD_SMALL: row(
            "the pressure sensor counts the extra air, but its own hose, holed, reads high",
            normal=ALMOST_ALWAYS,
            adding=SOMETIMES,
            removing=SOMETIMES,
        ),
        Suspect.MANIFOLD_GASKET: counted,
        Role.BRAKE_SERVO: counted,
        Role.BREATHER: counted,
        Suspect.PRESSURE_SENSOR: row("fuel follows this sensor alone", normal=SOMETIMES, adding=OFTEN, removing=OFTEN),
        Suspect.AIRFLOW_SENSOR: row(normal=OFTEN, adding=SOMETIMES, removing=SOMETIMES),
    }


def rows(facts: Facts) -> Rows:
    """The rows of `fuel_trim_idle`; a diesel has none to read."""
    table: Rows = {UNRELATED: row(normal=ALMOST_ALWAYS, adding=RARELY)}
    if facts.fuel == "diesel":
        return table
    table |= _metered(facts.layout) if facts.metered else _by_pressure()
    return table | {
        Role.PURGE: row(
            "air through a line that is off, or vapour through a valve stuck open",
            normal=SOMETIMES,
            adding=OFTEN if facts.metered else RARELY,
            removing=OFTEN,
        ),
        Role.FUEL_REGULATOR: row(
            "without its vacuum fuel pressure is too high at idle, though the open line lets in air as well",
            normal=SOMETIMES,
            adding=OFTEN if facts.metered else RARELY,
            removing=ALMOST_ALWAYS,
        ),
        Suspect.SOMETHING_ELSE: row(
            "fuel supply, injectors, sensors", normal=ALMOST_ALWAYS, adding=SOMETIMES, removing=SOMETIMES
        ),
    }
