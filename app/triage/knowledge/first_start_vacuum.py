"""Vacuum at the first start of the day: what a night takes away and a drive gives back is in the store."""

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


def rows(facts: Facts) -> Rows:
    """The rows of `first_start_vacuum`; with a vacuum pump in place of a throttle, the pump circuit's."""
    if not facts.throttle_vacuum:
        return pump_vacuum.first_start()
    stored = facts.layout is Layout.STORED_VACUUM
    return {
        UNRELATED: row(
            "only what stands overnight leaks overnight", normal=ALMOST_ALWAYS, low_then_builds=ALMOST_NEVER
        ),
        Role.VACUUM_STORE: row(
            "a store, its check valve or lines leak down while the car stands; a hole before that valve leaks all day",
            normal=SOMETIMES,
            low_then_builds=ALMOST_ALWAYS,
            low_and_stays=SOMETIMES,
        ),
        Suspect.CHANGEOVER_SOLENOID: row(
            "a solenoid that bleeds empties the store while the car stands",
            normal=OFTEN,
            low_then_builds=SOMETIMES,
            low_and_stays=RARELY,
        ),
        Role.DIVERTER_SIGNAL: row(
            "behind the solenoid it only leaks when the valve is called for" if stored else "it leaks day and night",
            normal=OFTEN,
            low_then_builds=RARELY,
            low_and_stays=SOMETIMES,
        ),
        Suspect.DIVERTER_VALVE: row(
            "a torn diaphragm bleeds like its line", normal=ALMOST_ALWAYS, low_then_builds=RARELY, low_and_stays=RARELY
        ),
        Role.BRAKE_SERVO: row(
            "a check valve that leaks empties the servo overnight; a hole stays a hole",
            normal=OFTEN,
            low_then_builds=RARELY,
            low_and_stays=SOMETIMES,
        ),
        Role.MANIFOLD_SMALL: row(
            "a hole in the manifold leaks cold and warm",
            normal=SOMETIMES,
            low_then_builds=ALMOST_NEVER,
            low_and_stays=OFTEN,
        ),
        Suspect.MANIFOLD_GASKET: row(
            "a hole in the manifold leaks cold and warm; some gaskets seal as they warm",
            normal=SOMETIMES,
            low_then_builds=SOMETIMES,
            low_and_stays=OFTEN,
        ),
        Role.GAUGE: row(
            "the gauge reads low whenever it reads", normal=OFTEN, low_then_builds=ALMOST_NEVER, low_and_stays=OFTEN
        ),
        Role.BREATHER: row(
            "a split breather leaks cold and warm", normal=OFTEN, low_then_builds=ALMOST_NEVER, low_and_stays=SOMETIMES
        ),
        Role.FUEL_REGULATOR: row(
            "a thin line leaks little", normal=OFTEN, low_then_builds=ALMOST_NEVER, low_and_stays=SOMETIMES
        ),
        Role.PURGE: row(
            "a valve stuck open leaks cold and warm",
            normal=OFTEN,
            low_then_builds=ALMOST_NEVER,
            low_and_stays=SOMETIMES,
        ),
        Suspect.SOMETHING_ELSE: row(normal=ALMOST_ALWAYS, low_then_builds=RARELY, low_and_stays=SOMETIMES),
    }
