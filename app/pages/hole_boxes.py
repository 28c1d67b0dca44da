"""The boxes of the page of a leak's size, read: figures in the units it is reckoned in, and how fine each is."""

import re
from collections.abc import Mapping

from pydantic import TypeAdapter, ValidationError

from app.pages.hole_words import ABSOLUTE_KPA, LIMITS, SAYS, SECONDS, SIGNS, SUPPOSED, TRIM_STEP, WEATHER_KPA, About
from app.pages.words import number
from app.records.fields import Number
from app.workings.leak_hold import ISOTHERMAL_FROM_S, LONG_RISE_C, SHORT_RISE_C
from app.workings.leak_size import Figure, Gauge
from app.workings.units import MassFlowUnit, PressureUnit

_FIGURE: TypeAdapter[float] = TypeAdapter(Number)
_DIGITS = re.compile(r"[+-]?\d*\.?(\d*)(?:e([+-]?\d{1,3}))?", re.IGNORECASE)
_KPA = {unit.value: unit.si_per_unit / 1e3 for unit in PressureUnit}
_GS = {unit.value: unit.si_per_unit * 1e3 for unit in MassFlowUnit}


def half_a_digit(text: str) -> float:
    """Half of the last digit that was written: 19.5 was read to 0.05 either way, 20 to a half."""
    plain = text.replace(" ", "").replace("\N{NO-BREAK SPACE}", "").replace("\N{MINUS SIGN}", "-").replace(",", ".")
    found = _DIGITS.fullmatch(plain)
    if not found:
        return 0.5
    return 0.5 * 10.0 ** (int(found[2] or 0) - len(found[1]))


class Boxes:
    """What was typed; collects what is wrong with it, and what had to be supposed."""

    def __init__(self, typed: Mapping[str, str], about: About) -> None:
        """Nothing is read yet."""
        self._typed = typed
        self._about = about
        self.wrong: dict[str, str] = {}
        self.supposed: list[str] = []

    def text(self, name: str) -> str:
        """What stands in a box."""
        return self._typed.get(name, "").strip()

    def read(self, name: str) -> Figure | None:
        """A figure with half its last digit; None where there is none, or it is wrong."""
        text = self.text(name)
        if not text:
            return None
        try:
            value = _FIGURE.validate_python(text)
        except ValidationError:
            self.wrong[name] = SAYS["number"]
            return None
        low, high = LIMITS[name]
        if not low <= value <= high:
            self.wrong[name] = SAYS["limits"].format(low=number(low), high=number(high))
            return None
        return Figure(value, half_a_digit(text))

    def figure(self, name: str) -> Figure | None:
        """The same, of a box that has to be above nought even at the least it may have been."""
        found = self.read(name)
        return found and Figure(found.value, min(found.within, found.value / 2))

    def or_supposed(self, name: str, of: str = "") -> Figure:
        """The figure of a box, or what is supposed instead (of the name `of`), which is then told."""
        found = self.read(name)
        if found is not None or name in self.wrong:
            return found or Figure(0.0)
        value, within, what, unit = SUPPOSED[of or name]
        return self.suppose(Figure(value, within), what, unit)

    def suppose(self, figure: Figure, what: str, unit: str) -> Figure:
        """Note that a figure was supposed."""
        self.supposed.append(f"{what} {number(figure.value, 0)} ± {number(figure.within, 0)} {unit}")
        return figure

    def air(self) -> Figure:
        """The pressure of the air around, kPa: as typed, or a standard day's at the car's height."""
        found = self.read("air")
        if found is not None or "air" in self.wrong:
            return found or Figure(self._about.air_kpa)
        return self.suppose(Figure(self._about.air_kpa, WEATHER_KPA), "air around", "kPa")

    def pressure(self, name: str, air: Figure) -> Gauge | None:
        """A gauge's figure, kPa. `give`, where filled in, is how far off any of them may be."""
        found, give = self.read(name), self.read("give")
        if found is None:
            return None
        one, sign = _KPA.get(self.text("unit"), 1.0), SIGNS.get(self.text("basis"), 0)
        within = found.within if give is None else give.value
        gauge = Gauge(Figure(found.value * one, within * one), 1 if sign > 0 else -1 if sign < 0 else 0)
        low, high = ABSOLUTE_KPA
        if not low <= gauge.absolute(gauge.figure.value, air.value) <= high:
            self.wrong[name] = SAYS["pressure"]
            return None
        return gauge

    def airflow(self) -> Figure | None:
        """The meter's figure, g/s."""
        found = self.figure("airflow")
        one = _GS.get(self.text("airflow_unit"), 1.0)
        return found and Figure(found.value * one, found.within * one)

    def trim(self, name: str) -> Figure | None:
        """A fuel trim, %: never finer than its step."""
        found = self.read(name)
        return found and Figure(found.value, max(found.within, TRIM_STEP))

    def usual_trim(self) -> Figure:
        """What trims add up to while the car is healthy, and how far they wander."""
        found, wander = self.trim("trim"), self.read("wander")
        if found is None:
            return self.or_supposed("trim")
        return found if wander is None else Figure(found.value, max(found.within, wander.value))

    def took(self) -> Figure | None:
        """How long it took, s."""
        found = self.figure("took")
        one = SECONDS.get(self.text("took_unit"), 1)
        return found and Figure(found.value * one, found.within * one)

    def temperatures(self, seconds: float) -> tuple[Figure, Figure]:
        """The temperature at the start, and how much warmer it was at the end, °C."""
        first, last = self.read("start"), self.read("end")
        if first is not None and last is not None:
            return first, Figure(last.value - first.value, first.within + last.within)
        rise = LONG_RISE_C if seconds >= ISOTHERMAL_FROM_S else SHORT_RISE_C
        return self.or_supposed("start"), self.suppose(Figure(0.0, rise), "change of temperature", "°C")
