"""The needle at idle: a small leak makes it wander, one cylinder makes it flick."""

from app.airpath.words import Layout, Role, Suspect
from app.triage.facts import Facts
from app.triage.knowledge import pump_vacuum
from app.triage.knowledge.grades import (
    ALMOST_ALWAYS,
    OFTEN,
    RARELY,
    SOMETIMES,
    UNRELATED,
    Rows,
    row,
)


def rows(facts: Facts) -> Rows:
    """The rows of `idle_needle`; with a vacuum pump in place of a throttle, the pump circuit's."""
    if not facts.throttle_vacuum:
        return pump_vacuum.needle()
    table: Rows = {UNRELATED: row(steady=ALMOST_ALWAYS, wavering=RARELY)}
    if facts.turbocharged and facts.layout is not Layout.ELECTRIC_DIVERTER:
        table[Role.DIVERTER_SIGNAL] = row(
            "the smaller the leak, the more the needle wanders", steady=OFTEN, wavering=OFTEN, flicking=RARELY
        )
        table[Role.VACUUM_STORE] = row("the check valve opens and shuts", steady=OFTEN, wavering=SOMETIMES)
        table[Suspect.CHANGEOVER_SOLENOID] = row("it lies behind the store", steady=OFTEN, wavering=SOMETIMES)
        table[Suspect.DIVERTER_VALVE] = row(
            "only a torn diaphragm lets air in", steady=ALMOST_ALWAYS, wavering=SOMETIMES
        )
    table |= {
        Role.MANIFOLD_SMALL: row(
            "the smaller the leak, the more the needle wanders",
            steady=SOMETIMES,
            wavering=ALMOST_ALWAYS,
            flicking=RARELY,
        ),
        Suspect.MANIFOLD_GASKET: row(
            "a leak at one cylinder's port shows once a cycle", steady=SOMETIMES, wavering=OFTEN, flicking=SOMETIMES
        ),
        Role.GAUGE: row("a loose gauge line shakes the needle", steady=SOMETIMES, wavering=OFTEN, flicking=RARELY),
        Role.BRAKE_SERVO: row("a wide leak is a steady one", steady=OFTEN, wavering=SOMETIMES, flicking=RARELY),
        Role.BREATHER: row("crankcase gas comes in gusts", steady=OFTEN, wavering=SOMETIMES, flicking=RARELY),
        Role.PURGE: row("a purge valve works in pulses", steady=OFTEN, wavering=SOMETIMES, flicking=RARELY),
        Role.FUEL_REGULATOR: row(
            "fuel that swings swings the needle", steady=OFTEN, wavering=SOMETIMES, flicking=RARELY
        ),
        Suspect.PRESSURE_SENSOR: row("a noisy sensor", steady=OFTEN, wavering=SOMETIMES, flicking=RARELY),
        Suspect.SOMETHING_ELSE: row(
            "a valve or a misfire flicks it in time", steady=ALMOST_ALWAYS, wavering=SOMETIMES, flicking=SOMETIMES
        ),
    }
    if facts.metered:
        hunting = row("unmetered air makes idle and needle hunt together", steady=ALMOST_ALWAYS, wavering=SOMETIMES)
        table[Role.INTAKE] = hunting
        table[Suspect.AIRFLOW_SENSOR] = hunting
    return table
