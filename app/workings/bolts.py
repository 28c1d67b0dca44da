"""Bolts: stress area, proof load, what a torque clamps with, and how much of the proof load that is.

Metric ISO threads. Diameters and pitches in mm and areas in mm², as the standards' tables have them; loads in N,
stresses in N/mm² (MPa), torques in N·m.
"""

import re
from dataclasses import dataclass
from math import isfinite, pi

#: Coarse pitches in mm by nominal diameter (ISO 724's coarse series).
COARSE_MM = {5.0: 0.8, 6.0: 1.0, 8.0: 1.25, 10.0: 1.5, 12.0: 1.75, 14.0: 2.0, 16.0: 2.0}

#: Proof stress in N/mm² by strength class: up to 16 mm, and above. EN ISO 898-1:2013, property table.
PROOF_MPA = {
    "4.6": (225.0, 225.0),
    "5.6": (280.0, 280.0),
    "5.8": (380.0, 380.0),
    "6.8": (440.0, 440.0),
    "8.8": (580.0, 600.0),
    "9.8": (650.0, 650.0),
    "10.9": (830.0, 830.0),
    "12.9": (970.0, 970.0),
}

#: Least ultimate stress in N/mm², up to 16 mm. EN ISO 898-1:2013, property table.
ULTIMATE_MPA = {
    "4.6": 400.0,
    "5.6": 500.0,
    "5.8": 520.0,
    "6.8": 600.0,
    "8.8": 800.0,
    "9.8": 900.0,
    "10.9": 1040.0,
    "12.9": 1220.0,
}

#: The nut factors between which a figure is given: as delivered and dry, and oiled. From memory (T = K d F, Shigley).
DRY, OILED = 0.20, 0.15

#: Of the proof load; what a bolt that comes off again is commonly tightened to. (Common practice, no source.)
USUAL_SHARE = 0.75

_THREAD = re.compile(r"[Mm]\s*(\d{1,2}(?:[.,]\d{1,2})?)(?:\s*[xX×*]\s*(\d(?:[.,]\d{1,3})?))?")
_LARGEST_MM = 64.0
_THICK_MM = 16.0


class ImpossibleBolt(ValueError):
    """A thread, class or load no bolt can have; the message is a plain sentence."""


@dataclass(frozen=True, slots=True)
class Thread:
    """A metric thread: nominal diameter and pitch, in mm."""

    diameter_mm: float
    pitch_mm: float

    @property
    def label(self) -> str:
        """As it is written: M10×1.5."""
        return f"M{self.diameter_mm:g}×{self.pitch_mm:g}"


def thread_named(text: str) -> Thread:
    """Read a thread as it is written: M10, M12x1.5. Without a pitch it is the coarse one.

    Raises ImpossibleBolt for what is no metric thread, or a coarse pitch that is not in the table.
    """
    found = _THREAD.fullmatch(text.strip())
    if found is None:
        raise ImpossibleBolt("Write a metric thread, such as M10 or M12x1.5.")
    diameter = float(found[1].replace(",", "."))
    pitch = float(found[2].replace(",", ".")) if found[2] else COARSE_MM.get(diameter, 0.0)
    if pitch <= 0:
        raise ImpossibleBolt(f"Write the pitch of M{diameter:g}, too: M{diameter:g}x1.5.")
    if not 1.0 <= diameter <= _LARGEST_MM or pitch > diameter / 3:
        raise ImpossibleBolt(f"There is no thread M{diameter:g}x{pitch:g}.")
    return Thread(diameter, pitch)


def stress_area(thread: Thread) -> float:
    """Give the nominal stress area in mm²: π/4 ((d2 + d3)/2)², d2 = d - 0.6495 P, d3 = d - 1.2269 P.

    EN ISO 898-1:2013, with the diameters of ISO 724.
    """
    flank = thread.diameter_mm - 0.6495 * thread.pitch_mm
    root = thread.diameter_mm - 1.2269 * thread.pitch_mm
    return pi / 4 * ((flank + root) / 2) ** 2


def proof_stress(strength_class: str, thread: Thread) -> float:
    """Give the stress a class must bear without staying longer, in N/mm². EN ISO 898-1:2013, property table.

    Raises ImpossibleBolt for a class that is not in the table here.
    """
    if strength_class not in PROOF_MPA:
        raise ImpossibleBolt(f"Only the classes {', '.join(PROOF_MPA)} can be worked out here.")
    return PROOF_MPA[strength_class][thread.diameter_mm > _THICK_MM]


def proof_load(strength_class: str, thread: Thread) -> float:
    """Give the proof load in N: stress area times proof stress. The standard's own table rounds it.

    Errors as `proof_stress`.
    """
    return stress_area(thread) * proof_stress(strength_class, thread)


def ultimate_load(strength_class: str, thread: Thread) -> float:
    """Give the least load in N at which a bolt up to 16 mm breaks. EN ISO 898-1:2013.

    Raises ImpossibleBolt for a class that is not in the table here, or a thicker bolt.
    """
    if strength_class not in ULTIMATE_MPA or thread.diameter_mm > _THICK_MM:
        raise ImpossibleBolt("Only the classes 4.6 to 12.9 up to 16 mm can be worked out here.")
    return stress_area(thread) * ULTIMATE_MPA[strength_class]


def preload(torque_nm: float, thread: Thread, nut_factor: float) -> float:
    """Give what a torque clamps with, in N: F = T/(K d), the short form of the torque equation (Shigley, from memory).

    Raises ImpossibleBolt for a torque or a nut factor not above zero.
    """
    _require_above_zero(torque_nm, "The torque")
    _require_above_zero(nut_factor, "The nut factor")
    return torque_nm / (nut_factor * thread.diameter_mm * 1e-3)


def torque_for(load_n: float, thread: Thread, nut_factor: float) -> float:
    """Give the torque in N·m that clamps with a load in N: T = K d F. Source and errors as `preload`."""
    _require_above_zero(load_n, "The load")
    _require_above_zero(nut_factor, "The nut factor")
    return nut_factor * thread.diameter_mm * 1e-3 * load_n


def nut_factor_of(torque_nm: float, load_n: float, thread: Thread) -> float:
    """Give the nut factor that a torque and the load it makes imply: K = T/(F d). Errors as `preload`."""
    _require_above_zero(torque_nm, "The torque")
    _require_above_zero(load_n, "The load")
    return torque_nm / (load_n * thread.diameter_mm * 1e-3)


@dataclass(frozen=True, slots=True)
class Clamped:
    """What a torque does to a bolt at one nut factor: the load it clamps with in N, and its share of the proof load."""

    nut_factor: float
    load_n: float
    share: float


def clamped(torque_nm: float, strength_class: str, thread: Thread, nut_factor: float) -> Clamped:
    """Work out what a torque in N·m does to a bolt. Errors as `preload` and `proof_stress`."""
    load = preload(torque_nm, thread, nut_factor)
    return Clamped(nut_factor, load, load / proof_load(strength_class, thread))


def _require_above_zero(figure: float, what: str) -> None:
    if not isfinite(figure) or figure <= 0:
        raise ImpossibleBolt(f"{what} has to be above zero.")
