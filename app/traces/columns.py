"""What a column's name says: which channel it is, and in which unit. Words and abbreviations in common use.

The long names are those of the parameters of SAE J1979 as tools print them; the short ones are the trade's. From
memory and common practice, no source.
"""

import re
from collections.abc import Iterable, Mapping, Sequence

from app.traces.file_form import OWN, Column
from app.traces.j1979 import PARAMETERS
from app.traces.units import units_for

#: Channel -> what it is called, apart by bars: words that all stand in the name. Whichever is most words decides.
_NAMES: Mapping[str, Sequence[str]] = {
    channel: names.split("|")
    for channel, names in {
        "engine_speed": "rpm|engine speed|engine rpm|revs|engine revolutions|crankshaft speed",
        "road_speed": "speed|vehicle speed|vehicle speed sensor|road speed|vss|gps speed|velocity|kph|kmh|mph",
        "manifold_pressure": "map|manifold pressure|manifold absolute pressure|intake manifold absolute pressure|"
        "intake manifold pressure|intake pressure|inlet pressure|boost|boost pressure|charge pressure|"
        "charge air pressure|manifold vacuum|vacuum",
        "barometer": "baro|barometer|barometric pressure|ambient pressure|atmospheric pressure",
        "throttle": "throttle|tps|throttle position|absolute throttle position|throttle angle",
        "pedal": "pedal|app|accelerator|accelerator pedal position|pedal position|accel pedal",
        "air_flow": "maf|air flow|airflow|mass air flow|air flow rate|mass airflow|air mass",
        "fuel_trim_short": "stft|stft1|short term fuel trim|short fuel trim|short trim",
        "fuel_trim_long": "ltft|ltft1|long term fuel trim|long fuel trim|long trim",
        "coolant": "ect|clt|coolant|coolant temp|engine coolant temperature|water temp|engine temp",
        "intake_air": "iat|intake air temperature|intake air temp|intake temp|inlet air temp|air temp|inlet temp|"
        "charge temp|charge air temp|charge air temperature|air charge temperature|intake temperature",
        "lambda": "lambda|afr|air fuel ratio|equivalence ratio|wideband|o2 lambda|air fuel",
        "boost_duty": "boost duty|wastegate duty|wastegate duty cycle|boost solenoid duty|boost control duty|"
        "wastegate solenoid duty cycle|boost control solenoid duty cycle",
        "gear": "gear|current gear|gear position|actual gear|transmission gear",
    }.items()
}
#: A word beside the name that makes it something else: what is asked for, of another bank, of the gearbox, of a wheel.
_OTHERS = frozenset(
    (
        *("target", "desired", "commanded", "request", "requested", "setpoint", "error", "limit", "max", "min"),
        *("bank2", "b2", "b1s2", "oil", "fuel", "exhaust", "egt", "transmission", "gearbox", "battery", "ratio"),
        *("acceleration", "accel", "avg", "average", "delta", "outside", "wheel"),
    )
)
_TIME = frozenset(
    ("time", "timestamp", "seconds", "sec", "elapsed", "clock", "datetime", "ms", "t", "times", "millis", "date")
)
#: How units are written, in small letters without spaces -> the unit's key.
_UNITS: Mapping[str, str] = {
    **dict.fromkeys(("rpm", "1/min", "min-1", "r/min", "u/min", "/min"), "rpm"),
    **dict.fromkeys(("1/s", "rps", "hz"), "1/s"),
    **dict.fromkeys(("km/h", "kmh", "kph", "kmph", "km/hr"), "km/h"),
    **dict.fromkeys(("mph", "mi/h"), "mph"),
    **dict.fromkeys(("m/s", "mps"), "m/s"),
    **dict.fromkeys(("kpa", "kpaa", "kpaabs"), "kPa"),
    **dict.fromkeys(("psi", "lb/in2", "lbf/in2"), "psi"),
    **dict.fromkeys(("bar",), "bar"),
    **dict.fromkeys(("mbar", "hpa"), "mbar"),
    **dict.fromkeys(("inhg", '"hg', "in.hg", "inchhg"), "inHg"),
    **dict.fromkeys(("mmhg", "torr"), "mmHg"),
    **dict.fromkeys(("inh2o",), "inH2O"),
    **dict.fromkeys(("psig", "psi(g)", "psigauge"), "psi gauge"),
    **dict.fromkeys(("barg", "bargauge", "bar(g)"), "bar gauge"),
    **dict.fromkeys(("kpag", "kpa(g)", "kpagauge"), "kPa gauge"),
    **dict.fromkeys(("psia", "psi(a)"), "psi"),
    **dict.fromkeys(("bara", "bar(a)"), "bar"),
    **dict.fromkeys(("%", "pct", "percent", "perc"), "%"),
    **dict.fromkeys(("g/s", "gps", "g/sec", "gm/s", "grams/sec"), "g/s"),
    **dict.fromkeys(("kg/h", "kg/hr", "kgh"), "kg/h"),
    **dict.fromkeys(("lb/min", "lbs/min"), "lb/min"),
    **dict.fromkeys(("c", "°c", "degc", "celsius", "deg.c"), "degC"),
    **dict.fromkeys(("f", "°f", "degf", "fahrenheit", "deg.f"), "degF"),
    **dict.fromkeys(("lambda", "λ"), "1"),
    **dict.fromkeys(("afr", "a/f", ":1"), "afr petrol"),
    **dict.fromkeys(("s", "sec", "secs", "second", "seconds"), "s"),
    **dict.fromkeys(("ms", "msec", "millis", "milliseconds"), "ms"),
    **dict.fromkeys(("hex", "raw", "bytes"), "raw hex"),
}
_BRACKETS = re.compile(r"[\[({<]\s*([^\])}>]{1,16}?)\s*[\])}>]")
_PARAMETER = re.compile(r"(?:^|\b)(?:pid\s*(?:0x|01)?|0x|01\s?|\$)([0-9a-f]{2})(?:\b|$)", re.IGNORECASE)
_USUAL = {"manifold_pressure": "kPa", "barometer": "kPa", "lambda": "1", "gear": "1"}


def unit_in(text: str) -> str | None:
    """The unit a text is, by its key (`s` and `ms` for a clock's); None for a text that is no unit."""
    plain = text.strip().strip("[](){}<>").replace(" ", "").replace("\\N{DEGREE SIGN}", "°").lower()
    return _UNITS.get(plain)


def is_time(name: str) -> bool:
    """Whether a column of this name tells the time."""
    words = _words(_BRACKETS.sub(" ", name))
    return bool(words) and (words[0] in _TIME or words[-1] in {"time", "timestamp"}) and not _channel(words)


def columns_of(names: Sequence[str], units: Sequence[str] = ()) -> tuple[Column, ...]:
    """What each column of these names is. `units`: the cells of a row of units below them, if there is one.

    A channel goes to the first column that is called so. What is none of ours is kept under its own name.
    """
    found: list[Column] = []
    taken: set[str] = set()
    for place, name in enumerate(names):
        channel = channel_of(name)
        if channel in taken or channel is None:
            found.append(Column(name, OWN if name.strip() else ""))
            continue
        taken.add(channel)
        said = units[place] if place < len(units) else ""
        found.append(Column(name, channel, _unit(channel, name, said)))
    return tuple(found)


def channel_of(name: str) -> str | None:
    """The channel a column of this name is, None where it is none of ours."""
    if parameter := _PARAMETER.search(name.strip()):
        return PARAMETERS.get(int(parameter[1], 16))
    return _channel(_words(_BRACKETS.sub(" ", name)))


def guessed_unit(channel: str, unit: str, figures: Iterable[float]) -> str:
    """The unit once more, by the size of the first figures: a pressure may be a gauge's though nothing says so.

    Below 5 kPa no engine runs: a manifold's pressure that low, or below nought, is above the air around the car.
    """
    known = [one for one in figures if one == one]  # noqa: PLR0124  # NaN is no figure
    if channel == "manifold_pressure" and known:
        scale = (units_for(channel) or {})[unit]
        if not scale.gauge and min(known) * scale.times < 5:
            return unit if unit.startswith("raw") else f"{unit} gauge"
    if channel == "lambda" and unit == "1" and known and min(known) > 5:
        return "afr petrol"
    return unit


def _words(name: str) -> list[str]:
    apart = re.sub(r"(?<=[a-z0-9])(?=[A-Z])", " ", name)
    return re.findall(r"[a-z0-9]+", apart.lower())


def _channel(words: Sequence[str]) -> str | None:
    best, longest = None, 0
    here = set(words)
    for channel, names in _NAMES.items():
        for one in names:
            wanted = one.split()
            if len(wanted) >= longest and here.issuperset(wanted):
                left = here - set(wanted)
                if len(wanted) > longest and not left & _OTHERS:
                    best, longest = channel, len(wanted)
    return best


def _unit(channel: str, name: str, said: str) -> str:
    units = units_for(channel) or {}
    written = [said, *_BRACKETS.findall(name), *re.split(r"[\s_]+", name)[-1:]]
    found = next((one for one in map(unit_in, written) if one in units), None)
    words = _words(name)
    if found is None and _PARAMETER.search(name.strip()) and "raw hex" in units:
        return "raw hex"
    if found is None:
        found = _USUAL.get(channel, next(iter(units)))
    if channel == "manifold_pressure" and " " not in found:
        if "vacuum" in words and f"{found} vacuum" in units:
            return f"{found} vacuum"
        if {"boost", "gauge"} & set(words) and not {"absolute", "abs"} & set(words):
            return f"{found} gauge"
    return found
