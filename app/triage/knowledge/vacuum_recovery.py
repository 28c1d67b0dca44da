"""How vacuum comes back when the throttle shuts: the signal side's own sign."""

from app.airpath.words import Role, Suspect
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


def _signal_side() -> Rows:
    return {
        Role.DIVERTER_SIGNAL: row(
            "air bleeding in on the signal side keeps the needle up; a crack may let it come back in time",
            prompt=SOMETIMES,
            slow=ALMOST_ALWAYS,
            none=SOMETIMES,
        ),
        Suspect.CHANGEOVER_SOLENOID: row(
            "a solenoid that bleeds or sticks holds the signal side up", prompt=SOMETIMES, slow=OFTEN, none=RARELY
        ),
        Role.VACUUM_STORE: row("an empty store must be filled first", prompt=OFTEN, slow=OFTEN, none=RARELY),
        Suspect.DIVERTER_VALVE: row("a torn diaphragm bleeds like its line", prompt=OFTEN, slow=SOMETIMES, none=RARELY),
    }


def rows(facts: Facts) -> Rows:
    """The rows of `vacuum_recovery`; with a vacuum pump in place of a throttle, the pump circuit's."""
    if not facts.throttle_vacuum:
        return pump_vacuum.recovery()
    table: Rows = {UNRELATED: row("it has no hand in it", prompt=ALMOST_ALWAYS)}
    if facts.turbocharged:
        table |= _signal_side()
    else:
        table[Role.VACUUM_STORE] = row("an empty store must be filled first", prompt=OFTEN, slow=SOMETIMES)
    return table | {
        Role.MANIFOLD_SMALL: row("air comes in where vacuum should build", prompt=OFTEN, slow=SOMETIMES, none=RARELY),
        Suspect.MANIFOLD_GASKET: row(
            "air comes in where vacuum should build", prompt=OFTEN, slow=SOMETIMES, none=RARELY
        ),
        Role.BRAKE_SERVO: row("the servo is a large volume to empty", prompt=OFTEN, slow=SOMETIMES, none=RARELY),
        Role.BREATHER: row("air comes in through the crankcase", prompt=OFTEN, slow=SOMETIMES),
        Role.GAUGE: row(
            "a pinched, wet or leaking gauge line lags behind the engine", prompt=SOMETIMES, slow=OFTEN, none=SOMETIMES
        ),
        Role.RECIRCULATION: row("the valve has nowhere to send the air", prompt=ALMOST_ALWAYS, slow=RARELY),
        Suspect.SOMETHING_ELSE: row(prompt=ALMOST_ALWAYS, slow=SOMETIMES, none=RARELY),
    }
