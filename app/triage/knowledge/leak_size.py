"""How big the hole is, worked out from figures (app.workings.leak_size): a line that is off is as wide as its bore.

The classes are held to bores: a pinhole is far narrower than any line, `small` is the bore of a signal or vacuum line,
`open` that of a hose to breathe through. Which of the four ways gave the figure is not asked here, so what makes boost
fall short without a hole has a row, too: that way it comes out as a wide one.
"""

from app.airpath.words import Layout, Role, Suspect
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

_NO_HOLE = "boost held down computes to a wide hole, though nothing leaks"


def rows(facts: Facts) -> Rows:
    """The rows of `leak_size`."""
    table = _lines(facts) | _components(facts)
    if facts.turbocharged:
        table |= {
            suspect: row(_NO_HOLE, none=OFTEN, small=SOMETIMES, open=SOMETIMES)
            for suspect in (Suspect.WASTEGATE, Suspect.POWER_LIMIT, Suspect.BOOST_SOLENOID, Suspect.TURBOCHARGER)
        }
        table[Role.BOOST_CONTROL] = row(
            "a thin line; off, it sends boost over target and lets out what its bore passes",
            none=OFTEN,
            pinhole=SOMETIMES,
            small=OFTEN,
        )
    return table


def _lines(facts: Facts) -> Rows:
    signal_vents = facts.layout is Layout.DIRECT_SIGNAL
    return {
        # Sound lines weep a little; a figure is worked out where something is suspected.
        UNRELATED: row(none=ALMOST_ALWAYS, pinhole=SOMETIMES, small=RARELY),
        Role.CHARGE: row(
            "a coupler that let go is a whole bore and a split nearly so, no pinhole; at idle it shows nothing",
            none=SOMETIMES,
            pinhole=RARELY,
            small=OFTEN,
            open=OFTEN,
        ),
        CHARGE_SMALL: row(
            "it can't be wider than its own thin bore", none=SOMETIMES, pinhole=SOMETIMES, small=OFTEN, open=RARELY
        ),
        Role.INTAKE: row(
            "wide, and before the turbocharger: only a meter's trims see it", none=OFTEN, small=OFTEN, open=SOMETIMES
        ),
        Role.RECIRCULATION: row(
            "a wide hose; off, it is no pinhole, and it closes a loop that shows only under boost",
            none=OFTEN,
            small=SOMETIMES,
            open=OFTEN,
        ),
        Role.BREATHER: row("a wide hose; off, it is no pinhole", none=SOMETIMES, small=OFTEN, open=OFTEN),
        Role.BRAKE_SERVO: row(
            "the hose is wide, a torn diaphragm narrower, a tired check valve a pinhole",
            none=RARELY,
            pinhole=SOMETIMES,
            small=OFTEN,
            open=OFTEN,
        ),
        Role.DIVERTER_SIGNAL: row(
            "a small signal line that is off can't be wider than its bore",
            none=SOMETIMES if signal_vents else OFTEN,
            pinhole=SOMETIMES,
            small=OFTEN,
        ),
        Role.VACUUM_STORE: row(
            "a tired check valve, a weeping reservoir: pinholes; off, a thin line's bore behind its check valve",
            none=SOMETIMES,
            pinhole=ALMOST_ALWAYS,
            small=SOMETIMES,
        ),
        Role.MANIFOLD_SMALL: row(
            "cracked it is a pinhole, off it is a vacuum line's bore; never a hose's",
            none=RARELY,
            pinhole=OFTEN,
            small=ALMOST_ALWAYS,
            open=RARELY,
        ),
        Role.GAUGE: row("the thinnest line of all", none=SOMETIMES, pinhole=OFTEN, small=OFTEN),
        Role.PURGE: row(
            "a valve stuck open passes what its bore does", none=SOMETIMES, pinhole=SOMETIMES, small=OFTEN, open=RARELY
        ),
        Role.FUEL_REGULATOR: row(
            "a thin line, or a torn diaphragm behind it", none=SOMETIMES, pinhole=SOMETIMES, small=OFTEN
        ),
    }


def _components(facts: Facts) -> Rows:
    table: Rows = {
        Suspect.MANIFOLD_GASKET: row(
            "a gasket weeps along a gap and does not open like a hose",
            none=RARELY,
            pinhole=OFTEN,
            small=OFTEN,
            open=RARELY,
        ),
        Suspect.DIVERTER_VALVE: row(
            "a torn diaphragm is a pinhole into its signal line; stuck open it passes a hose's worth under boost",
            none=OFTEN,
            pinhole=SOMETIMES,
            small=SOMETIMES,
            open=SOMETIMES,
        ),
        Suspect.CHANGEOVER_SOLENOID: row(
            "its seat or body weeps; it is no wider than its ports", none=SOMETIMES, pinhole=OFTEN, small=SOMETIMES
        ),
        Suspect.SOMETHING_ELSE: row(
            "a leak that none of these lines has", none=OFTEN, pinhole=SOMETIMES, small=SOMETIMES, open=RARELY
        ),
    }
    if facts.metered:
        table[Suspect.AIRFLOW_SENSOR] = row(
            "a dirty meter misses air, which reads like a leak of any size",
            none=OFTEN,
            pinhole=SOMETIMES,
            small=OFTEN,
            open=RARELY,
        )
    return table
