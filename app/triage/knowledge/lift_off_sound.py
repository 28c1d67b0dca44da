"""The sound on lift-off: flutter is air going back through the compressor because the valve stays shut."""

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


def rows(facts: Facts) -> Rows:
    """The rows of `lift_off_sound`; without a throttle or a turbocharger the sound tells nothing."""
    table: Rows = {UNRELATED: row(usual=ALMOST_ALWAYS)}
    if not (facts.turbocharged and facts.throttle_vacuum):
        return table
    electric = facts.layout is Layout.ELECTRIC_DIVERTER
    return table | {
        Role.DIVERTER_SIGNAL: row(
            "without its vacuum the valve is not opened; through a crack enough may pass",
            usual=SOMETIMES,
            flutter=ALMOST_ALWAYS,
            louder=RARELY,
        ),
        Suspect.CHANGEOVER_SOLENOID: row(
            "a dead solenoid sends the valve no vacuum", usual=SOMETIMES, flutter=ALMOST_ALWAYS
        ),
        Role.VACUUM_STORE: row("an empty store cannot open the valve", usual=OFTEN, flutter=OFTEN),
        Suspect.DIVERTER_VALVE: row(
            "a valve that sticks shut flutters, one whose body leaks blows off loud",
            usual=SOMETIMES,
            flutter=ALMOST_ALWAYS if electric else OFTEN,
            louder=SOMETIMES,
        ),
        Role.RECIRCULATION: row(
            "let go outside instead of back into the inlet, the air is heard; a blocked return leaves it nowhere to go",
            usual=SOMETIMES,
            flutter=RARELY,
            louder=ALMOST_ALWAYS,
        ),
        Role.INTAKE: row(
            "an open inlet lets the valve be heard", usual=ALMOST_ALWAYS, flutter=RARELY, louder=SOMETIMES
        ),
        Suspect.AIR_FILTER: row("an open filter lets the valve be heard", usual=ALMOST_ALWAYS, louder=RARELY),
        Role.CHARGE: row("a leak before the valve takes from its sound", usual=ALMOST_ALWAYS),
        Suspect.POWER_LIMIT: row("little boost, little sound", usual=ALMOST_ALWAYS, flutter=ALMOST_NEVER),
        Suspect.SOMETHING_ELSE: row(usual=ALMOST_ALWAYS, flutter=RARELY, louder=RARELY),
    }
