"""How it idles: air the meter missed makes it hunt, air a pressure sensor counts makes it fast, one cylinder rough."""

from app.airpath.words import Layout, Role, Suspect
from app.triage.facts import Facts
from app.triage.knowledge.grades import (
    ALMOST_ALWAYS,
    ALMOST_NEVER,
    OFTEN,
    RARELY,
    SOMETIMES,
    UNRELATED,
    Rows,
    row,
)

_MISSED = "air the meter never saw"
_COUNTED = "the pressure sensor counts the extra air, so it is fuelled and the idle rises"


def _metered() -> Rows:
    return {
        Role.MANIFOLD_SMALL: row(_MISSED, smooth=SOMETIMES, hunting=OFTEN, high=OFTEN, rough=SOMETIMES),
        Suspect.MANIFOLD_GASKET: row(
            "one cylinder gets more air than its share", smooth=RARELY, hunting=SOMETIMES, high=SOMETIMES, rough=OFTEN
        ),
        Role.BRAKE_SERVO: row(_MISSED, smooth=SOMETIMES, hunting=SOMETIMES, high=SOMETIMES, rough=SOMETIMES),
        Role.BREATHER: row(_MISSED, smooth=SOMETIMES, hunting=OFTEN, high=OFTEN, rough=SOMETIMES),
        Role.INTAKE: row(
            "a split after the meter lets in air it never saw",
            smooth=OFTEN,
            hunting=OFTEN,
            high=RARELY,
            rough=SOMETIMES,
        ),
        Role.RECIRCULATION: row(
            "open after the meter: it stumbles as the throttle shuts", smooth=OFTEN, hunting=SOMETIMES, rough=RARELY
        ),
        Role.CHARGE: row(
            "with a large pipe off the meter counts air that never arrives",
            smooth=ALMOST_ALWAYS,
            hunting=RARELY,
            rough=RARELY,
        ),
        Suspect.AIRFLOW_SENSOR: row(
            "a meter that misreads makes it hunt", smooth=SOMETIMES, hunting=OFTEN, high=RARELY, rough=SOMETIMES
        ),
        Suspect.PRESSURE_SENSOR: row(smooth=ALMOST_ALWAYS, hunting=RARELY, rough=RARELY),
    }


def _by_pressure() -> Rows:
    return {
        Role.MANIFOLD_SMALL: row(_COUNTED, smooth=SOMETIMES, hunting=SOMETIMES, high=ALMOST_ALWAYS, rough=SOMETIMES),
        Suspect.MANIFOLD_GASKET: row(_COUNTED, smooth=RARELY, hunting=SOMETIMES, high=OFTEN, rough=OFTEN),
        Role.BRAKE_SERVO: row(_COUNTED, smooth=SOMETIMES, hunting=SOMETIMES, high=OFTEN, rough=RARELY),
        Role.BREATHER: row(_COUNTED, smooth=SOMETIMES, hunting=SOMETIMES, high=OFTEN, rough=RARELY),
        Suspect.PRESSURE_SENSOR: row(
            "fuel follows this sensor alone", smooth=SOMETIMES, hunting=OFTEN, high=RARELY, rough=OFTEN
        ),
    }


def rows(facts: Facts) -> Rows:
    """The rows of `idle_quality`."""
    table: Rows = {
        UNRELATED: row(smooth=ALMOST_ALWAYS, hunting=RARELY, rough=RARELY),
        Suspect.POWER_LIMIT: row(smooth=ALMOST_ALWAYS, hunting=RARELY, rough=RARELY),
    }
    if facts.fuel == "diesel":
        table[Suspect.SOMETHING_ELSE] = row(
            "an injector or its fuel", smooth=OFTEN, hunting=SOMETIMES, high=RARELY, rough=OFTEN
        )
        table[Role.CHARGE] = row("it idles without boost", smooth=ALMOST_ALWAYS, hunting=RARELY, rough=RARELY)
        return table
    table |= _metered() if facts.metered else _by_pressure()
    direct = facts.layout is Layout.DIRECT_SIGNAL
    return table | {
        Role.PURGE: row(
            "fuel vapour or air comes in uncalled for", smooth=SOMETIMES, hunting=SOMETIMES, high=SOMETIMES, rough=OFTEN
        ),
        Role.FUEL_REGULATOR: row(
            "without its vacuum fuel pressure is too high at idle",
            smooth=SOMETIMES,
            hunting=SOMETIMES,
            high=RARELY,
            rough=OFTEN,
        ),
        Role.DIVERTER_SIGNAL: row(
            "it opens straight into the manifold" if direct else "the store's restriction keeps the leak small",
            smooth=OFTEN if direct else ALMOST_ALWAYS,
            hunting=SOMETIMES,
            high=SOMETIMES if direct else RARELY,
            rough=RARELY,
        ),
        Role.VACUUM_STORE: row(smooth=ALMOST_ALWAYS, hunting=RARELY, high=RARELY),
        Suspect.DIVERTER_VALVE: row(
            "stuck open it upsets the air at idle",
            smooth=ALMOST_ALWAYS,
            hunting=SOMETIMES if facts.metered else RARELY,
            rough=RARELY,
        ),
        Role.GAUGE: row("the engine is well; its gauge is not", smooth=ALMOST_ALWAYS, hunting=RARELY, high=RARELY),
        Suspect.SOMETHING_ELSE: row(
            "ignition, injectors, valves", smooth=ALMOST_ALWAYS, hunting=SOMETIMES, high=RARELY, rough=OFTEN
        ),
        Suspect.AIR_FILTER: row(smooth=ALMOST_ALWAYS, hunting=RARELY, high=ALMOST_NEVER),
    }
