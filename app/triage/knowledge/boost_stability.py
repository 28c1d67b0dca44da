"""Whether boost holds still: a hole is a hole at every rev, so wandering points at what controls."""

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


def rows(facts: Facts) -> Rows:
    """The rows of `boost_stability`."""
    table: Rows = {UNRELATED: row("a hole leaks the same each time", steady=ALMOST_ALWAYS)}
    if not facts.turbocharged:
        return table
    table |= {
        Role.BOOST_CONTROL: row(
            "boost that wanders comes from the control solenoid and its hoses more than anywhere",
            steady=SOMETIMES,
            erratic=OFTEN,
        ),
        Suspect.BOOST_SOLENOID: row(
            "boost that wanders comes from the control solenoid and its hoses more than anywhere",
            steady=SOMETIMES,
            erratic=OFTEN,
        ),
        Suspect.WASTEGATE: row("a flap or rod that sticks overshoots, then drops", steady=OFTEN, erratic=SOMETIMES),
        Suspect.DIVERTER_VALVE: row(
            "a weak spring lets the valve chatter under boost", steady=ALMOST_ALWAYS, erratic=SOMETIMES
        ),
        Role.DIVERTER_SIGNAL: row(
            "where boost holds the valve shut, losing it lets the valve lift now and then",
            steady=OFTEN if facts.layout is Layout.DIRECT_SIGNAL else ALMOST_ALWAYS,
            erratic=SOMETIMES if facts.layout is Layout.DIRECT_SIGNAL else RARELY,
        ),
        Suspect.TURBOCHARGER: row(
            "stiff vanes hunt" if facts.fuel == "diesel" else "a dying turbocharger fades rather than wanders",
            steady=OFTEN if facts.fuel == "diesel" else ALMOST_ALWAYS,
            erratic=SOMETIMES if facts.fuel == "diesel" else RARELY,
        ),
        Role.GAUGE: row("a loose gauge line shakes the needle, not the boost", steady=OFTEN, erratic=SOMETIMES),
        Suspect.POWER_LIMIT: row("a limit is steady", steady=ALMOST_ALWAYS),
        Suspect.PRESSURE_SENSOR: row("a noisy sensor is chased by the control", steady=OFTEN, erratic=SOMETIMES),
        Suspect.AIRFLOW_SENSOR: row("a noisy meter is chased by the control", steady=OFTEN, erratic=SOMETIMES),
        Suspect.SOMETHING_ELSE: row(steady=ALMOST_ALWAYS, erratic=SOMETIMES),
    }
    if facts.fuel == "diesel":
        table[Role.VACUUM_STORE] = row("the boost actuator works on this vacuum", steady=OFTEN, erratic=SOMETIMES)
    return table
