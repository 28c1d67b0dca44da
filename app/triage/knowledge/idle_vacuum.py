"""Idle vacuum: air that comes in behind the shut throttle lowers it, and nothing before the throttle does."""

from app.airpath.words import Layout, Role, Suspect
from app.triage.facts import Facts
from app.triage.knowledge import pump_vacuum
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

_STORE = row(
    "its check valve keeps a small leak to itself", normal=OFTEN, slightly_low=SOMETIMES, very_low=ALMOST_NEVER
)


def _signal_side(*, stored: bool) -> Rows:
    return {
        Role.DIVERTER_SIGNAL: row(
            "only a larger leak on the signal side lowers idle vacuum"
            if stored
            else "it opens straight into the manifold",
            normal=OFTEN if stored else SOMETIMES,
            slightly_low=OFTEN,
            very_low=RARELY,
        ),
        Role.VACUUM_STORE: _STORE,
        Suspect.DIVERTER_VALVE: row(
            "only a torn diaphragm lets air in",
            normal=ALMOST_ALWAYS if stored else OFTEN,
            slightly_low=RARELY if stored else SOMETIMES,
        ),
    }


def rows(facts: Facts) -> Rows:
    """The rows of `idle_vacuum`; with a vacuum pump in place of a throttle, the pump circuit's."""
    if not facts.throttle_vacuum:
        return pump_vacuum.idle_level()
    table: Rows = {UNRELATED: row("the shut throttle stands between", normal=ALMOST_ALWAYS, slightly_low=RARELY)}
    if facts.turbocharged and facts.layout is not Layout.ELECTRIC_DIVERTER:
        table |= _signal_side(stored=facts.layout is Layout.STORED_VACUUM)
    else:
        table[Role.VACUUM_STORE] = _STORE
    return table | {
        Role.MANIFOLD_SMALL: row(
            "air comes in behind the throttle", normal=SOMETIMES, slightly_low=OFTEN, very_low=SOMETIMES
        ),
        Suspect.MANIFOLD_GASKET: row(
            "air comes in behind the throttle, and a lifted gasket lets in a lot",
            normal=SOMETIMES,
            slightly_low=OFTEN,
            very_low=OFTEN,
        ),
        Role.BRAKE_SERVO: row(
            "the widest small line on the manifold", normal=SOMETIMES, slightly_low=OFTEN, very_low=SOMETIMES
        ),
        Role.GAUGE: row(
            "the gauge reads low though the engine pulls its vacuum",
            normal=SOMETIMES,
            slightly_low=OFTEN,
            very_low=SOMETIMES,
        ),
        Role.BREATHER: row(
            "air comes in through the crankcase, and a wide hose to the manifold lets in a lot",
            normal=OFTEN,
            slightly_low=OFTEN,
            very_low=SOMETIMES,
        ),
        Role.PURGE: row(
            "air comes in where the purge valve does not shut, or its line is off",
            normal=OFTEN,
            slightly_low=SOMETIMES,
            very_low=SOMETIMES,
        ),
        Role.FUEL_REGULATOR: row("a thin line lets in a little", normal=OFTEN, slightly_low=SOMETIMES),
        Suspect.PRESSURE_SENSOR: row(
            "a sensor that drifts reads low", normal=OFTEN, slightly_low=SOMETIMES, very_low=RARELY
        ),
        Suspect.SOMETHING_ELSE: row(
            "late timing or tired valves lower it too", normal=ALMOST_ALWAYS, slightly_low=SOMETIMES, very_low=RARELY
        ),
    }
