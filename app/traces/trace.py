"""A trace: what one logger noted of one drive, every channel on one clock.

SI-near inside, so that no unit has to be carried along: see `UNITS`. A figure the logger did not note is NaN.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.float64]

UNITS: Mapping[str, str] = {
    "engine_speed": "rpm",
    "road_speed": "km/h",
    "manifold_pressure": "kPa absolute",
    "barometer": "kPa absolute",
    "throttle": "%",
    "pedal": "%",
    "air_flow": "g/s",
    "fuel_trim_short": "%",
    "fuel_trim_long": "%",
    "coolant": "°C",
    "intake_air": "°C",
    "lambda": "1",
    "boost_duty": "%",
    "gear": "1",
}
"""The channels the program knows the meaning of, and the unit each is kept in. Others may stand in a trace by the
name the file gives them; nothing is reckoned from those."""


@dataclass(frozen=True, slots=True)
class Trace:
    """One drive: `at`, seconds since its first sample, never falling; `channels`, each as long as `at`."""

    at: Samples
    channels: Mapping[str, Samples] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Refuse channels of another length than the clock. Raises ValueError."""
        if wrong := [name for name, of in self.channels.items() if of.shape != self.at.shape]:
            raise ValueError(f"Not as long as the clock: {', '.join(wrong)}")

    @property
    def seconds(self) -> float:
        """How long it lasts, s; 0 for a trace of nothing."""
        return float(self.at[-1] - self.at[0]) if self.at.size else 0.0

    def has(self, *names: str) -> bool:
        """Whether it holds all these channels with at least one figure in each."""
        return all(name in self.channels and bool(np.isfinite(self.channels[name]).any()) for name in names)
