"""What the bytes of a generic data stream mean (SAE J1979, ISO 15031-5, service 01). Scalings from memory.

A data byte or two make one whole number; most loggers write it scaled already, some as it came.
"""

from collections.abc import Mapping

#: Channel -> how much one count is in the channel's unit, and what a count of nought is.
RAW: Mapping[str, tuple[float, float]] = {
    "engine_speed": (1 / 4, 0),  # 0x0C, two bytes
    "road_speed": (1, 0),  # 0x0D
    "manifold_pressure": (1, 0),  # 0x0B, kPa absolute
    "barometer": (1, 0),  # 0x33, kPa absolute, of the place and not reduced to the sea
    "throttle": (100 / 255, 0),  # 0x11
    "pedal": (100 / 255, 0),  # 0x49
    "air_flow": (1 / 100, 0),  # 0x10, two bytes
    "fuel_trim_short": (100 / 128, -100),  # 0x06
    "fuel_trim_long": (100 / 128, -100),  # 0x07
    "coolant": (1, -40),  # 0x05
    "intake_air": (1, -40),  # 0x0F
    "lambda": (2 / 65536, 0),  # 0x44, two bytes
}
#: Which parameter is which channel.
PARAMETERS: Mapping[int, str] = {
    0x05: "coolant",
    0x06: "fuel_trim_short",
    0x07: "fuel_trim_long",
    0x0B: "manifold_pressure",
    0x0C: "engine_speed",
    0x0D: "road_speed",
    0x0F: "intake_air",
    0x10: "air_flow",
    0x11: "throttle",
    0x33: "barometer",
    0x44: "lambda",
    0x49: "pedal",
}
#: Pressure in 0x0B ends where its one byte does, kPa absolute: a manifold above it reads 255.
CEILING_KPA = 255.0


def scaled(parameter: int, *data: int, declared_maximum: float = 0) -> float:
    """A parameter's figure in its channel's unit, of its data bytes A, B.

    `declared_maximum` is what 0x4F (its byte D times 10 kPa, for 0x0B) or 0x50 (byte A times 10 g/s, for 0x10) say the
    largest figure is; 0 leaves the usual scale. Raises KeyError for a parameter that is no channel of ours.
    """
    channel = PARAMETERS[parameter]
    whole = 0
    for byte in data:
        whole = whole * 256 + byte
    times, plus = RAW[channel]
    if declared_maximum:
        times = declared_maximum / (256 ** len(data) - 1)
    return whole * times + plus
