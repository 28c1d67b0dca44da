"""What the channels are called on a page."""

from collections.abc import Mapping

from app.traces.trace import UNITS

LABELS: Mapping[str, str] = {
    "engine_speed": "Engine speed",
    "road_speed": "Road speed",
    "manifold_pressure": "Manifold pressure",
    "barometer": "Barometer",
    "throttle": "Throttle",
    "pedal": "Pedal",
    "air_flow": "Air flow",
    "fuel_trim_short": "Fuel trim, short-term",
    "fuel_trim_long": "Fuel trim, long-term",
    "coolant": "Coolant",
    "intake_air": "Intake air",
    "lambda": "Lambda",
    "boost_duty": "Boost solenoid, duty",
    "gear": "Gear",
}
"""Channel -> what a person calls it; one the program does not know keeps its own name."""


def label_of(channel: str) -> str:
    """What a channel is called."""
    return LABELS.get(channel, channel)


def unit_of(channel: str) -> str:
    """The unit a channel is kept in, as printed; nothing for one that has none, or that the program does not know."""
    unit = UNITS.get(channel, "")
    return "" if unit == "1" else unit
