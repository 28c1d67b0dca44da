"""A hiss: air in at idle is behind the throttle, air out under boost is before it (or anywhere boost goes)."""

from app.airpath.words import Layout, Role, Suspect
from app.triage.facts import Facts
from app.triage.knowledge.grades import (
    ALMOST_ALWAYS,
    ALMOST_NEVER,
    CHARGE_SMALL,
    OFTEN,
    RARELY,
    SOMETIMES,
    UNRELATED,
    Rows,
    row,
)


def _pressure_side(*, diesel: bool) -> Rows:
    boost_leak = row("boost leaves through the hole", none=SOMETIMES, under_boost=OFTEN)
    manifold_is_boosted = row(
        "without a throttle the manifold is part of the charge side", none=SOMETIMES, under_boost=OFTEN
    )
    table: Rows = {
        Role.CHARGE: boost_leak,
        CHARGE_SMALL: boost_leak,
        Role.RECIRCULATION: row("its valve end carries boost", none=OFTEN, at_idle=ALMOST_NEVER, under_boost=OFTEN),
        Role.BOOST_CONTROL: row("a small hose under pressure", none=ALMOST_ALWAYS, under_boost=SOMETIMES),
        Suspect.DIVERTER_VALVE: row(
            "what passes the valve goes back into the inlet unheard",
            none=ALMOST_ALWAYS,
            at_idle=RARELY,
            under_boost=SOMETIMES,
        ),
        Suspect.TURBOCHARGER: row("a worn turbocharger whistles", none=OFTEN, under_boost=SOMETIMES),
        Suspect.WASTEGATE: row("exhaust passing the flap", none=ALMOST_ALWAYS, under_boost=RARELY),
        Suspect.POWER_LIMIT: row("nothing leaks", none=ALMOST_ALWAYS),
    }
    if diesel:
        table[Role.MANIFOLD_SMALL] = manifold_is_boosted
        table[Suspect.MANIFOLD_GASKET] = manifold_is_boosted
        table[Role.GAUGE] = row("teed into the boosted manifold", none=OFTEN, under_boost=SOMETIMES)
    return table


def _vacuum_side(facts: Facts) -> Rows:
    under = RARELY if facts.turbocharged else ALMOST_NEVER
    direct = facts.layout is Layout.DIRECT_SIGNAL
    return {
        Role.MANIFOLD_SMALL: row("air comes in behind the throttle", none=SOMETIMES, at_idle=OFTEN, under_boost=under),
        Suspect.MANIFOLD_GASKET: row(
            "air comes in behind the throttle", none=SOMETIMES, at_idle=OFTEN, under_boost=under
        ),
        Role.DIVERTER_SIGNAL: row(
            "it opens straight into the manifold and carries boost too" if direct else "behind the store little flows",
            none=OFTEN,
            at_idle=OFTEN if direct else SOMETIMES,
            under_boost=SOMETIMES if direct else ALMOST_NEVER,
        ),
        Role.GAUGE: row(
            "heard near the gauge",
            none=OFTEN,
            at_idle=SOMETIMES,
            under_boost=SOMETIMES if facts.turbocharged else RARELY,
        ),
        Role.BREATHER: row("air comes in through the crankcase", none=OFTEN, at_idle=OFTEN, under_boost=RARELY),
        Role.PURGE: row("air comes in where the purge valve does not shut", none=OFTEN, at_idle=OFTEN),
        Role.FUEL_REGULATOR: row("a thin line", none=OFTEN, at_idle=SOMETIMES, under_boost=RARELY),
        Suspect.CHANGEOVER_SOLENOID: row("its vent may be heard", none=ALMOST_ALWAYS, at_idle=SOMETIMES),
    }


def rows(facts: Facts) -> Rows:
    """The rows of `hiss`."""
    table: Rows = {UNRELATED: row(none=ALMOST_ALWAYS)}
    if facts.throttle_vacuum:
        table |= _vacuum_side(facts)
    if facts.turbocharged:
        table |= _pressure_side(diesel=facts.fuel == "diesel")
    return table | {
        Role.INTAKE: row("the inlet sucks at a split", none=OFTEN, at_idle=RARELY, under_boost=SOMETIMES),
        Role.BRAKE_SERVO: row("heard at the servo, more with the pedal down", none=SOMETIMES, at_idle=OFTEN),
        Role.VACUUM_STORE: row("a small leak under vacuum", none=OFTEN, at_idle=SOMETIMES),
        Suspect.SOMETHING_ELSE: row(
            "an exhaust joint hisses too", none=ALMOST_ALWAYS, at_idle=RARELY, under_boost=SOMETIMES
        ),
    }
