"""The torque wrench: what to set with an extension on it, and how near is near enough."""

from dataclasses import dataclass
from math import cos, isclose, isfinite, radians

_FOLDED_BACK_DEG = 180.0


class ImpossibleTorque(ValueError):
    """A torque or a lever no wrench can have; the message is a plain sentence."""


@dataclass(frozen=True)
class Band:
    """The lowest and the highest torque that still count, in the unit of the torque they are for."""

    low: float
    high: float

    def holds(self, torque: float) -> bool:
        """Say whether a torque lies in the band, its ends included."""
        return self.low <= torque <= self.high or isclose(torque, self.low) or isclose(torque, self.high)


def wrench_setting(wanted: float, lever: float, extension: float, angle_deg: float = 0.0) -> float:
    """Give what to set on the wrench so that the fastener gets `wanted`, in the same unit of torque.

    `lever`: from the wrench's square to the mark on its handle, where the hand must pull. `extension`: from the
    square to the fastener, in the same unit of length. `angle_deg`: between extension and handle, 0 straight
    out, 90 square to it (no correction), 180 folded back.

    setting = wanted L / (L + E cos(angle)), the balance of moments; straight out as in tool makers' instructions.

    Raises ImpossibleTorque for a torque or lever not above zero, a negative extension, an angle beyond
    0 to 180, or an extension folded back past the hand.
    """
    _require_above_zero(wanted, "the torque wanted")
    _require_above_zero(lever, "the length of the wrench")
    if not isfinite(extension) or extension < 0:
        raise ImpossibleTorque(f"an extension cannot be {extension:g} long")
    if not 0.0 <= angle_deg <= _FOLDED_BACK_DEG:
        raise ImpossibleTorque(f"the extension stands at 0 to 180 degrees, not {angle_deg:g}")
    reach = lever + extension * cos(radians(angle_deg))
    if reach <= 0:
        raise ImpossibleTorque("an extension folded back past the hand on the wrench turns the fastener the wrong way")
    return wanted * lever / reach


def permissible_deviation(tool_max_nm: float | None) -> float:
    """Give the deviation ISO 6789 permits a setting wrench (Type II class A), as a fraction.

    0.04 for a wrench whose largest setting is above 10 N·m, 0.06 up to 10 N·m; 0.04, the narrower, when the
    wrench is not known (None). ISO 6789:2003 as quoted in a tool maker's manual, which prints "= 10 N·m" for the
    second, read here as "up to". Holds for a wrench in calibration.

    Raises ImpossibleTorque for a largest setting not above zero.
    """
    if tool_max_nm is None:
        return 0.04
    _require_above_zero(tool_max_nm, "the wrench's largest setting")
    return 0.04 if tool_max_nm > 10.0 else 0.06


def tolerance_band(torque: float, tool_max_nm: float | None) -> Band:
    """Give the band of `torque` plus and minus the permissible deviation, in its unit: how a workshop reads ±4 %.

    Source and errors as `permissible_deviation`; ImpossibleTorque too for a torque not above zero.
    """
    _require_above_zero(torque, "the torque")
    deviation = permissible_deviation(tool_max_nm)
    return Band(torque * (1 - deviation), torque * (1 + deviation))


def true_torque_band(setting: float, tool_max_nm: float | None) -> Band:
    """Give the torque a wrench in calibration may truly deliver at `setting`, in its unit: the strict reading of ±4 %.

    The standard takes the deviation on the testing device's value, (setting - true)/true, so that true lies
    between setting/(1 + d) and setting/(1 - d): 96.15 to 104.17 for 100 at 4 %.

    Source and errors as `tolerance_band`.
    """
    _require_above_zero(setting, "the setting")
    deviation = permissible_deviation(tool_max_nm)
    return Band(setting / (1 + deviation), setting / (1 - deviation))


def reached_ok(value: float, target: float, tool_max_nm: float | None) -> bool:
    """Say whether the torque reached is the target's, within the wrench's permissible deviation either way.

    `value` and `target` in the same unit. The part maker's own tolerance goes before this one where given.

    Errors as `tolerance_band`, for either torque.
    """
    _require_above_zero(value, "the torque reached")
    return tolerance_band(target, tool_max_nm).holds(value)


def _require_above_zero(figure: float, what: str) -> None:
    if not isfinite(figure) or figure <= 0:
        raise ImpossibleTorque(f"{what} has to be above zero, and {figure:g} is not")
