"""What driver and scenario ask of a plant for one stretch of time."""

from dataclasses import dataclass
from enum import Enum

from tests.bench import constants as c

#: What moves besides the volumes, in the state after their pressures.
MOVING = ("rpm", "idle_air", "trim", "rotor_kj", "boost_sum", "solenoid", "flap", "inflow_g")


class Mode(Enum):
    """What the engine is doing."""

    STANDING = "standing"
    IDLING = "idling"
    DRIVEN = "driven"


@dataclass(frozen=True, slots=True)
class Setting:
    """What driver and scenario ask for during one stretch. `rpm_to` is reached with the time constant `rpm_s`."""

    mode: Mode
    seconds: float
    throttle_m2: float = 0.0
    rpm_to: float = c.IDLE_RPM
    rpm_s: float = 0.3
    boosting: bool = False
    overrun: bool = False
    pedal: bool = False
    load_nm: float = 0.0
