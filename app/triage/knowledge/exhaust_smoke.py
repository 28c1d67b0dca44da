"""Exhaust smoke: black is fuel without its air, blue is oil."""

from app.airpath.words import Role, Suspect
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


def _oil() -> Rows:
    return {
        Suspect.TURBOCHARGER: row("oil past its seals", none=SOMETIMES, black_under_boost=RARELY, blue=ALMOST_ALWAYS),
        Role.BREATHER: row("crankcase oil drawn or blown where it should not go", none=OFTEN, blue=OFTEN),
    }


def _diesel() -> Rows:
    """Without a throttle any shortage of air shows at once as black smoke."""
    short = "short of air for its fuel"
    some = row(short, none=OFTEN, black_under_boost=SOMETIMES)
    much = row(short, none=SOMETIMES, black_under_boost=OFTEN)
    return {
        Role.CHARGE: row(
            "boost lost after the meter leaves fuel without air; a crack costs little",
            none=SOMETIMES,
            black_under_boost=OFTEN,
        ),
        CHARGE_SMALL: some,
        Role.INTAKE: row("sucked flat or blocked, it starves the engine", none=OFTEN, black_under_boost=OFTEN),
        Role.MANIFOLD_SMALL: some,
        Suspect.MANIFOLD_GASKET: some,
        Suspect.AIR_FILTER: much,
        Suspect.AIRFLOW_SENSOR: some,
        Suspect.PRESSURE_SENSOR: some,
        Suspect.WASTEGATE: some,
        Suspect.BOOST_SOLENOID: some,
        Role.BOOST_CONTROL: some,
        Role.VACUUM_STORE: row("its actuator short of vacuum", none=ALMOST_ALWAYS, black_under_boost=RARELY),
        Suspect.TURBOCHARGER: row(
            "oil past its seals, or vanes that do not build boost",
            none=SOMETIMES,
            black_under_boost=SOMETIMES,
            blue=ALMOST_ALWAYS,
        ),
        Suspect.POWER_LIMIT: row("fuel is held back with the boost", none=ALMOST_ALWAYS, black_under_boost=RARELY),
        Suspect.SOMETHING_ELSE: row("injectors, rings", none=OFTEN, black_under_boost=SOMETIMES, blue=SOMETIMES),
    }


def _petrol(facts: Facts) -> Rows:
    lost = "metered air leaves through the leak, and its fuel is too much"
    return {
        Role.CHARGE: row(lost, none=OFTEN, black_under_boost=OFTEN)
        if facts.metered
        else row("only air that arrives is fuelled", none=ALMOST_ALWAYS, black_under_boost=RARELY),
        CHARGE_SMALL: row(lost, none=OFTEN, black_under_boost=SOMETIMES)
        if facts.metered
        else row("only air that arrives is fuelled", none=ALMOST_ALWAYS, black_under_boost=RARELY),
        Role.RECIRCULATION: row(
            "its valve end loses metered air as the charge pipe does"
            if facts.metered
            else "only air that arrives is fuelled",
            none=ALMOST_ALWAYS,
            black_under_boost=SOMETIMES if facts.metered else RARELY,
        ),
        Role.FUEL_REGULATOR: row("too much pressure, too much fuel", none=OFTEN, black_under_boost=SOMETIMES),
        Suspect.AIRFLOW_SENSOR: row("an over-reading meter over-fuels", none=OFTEN, black_under_boost=SOMETIMES),
        Suspect.PRESSURE_SENSOR: row("an over-reading sensor over-fuels", none=OFTEN, black_under_boost=SOMETIMES),
        Suspect.AIR_FILTER: row("blocked, it starves the engine", none=OFTEN, black_under_boost=SOMETIMES),
        Suspect.SOMETHING_ELSE: row(
            "injectors, rings, valve seals", none=ALMOST_ALWAYS, black_under_boost=RARELY, blue=SOMETIMES
        ),
    }


def rows(facts: Facts) -> Rows:
    """The rows of `exhaust_smoke`."""
    table: Rows = {UNRELATED: row(none=ALMOST_ALWAYS, black_under_boost=RARELY, blue=ALMOST_NEVER)}
    return table | _oil() | (_diesel() if facts.fuel == "diesel" else _petrol(facts))
