"""Generic trouble codes by what they mean, gathered in groups that each count once.

Meanings follow SAE J2012 (DEC2007) / ISO 15031-6, from memory: the tables are sold and were not read. A code says
that a test failed, not which part did; "low" and "high" of a circuit are electrical.
"""

import re
from collections.abc import Iterable

#: The reading "the computer holds no code", an outcome like any group.
NO_CODES = "no_codes"

GROUP_LABEL: dict[str, str] = {
    NO_CODES: "no trouble code is stored",
    "lean": "a code for a lean mixture",
    "lean_load": "a code for a lean mixture under load",
    "rich": "a code for a rich mixture",
    "underboost": "a code for too little boost",
    "overboost": "a code for too much boost",
    "solenoid_circuit": "a code for the boost control solenoid's circuit",
    "actuator_position": "a code for the boost actuator's position",
    "diverter_circuit": "a code for the diverter control circuit",
    "diverter_stuck": "a code for a diverter valve that sticks",
    "airflow": "a code for the airflow meter",
    "pressure": "a code for a pressure sensor",
    "correlation": "a code for airflow, pressure and throttle that do not agree",
    "air_leak": "a code for an inlet air leak",
    "leak_before_throttle": "a code for an air leak between meter and throttle",
    "inlet_restricted": "a code for restricted inlet air",
    "evap": "a code for the fuel vapour system",
    "idle": "a code for idle speed",
    "crankcase": "a code for the crankcase breather",
    "misfire": "a code for a misfire",
    "servo_vacuum": "a code for brake servo vacuum",
    "fuel_pressure": "a code for fuel pressure",
    "power_held": "a code for power held back",
    "throttle": "a code for the throttle's drive or position",
    "knock": "a code for the knock sensor",
    "valve_timing": "a code for valve timing",
    "elsewhere": "a code for something beside the air path",
}


def _span(first: int, last: int) -> tuple[str, ...]:
    return tuple(f"P{number:04X}" for number in range(first, last + 1) if f"{number:04X}".isdigit())


_GROUPS: dict[str, tuple[str, ...]] = {
    "lean": ("P0171", "P0174", "P2187", "P2189"),
    "lean_load": ("P2177", "P2179", "P2191", "P2193"),
    "rich": ("P0172", "P0175", "P2188", "P2190", "P2178", "P2180", "P2192", "P2194"),
    "underboost": ("P0299", "P2262", "P2263"),
    "overboost": ("P0234",),
    "solenoid_circuit": ("P0243", "P0244", "P0245", "P0246", "P0045", "P0046", "P0047", "P0048"),
    "actuator_position": ("P003A", "P2562", "P2563", "P2564", "P2565"),
    "diverter_circuit": ("P0033", "P0034", "P0035"),
    "diverter_stuck": ("P2261",),
    "airflow": ("P0100", "P0101", "P0102", "P0103", "P0104"),
    "pressure": ("P0069", *_span(0x0105, 0x0109), *_span(0x0235, 0x0242), *_span(0x2226, 0x2230)),
    "correlation": ("P0068",),
    "air_leak": ("P2279", "P2282"),
    "leak_before_throttle": ("P2281",),
    "inlet_restricted": ("P2280",),
    "evap": (*_span(0x0440, 0x0459), "P0496", "P0497", "P0498", "P0499"),
    "idle": ("P0505", "P0506", "P0507"),
    "crankcase": ("P04DB", "P04DC"),
    "misfire": _span(0x0300, 0x0312),
    "servo_vacuum": ("P050F", *_span(0x0555, 0x0559)),
    "fuel_pressure": ("P0087", "P0088", *_span(0x0190, 0x0194)),
    "power_held": ("P2104", "P2105", "P2106", "P2110"),
    "throttle": (*_span(0x0120, 0x0124), *_span(0x0220, 0x0223), *_span(0x2100, 0x2103), "P2135", "P2138"),
    "knock": _span(0x0324, 0x0334),
    "valve_timing": (*_span(0x0010, 0x0026), *_span(0x0335, 0x0349), *_span(0x0365, 0x0369)),
    "elsewhere": (
        *_span(0x0115, 0x0119),  # coolant temperature
        "P0125",
        "P0128",
        *_span(0x0130, 0x0167),  # oxygen sensors
        *_span(0x0201, 0x0212),  # injector circuits
        *_span(0x0350, 0x0362),  # ignition coils
        *_span(0x0380, 0x0384),  # glow plugs
        *_span(0x0400, 0x0409),  # exhaust gas recirculation
        *_span(0x0420, 0x0424),  # catalysts
        *_span(0x0430, 0x0434),
        *_span(0x0500, 0x0503),  # road speed
        *_span(0x2002, 0x2003),  # soot filter
        *_span(0x2452, 0x2463),
    ),
}

#: Which group a code belongs to.
GROUP_OF: dict[str, str] = {code: group for group, members in _GROUPS.items() for code in members}

#: The groups in a fixed order, "no codes" first: the outcomes of the sign `codes`.
GROUPS: tuple[str, ...] = tuple(GROUP_LABEL)

#: The standard's second character is 0 to 3; a reader that shows another is kept word for word, and not used.
_CODE = re.compile(r"[PBCU][0-9A-F]{4}")


def is_code(text: str) -> bool:
    """Whether `text` has the shape of a trouble code (a letter and four hex digits), such as P0171."""
    return _CODE.fullmatch(text) is not None


def sort_codes(codes: Iterable[str]) -> tuple[tuple[tuple[str, tuple[str, ...]], ...], tuple[str, ...]]:
    """Split codes into (group, its codes) pairs, each group once, and the codes that nothing here can use."""
    groups: dict[str, list[str]] = {}
    unused: list[str] = []
    for code in dict.fromkeys(code.strip().upper() for code in codes):
        group = GROUP_OF.get(code)
        if group is None:
            unused.append(code)
        else:
            groups.setdefault(group, []).append(code)
    return tuple((group, tuple(members)) for group, members in groups.items()), tuple(unused)
