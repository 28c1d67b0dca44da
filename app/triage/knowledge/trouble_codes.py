"""Which groups of trouble codes a fault sets, if any, each group a yes or no of its own (app.triage.codes lists them).

Kept duller than the signs on purpose: a code for low boost and a gauge that shows low boost are one fact told twice.
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


def _boost(*, diesel: bool) -> Rows:
    return {
        Role.CHARGE: row(
            "boost asked for does not arrive",
            no_codes=ALMOST_ALWAYS,
            underboost=OFTEN,
            rich=RARELY,
            air_leak=RARELY,
            leak_before_throttle=SOMETIMES,
            airflow=RARELY,
        ),
        CHARGE_SMALL: row(
            "boost asked for does not arrive", no_codes=ALMOST_ALWAYS, underboost=SOMETIMES, air_leak=RARELY
        ),
        Role.BOOST_CONTROL: row(
            "boost does not follow what is asked",
            no_codes=ALMOST_ALWAYS,
            underboost=OFTEN,
            overboost=RARELY if diesel else OFTEN,
            solenoid_circuit=RARELY,
        ),
        Suspect.BOOST_SOLENOID: row(
            "its own circuit is watched",
            no_codes=OFTEN,
            solenoid_circuit=ALMOST_ALWAYS,
            underboost=SOMETIMES,
            overboost=SOMETIMES,
            power_held=RARELY,
        ),
        Suspect.WASTEGATE: row(
            "boost does not follow what is asked",
            no_codes=ALMOST_ALWAYS,
            underboost=OFTEN,
            overboost=OFTEN,
            actuator_position=SOMETIMES,
            solenoid_circuit=RARELY,
        ),
        Suspect.TURBOCHARGER: row(
            "boost asked for does not arrive",
            no_codes=ALMOST_ALWAYS,
            underboost=OFTEN,
            overboost=SOMETIMES if diesel else RARELY,
            actuator_position=SOMETIMES,
        ),
        Suspect.POWER_LIMIT: row(
            "a limit is set by a code, and the code names what it protects",
            no_codes=OFTEN,
            power_held=ALMOST_ALWAYS,
            overboost=OFTEN,
            underboost=SOMETIMES if diesel else OFTEN,
            misfire=SOMETIMES,
            pressure=RARELY,
            fuel_pressure=SOMETIMES,
            airflow=RARELY,
            throttle=SOMETIMES,
            knock=SOMETIMES,
        ),
    }


def _diverter(facts: Facts) -> Rows:
    electric = facts.layout is Layout.ELECTRIC_DIVERTER
    return {
        Suspect.DIVERTER_VALVE: row(
            "the valve is wired itself" if electric else "a valve that sticks or leaks",
            no_codes=ALMOST_ALWAYS,
            underboost=SOMETIMES,
            diverter_stuck=OFTEN,
            diverter_circuit=ALMOST_ALWAYS if electric else SOMETIMES,
        ),
        Suspect.CHANGEOVER_SOLENOID: row(
            "the wired part of the diverter's control",
            no_codes=OFTEN,
            diverter_circuit=ALMOST_ALWAYS,
            diverter_stuck=SOMETIMES,
        ),
        Role.DIVERTER_SIGNAL: row(
            "a valve that is not opened looks stuck",
            no_codes=ALMOST_ALWAYS,
            diverter_stuck=RARELY,
            diverter_circuit=RARELY,
        ),
        Role.VACUUM_STORE: row(no_codes=ALMOST_ALWAYS, diverter_stuck=RARELY),
        Role.RECIRCULATION: row(
            "open between valve and inlet it is an inlet leak",
            no_codes=ALMOST_ALWAYS,
            diverter_stuck=RARELY,
            lean=SOMETIMES if facts.metered else RARELY,
            rich=RARELY,
            underboost=RARELY,
            air_leak=SOMETIMES,
            leak_before_throttle=SOMETIMES,
        ),
    }


def _vacuum(facts: Facts) -> Rows:
    lean = OFTEN if facts.metered else RARELY
    leak = row(
        "air behind the throttle that nobody asked for",
        no_codes=OFTEN,
        lean=lean,
        idle=SOMETIMES if facts.metered else OFTEN,
        air_leak=SOMETIMES,
        correlation=SOMETIMES,
        misfire=RARELY,
    )
    return {
        Role.MANIFOLD_SMALL: leak,
        Suspect.MANIFOLD_GASKET: row(
            "air at one cylinder that nobody asked for",
            no_codes=OFTEN,
            lean=lean,
            idle=SOMETIMES,
            air_leak=SOMETIMES,
            correlation=SOMETIMES,
            misfire=RARELY,
        ),
        Role.BRAKE_SERVO: row(
            "its vacuum may be watched",
            no_codes=ALMOST_ALWAYS,
            lean=SOMETIMES if facts.metered else RARELY,
            idle=SOMETIMES,
            servo_vacuum=OFTEN,
        ),
        Role.BREATHER: row(
            "an open breather lets air in",
            no_codes=ALMOST_ALWAYS,
            lean=OFTEN if facts.metered else RARELY,
            idle=SOMETIMES,
            air_leak=RARELY,
            crankcase=OFTEN,
        ),
        Role.PURGE: row(
            "the fuel vapour system tests itself",
            no_codes=OFTEN,
            evap=ALMOST_ALWAYS,
            lean=RARELY,
            rich=SOMETIMES,
            idle=RARELY,
        ),
        Role.FUEL_REGULATOR: row(
            "fuel pressure no longer follows the manifold",
            no_codes=ALMOST_ALWAYS,
            rich=OFTEN,
            lean_load=SOMETIMES,
            lean=RARELY,
            fuel_pressure=OFTEN,
        ),
        Role.INTAKE: row(
            "a split after the meter",
            no_codes=ALMOST_ALWAYS,
            lean=OFTEN if facts.metered else RARELY,
            lean_load=SOMETIMES if facts.metered else RARELY,
            air_leak=OFTEN,
            leak_before_throttle=OFTEN,
            inlet_restricted=SOMETIMES,
            airflow=SOMETIMES if facts.has_airflow_meter else RARELY,
            underboost=SOMETIMES,
        ),
    }


def rows(facts: Facts) -> Rows:
    """The rows of the sign `codes`."""
    return {
        UNRELATED: row(no_codes=ALMOST_ALWAYS),
        **_vacuum(facts),
        **(_boost(diesel=facts.fuel == "diesel") | _diverter(facts) if facts.turbocharged else {}),
        Suspect.AIR_FILTER: row(
            "blocked, it starves the engine",
            no_codes=ALMOST_ALWAYS,
            underboost=SOMETIMES,
            inlet_restricted=OFTEN,
            airflow=RARELY,
        ),
        Suspect.PRESSURE_SENSOR: row(
            "its own circuit is watched",
            no_codes=SOMETIMES,
            pressure=ALMOST_ALWAYS,
            correlation=SOMETIMES,
            overboost=RARELY,
            underboost=RARELY,
            rich=RARELY,
        ),
        Suspect.AIRFLOW_SENSOR: row(
            "its own circuit is watched",
            no_codes=OFTEN,
            airflow=ALMOST_ALWAYS,
            correlation=SOMETIMES,
            lean=SOMETIMES,
            lean_load=SOMETIMES,
            rich=SOMETIMES,
        ),
        Suspect.SOMETHING_ELSE: row(
            "ignition, fuel, valve timing, sensors",
            no_codes=ALMOST_ALWAYS,
            misfire=OFTEN,
            fuel_pressure=OFTEN,
            lean=RARELY,
            lean_load=SOMETIMES,
            rich=SOMETIMES,
            underboost=RARELY,
            idle=RARELY,
            power_held=RARELY,
            throttle=RARELY,
            knock=RARELY,
            valve_timing=RARELY,
            elsewhere=RARELY,
        ),
    }
