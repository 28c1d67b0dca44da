"""Where boost ends up: a leak loses some, a pipe off loses all, and only lost control makes too much."""

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


def _air_side() -> Rows:
    """Lines and parts the boosted air passes through: none of them can overboost, for a leak only takes away."""
    return {
        Role.CHARGE: row(
            "a leak makes it fall short unless the control makes it up; a pipe off or split leaves none",
            on_target=SOMETIMES,
            slightly_low=OFTEN,
            capped_low=RARELY,
            none=SOMETIMES,
        ),
        CHARGE_SMALL: row(
            "a small line on the charge side costs a little, never all of it",
            on_target=SOMETIMES,
            slightly_low=ALMOST_ALWAYS,
            capped_low=RARELY,
        ),
        Role.INTAKE: row(
            "a soft inlet sucked flat is short at high flow; a leak before the compressor costs next to nothing",
            on_target=OFTEN,
            slightly_low=OFTEN,
            capped_low=RARELY,
            none=RARELY,
        ),
        Role.RECIRCULATION: row(
            "its valve end is a branch of the charge pipe, its other end carries no boost",
            on_target=OFTEN,
            slightly_low=OFTEN,
            capped_low=RARELY,
            none=SOMETIMES,
        ),
        Role.MANIFOLD_SMALL: row(
            "the same hole that loses vacuum loses a little boost",
            on_target=OFTEN,
            slightly_low=OFTEN,
            capped_low=RARELY,
        ),
        Suspect.MANIFOLD_GASKET: row(
            "boost leaks out where vacuum leaks in", on_target=OFTEN, slightly_low=SOMETIMES, capped_low=RARELY
        ),
        Suspect.AIR_FILTER: row(
            "a blocked filter starves the compressor at high flow",
            on_target=SOMETIMES,
            slightly_low=OFTEN,
            capped_low=RARELY,
        ),
        Suspect.TURBOCHARGER: row(
            "worn or damaged it falls short; seized or broken it makes none",
            on_target=SOMETIMES,
            slightly_low=OFTEN,
            capped_low=RARELY,
            none=SOMETIMES,
            over_target=RARELY,
        ),
        Role.BREATHER: row(
            "only a failed check valve lets boost into it", on_target=ALMOST_ALWAYS, slightly_low=SOMETIMES
        ),
        Role.PURGE: row("its check valve shuts under boost", on_target=ALMOST_ALWAYS, slightly_low=RARELY),
        Role.BRAKE_SERVO: row("its check valve shuts under boost", on_target=ALMOST_ALWAYS, slightly_low=RARELY),
        Role.FUEL_REGULATOR: row(
            "a thin line; lean under boost may pull timing and boost back",
            on_target=ALMOST_ALWAYS,
            slightly_low=SOMETIMES,
            capped_low=RARELY,
        ),
    }


def _control_side(*, vacuum_worked: bool) -> Rows:
    line_off = (
        row(
            "without vacuum the actuator rests open and boost stays low; a blocked vent holds it shut",
            on_target=RARELY,
            slightly_low=OFTEN,
            capped_low=OFTEN,
            none=SOMETIMES,
            over_target=SOMETIMES,
        )
        if vacuum_worked
        else row(
            "a line off or split to the actuator keeps the wastegate shut; a blocked bleed leaves spring pressure",
            on_target=SOMETIMES,
            slightly_low=SOMETIMES,
            capped_low=SOMETIMES,
            over_target=OFTEN,
        )
    )
    return {
        Role.BOOST_CONTROL: line_off,
        Suspect.BOOST_SOLENOID: row(
            "dead, the actuator's vacuum is vented and boost stays low; stuck, it may overshoot"
            if vacuum_worked
            else "dead, it leaves the actuator's spring pressure; stuck, it may overshoot",
            on_target=SOMETIMES,
            slightly_low=SOMETIMES,
            capped_low=OFTEN,
            none=SOMETIMES if vacuum_worked else ALMOST_NEVER,
            over_target=SOMETIMES,
        ),
        Suspect.WASTEGATE: row(
            "stuck open it makes little or none, stuck shut too much; one that only sticks swings about its target",
            on_target=SOMETIMES,
            slightly_low=SOMETIMES,
            capped_low=OFTEN,
            none=SOMETIMES,
            over_target=OFTEN if vacuum_worked else SOMETIMES,
        ),
        Suspect.POWER_LIMIT: row(
            "the engine computer holds boost at a few psi whatever the throttle does",
            slightly_low=RARELY,
            capped_low=ALMOST_ALWAYS,
        ),
        Suspect.PRESSURE_SENSOR: row(
            "a sensor that reads wrong steers boost wrong either way",
            on_target=OFTEN,
            slightly_low=SOMETIMES,
            capped_low=SOMETIMES,
            none=ALMOST_NEVER,
            over_target=SOMETIMES,
        ),
        Suspect.AIRFLOW_SENSOR: row(
            "under-reading, it holds fuel and boost back",
            on_target=OFTEN,
            slightly_low=OFTEN,
            capped_low=SOMETIMES,
            over_target=ALMOST_NEVER,
        ),
    }


def _diverter_side(facts: Facts) -> Rows:
    stored = facts.layout is Layout.STORED_VACUUM
    return {
        Suspect.DIVERTER_VALVE: row(
            "stuck shut it costs no boost; a leaking seat lets some go round in a circle, stuck open nearly all",
            on_target=OFTEN,
            slightly_low=OFTEN,
            capped_low=RARELY,
            none=RARELY,
        ),
        Role.DIVERTER_SIGNAL: row(
            "the valve stays shut under boost" if stored else "boost in this line helps to hold the valve shut",
            on_target=ALMOST_ALWAYS if stored else OFTEN,
            slightly_low=SOMETIMES,
        ),
        Role.VACUUM_STORE: row("the store does nothing under boost", on_target=ALMOST_ALWAYS, slightly_low=RARELY),
        Suspect.CHANGEOVER_SOLENOID: row(
            "stuck towards the store it holds the valve open, and boost goes round in a circle",
            on_target=ALMOST_ALWAYS,
            slightly_low=SOMETIMES,
            capped_low=RARELY,
            none=SOMETIMES,
        ),
    }


def rows(facts: Facts) -> Rows:
    """The rows of `boost_level`."""
    table: Rows = {UNRELATED: row(on_target=ALMOST_ALWAYS, slightly_low=RARELY)}
    if not facts.turbocharged:
        return table
    table |= _air_side() | _control_side(vacuum_worked=facts.fuel == "diesel") | _diverter_side(facts)
    table[Role.GAUGE] = row(
        "the engine makes its boost and the gauge does not see all of it",
        on_target=OFTEN,
        slightly_low=OFTEN,
        none=SOMETIMES,
    )
    if facts.fuel == "diesel":
        table[Role.VACUUM_STORE] = row(
            "the boost actuator works on this vacuum, and rests open without it",
            on_target=OFTEN,
            slightly_low=SOMETIMES,
            capped_low=SOMETIMES,
            none=SOMETIMES,
        )
        table[Role.BRAKE_SERVO] = row(
            "it shares the pump with the boost actuator", on_target=ALMOST_ALWAYS, slightly_low=SOMETIMES
        )
        table[Role.MANIFOLD_SMALL] = row(
            "without a throttle the manifold is part of the charge side",
            on_target=SOMETIMES,
            slightly_low=ALMOST_ALWAYS,
            capped_low=RARELY,
        )
        table[Suspect.MANIFOLD_GASKET] = row(
            "without a throttle the manifold is part of the charge side", on_target=SOMETIMES, slightly_low=OFTEN
        )
        table[Suspect.TURBOCHARGER] = row(
            "vanes stiff with soot fall short or overshoot",
            on_target=RARELY,
            slightly_low=OFTEN,
            capped_low=SOMETIMES,
            none=SOMETIMES,
            over_target=OFTEN,
        )
    table[Suspect.SOMETHING_ELSE] = row(
        on_target=ALMOST_ALWAYS, slightly_low=SOMETIMES, capped_low=RARELY, none=RARELY, over_target=RARELY
    )
    return table
