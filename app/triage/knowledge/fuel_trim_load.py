"""Trims under load: with a meter, boost that leaks out was counted and fuelled, so fuel must be taken away."""

from app.airpath.words import Role, Suspect
from app.triage.facts import Facts
from app.triage.knowledge.grades import (
    ALMOST_ALWAYS,
    CHARGE_SMALL,
    OFTEN,
    RARELY,
    SOMETIMES,
    UNRELATED,
    Rows,
    row,
)

_LOST = "metered air leaves through the leak, and its fuel is too much"


def _metered(*, turbocharged: bool) -> Rows:
    leaks_out = SOMETIMES if turbocharged else RARELY
    return {
        Role.CHARGE: row(_LOST, normal=SOMETIMES, removing=ALMOST_ALWAYS),
        CHARGE_SMALL: row(_LOST, normal=OFTEN, removing=OFTEN),
        Role.INTAKE: row("the compressor draws air in after the meter", normal=OFTEN, adding=OFTEN),
        Role.RECIRCULATION: row(
            "its valve end loses metered air, its inlet end draws in unmetered",
            normal=OFTEN,
            adding=SOMETIMES,
            removing=SOMETIMES,
        ),
        Role.MANIFOLD_SMALL: row(
            "out of vacuum the leak matters less, and under boost it reverses",
            normal=OFTEN,
            adding=RARELY,
            removing=leaks_out,
        ),
        Suspect.MANIFOLD_GASKET: row(
            "out of vacuum the leak matters less, and under boost it reverses",
            normal=OFTEN,
            adding=RARELY,
            removing=leaks_out,
        ),
        Role.DIVERTER_SIGNAL: row("a thin line", normal=ALMOST_ALWAYS, adding=RARELY, removing=RARELY),
        Suspect.DIVERTER_VALVE: row(
            "air going round inside the metered loop changes no trim", normal=ALMOST_ALWAYS, removing=RARELY
        ),
        Role.BREATHER: row(
            "its inlet end lies after the meter, its manifold end carries boost"
            if turbocharged
            else "its inlet end lies after the meter",
            normal=OFTEN,
            adding=SOMETIMES,
            removing=leaks_out,
        ),
        Role.BRAKE_SERVO: row(
            "before its check valve the hose is part of the manifold",
            normal=ALMOST_ALWAYS,
            adding=RARELY,
            removing=leaks_out,
        ),
        Suspect.AIRFLOW_SENSOR: row(
            "a dirty meter misses more the more there is", normal=SOMETIMES, adding=OFTEN, removing=SOMETIMES
        ),
        Suspect.PRESSURE_SENSOR: row(normal=OFTEN, adding=RARELY, removing=RARELY),
        Role.BOOST_CONTROL: row("its leak is small", normal=ALMOST_ALWAYS, removing=RARELY),
    }


def _by_pressure() -> Rows:
    return {
        Role.CHARGE: row("only air that arrives is counted", normal=ALMOST_ALWAYS, adding=RARELY, removing=RARELY),
        Suspect.PRESSURE_SENSOR: row("fuel follows this sensor alone", normal=SOMETIMES, adding=OFTEN, removing=OFTEN),
        Role.MANIFOLD_SMALL: row(
            "the pressure sensor's own hose, holed, reads low under boost",
            normal=ALMOST_ALWAYS,
            adding=SOMETIMES,
            removing=RARELY,
        ),
        Suspect.AIRFLOW_SENSOR: row(normal=OFTEN, adding=SOMETIMES, removing=SOMETIMES),
    }


def rows(facts: Facts) -> Rows:
    """The rows of `fuel_trim_load`; a diesel has none to read."""
    table: Rows = {UNRELATED: row(normal=ALMOST_ALWAYS, adding=RARELY, removing=RARELY)}
    if facts.fuel == "diesel":
        return table
    table |= _metered(turbocharged=facts.turbocharged) if facts.metered else _by_pressure()
    return table | {
        Role.PURGE: row("vapour matters less the more fuel flows", normal=OFTEN, adding=RARELY, removing=RARELY),
        Role.FUEL_REGULATOR: row(
            "without boost behind it fuel pressure falls short under load"
            if facts.turbocharged
            else "pressure that no longer follows the manifold is right under load",
            normal=SOMETIMES if facts.turbocharged else OFTEN,
            adding=OFTEN if facts.turbocharged else SOMETIMES,
            removing=RARELY,
        ),
        Suspect.SOMETHING_ELSE: row(
            "fuel supply, injectors, sensors", normal=ALMOST_ALWAYS, adding=SOMETIMES, removing=SOMETIMES
        ),
    }
