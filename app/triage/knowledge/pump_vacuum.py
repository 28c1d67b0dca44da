"""Vacuum on an engine without a throttle: a pump makes it, and servo, store and boost actuator live on it.

Asked for by nobody, but a gauge teed into the pump's circuit answers the same four signs, and then it counts.
"""

from app.airpath.words import Role, Suspect
from app.triage.knowledge.grades import (
    ALMOST_ALWAYS,
    OFTEN,
    RARELY,
    SOMETIMES,
    UNRELATED,
    Rows,
    row,
)

_SHARED = "it hangs on the pump's vacuum"


def first_start() -> Rows:
    """Rows of `first_start_vacuum` on the pump's circuit."""
    return {
        UNRELATED: row(normal=ALMOST_ALWAYS, low_then_builds=RARELY),
        Role.VACUUM_STORE: row(
            "the store leaks down while the car stands",
            normal=RARELY,
            low_then_builds=ALMOST_ALWAYS,
            low_and_stays=SOMETIMES,
        ),
        Role.BRAKE_SERVO: row(
            "the servo's check valve leaks down while the car stands",
            normal=SOMETIMES,
            low_then_builds=OFTEN,
            low_and_stays=SOMETIMES,
        ),
        Role.BOOST_CONTROL: row(_SHARED, normal=OFTEN, low_then_builds=SOMETIMES, low_and_stays=RARELY),
        Suspect.BOOST_SOLENOID: row(_SHARED, normal=OFTEN, low_then_builds=RARELY, low_and_stays=RARELY),
        Suspect.SOMETHING_ELSE: row(
            "the pump itself", normal=OFTEN, low_then_builds=SOMETIMES, low_and_stays=SOMETIMES
        ),
    }


def idle_level() -> Rows:
    """Rows of `idle_vacuum` on the pump's circuit."""
    return {
        UNRELATED: row(normal=ALMOST_ALWAYS, slightly_low=RARELY),
        Role.VACUUM_STORE: row(_SHARED, normal=SOMETIMES, slightly_low=OFTEN, very_low=SOMETIMES),
        Role.BRAKE_SERVO: row(_SHARED, normal=SOMETIMES, slightly_low=OFTEN, very_low=SOMETIMES),
        Role.BOOST_CONTROL: row(_SHARED, normal=OFTEN, slightly_low=SOMETIMES, very_low=RARELY),
        Suspect.BOOST_SOLENOID: row(_SHARED, normal=OFTEN, slightly_low=RARELY),
        Suspect.SOMETHING_ELSE: row("the pump itself", normal=OFTEN, slightly_low=SOMETIMES, very_low=SOMETIMES),
    }


def needle() -> Rows:
    """Rows of `idle_needle` on the pump's circuit."""
    return {
        UNRELATED: row(steady=ALMOST_ALWAYS, wavering=RARELY),
        Role.VACUUM_STORE: row("the check valve opens and shuts", steady=OFTEN, wavering=SOMETIMES),
        Role.BOOST_CONTROL: row("the actuator draws and lets go", steady=OFTEN, wavering=SOMETIMES),
        Suspect.BOOST_SOLENOID: row("it works in pulses", steady=OFTEN, wavering=SOMETIMES, flicking=RARELY),
        Suspect.SOMETHING_ELSE: row(steady=OFTEN, wavering=SOMETIMES, flicking=SOMETIMES),
    }


def recovery() -> Rows:
    """Rows of `vacuum_recovery` on the pump's circuit."""
    return {
        UNRELATED: row(prompt=ALMOST_ALWAYS, slow=RARELY),
        Role.VACUUM_STORE: row("an empty store must be filled first", prompt=SOMETIMES, slow=OFTEN, none=SOMETIMES),
        Role.BRAKE_SERVO: row("the servo is a large volume to empty", prompt=SOMETIMES, slow=OFTEN, none=SOMETIMES),
        Role.BOOST_CONTROL: row(_SHARED, prompt=OFTEN, slow=SOMETIMES, none=RARELY),
        Suspect.SOMETHING_ELSE: row("the pump itself", prompt=OFTEN, slow=SOMETIMES, none=SOMETIMES),
    }
