"""Air through a pipe: how fast it goes, how near to sound, and what pressure a straight run costs; air for a power.

SI inside; the arguments carry their units in their names. Pressures are absolute. Air is dry and an ideal gas.
Bends, steps and couplers are in none of this: it is the straight, smooth-ended pipe alone.
"""

from dataclasses import dataclass
from math import inf, isfinite, log, log10, pi, sqrt

GAMMA = 1.4
"""Ratio of the specific heats of air, U.S. Standard Atmosphere 1976."""

_GAS_CONSTANT = 287.05287  # J/(kg·K), dry air, U.S. Standard Atmosphere 1976
_KELVIN = 273.15
_SUTHERLAND_BETA, _SUTHERLAND_S = 1.458e-6, 110.4  # kg/(s·m·K^½) and K, U.S. Standard Atmosphere 1976
_LAMINAR = 2300.0  # Reynolds number up to which flow in a pipe stays smooth
_CLOSE_ENOUGH = 1e-13
_MOST_STEPS = 200


class ImpossibleFlow(ValueError):
    """No such pipe, or more air than fits through it; the message is a plain sentence."""


@dataclass(frozen=True, slots=True)
class Air:
    """Air in a pipe: kPa absolute and °C. Raises ImpossibleFlow at or below nothing of either."""

    pressure_kpa: float
    temperature_c: float

    def __post_init__(self) -> None:
        """Refuse what air can't be."""
        if not (isfinite(self.pressure_kpa) and self.pressure_kpa > 0):
            raise ImpossibleFlow(f"Air can't be at {self.pressure_kpa:g} kPa absolute.")
        if not (isfinite(self.temperature_c) and self.kelvin > 0):
            raise ImpossibleFlow(f"Air can't be at {self.temperature_c:g} °C.")

    @property
    def kelvin(self) -> float:
        """Its temperature, K."""
        return self.temperature_c + _KELVIN

    @property
    def density(self) -> float:
        """kg/m³, ideal gas."""
        return self.pressure_kpa * 1e3 / (_GAS_CONSTANT * self.kelvin)

    @property
    def viscosity(self) -> float:
        """Pa·s: Sutherland's formula with the constants of the U.S. Standard Atmosphere 1976."""
        return float(_SUTHERLAND_BETA * self.kelvin**1.5 / (self.kelvin + _SUTHERLAND_S))

    @property
    def sound_ms(self) -> float:
        """Speed of sound, m/s: √(γRT)."""
        return sqrt(GAMMA * _GAS_CONSTANT * self.kelvin)


@dataclass(frozen=True, slots=True)
class Pipe:
    """A straight, round pipe: bore and length in mm, roughness of its wall in µm (1.5 for a smooth drawn one).

    Raises ImpossibleFlow for a bore or a length that is not above zero, or a negative roughness.
    """

    bore_mm: float
    length_mm: float
    roughness_um: float = 1.5

    def __post_init__(self) -> None:
        """Refuse what no pipe is."""
        for what, figure in (("bore", self.bore_mm), ("length", self.length_mm)):
            if not (isfinite(figure) and figure > 0):
                raise ImpossibleFlow(f"A pipe's {what} can't be {figure:g} mm.")
        if not (isfinite(self.roughness_um) and self.roughness_um >= 0):
            raise ImpossibleFlow(f"A wall's roughness can't be {self.roughness_um:g} µm.")

    @property
    def area_m2(self) -> float:
        """What air passes through."""
        return pi * (self.bore_mm / 1e3) ** 2 / 4


@dataclass(frozen=True, slots=True)
class PipeFlow:
    """What a pipe does to the air in it: at its start, and from there to its end.

    `loss_kpa` is of the straight run, isothermal; `dynamic_pa` is ½ρV², what a step or an elbow takes a share of.
    """

    speed_ms: float
    mach: float
    reynolds: float
    friction: float
    loss_kpa: float
    dynamic_pa: float


def flow(mass_g_s: float, air: Air, pipe: Pipe) -> PipeFlow:
    """Air of `mass_g_s` entering a pipe.

    V = ṁ/(ρA), M = V/√(γRT), Re = ρVD/μ; friction by Colebrook and White; loss of the isothermal pipe,
    p1² - p2² = (ṁ/A)² RT (fL/D + 2 ln(p1/p2)).

    Raises ImpossibleFlow for a flow not above zero, and where the pipe can't pass that much.
    """
    if not (isfinite(mass_g_s) and mass_g_s > 0):
        raise ImpossibleFlow(f"{mass_g_s:g} g/s is no flow.")
    bore_m = pipe.bore_mm / 1e3
    speed = mass_g_s / 1e3 / (air.density * pipe.area_m2)
    reynolds = air.density * speed * bore_m / air.viscosity
    friction = friction_factor(reynolds, pipe.roughness_um / 1e3 / pipe.bore_mm)
    loss = _isothermal_loss_kpa(mass_g_s, air, pipe, friction)
    return PipeFlow(speed, speed / air.sound_ms, reynolds, friction, loss, air.density * speed**2 / 2)


def friction_factor(reynolds: float, relative_roughness: float) -> float:
    """Darcy's friction factor (four times Fanning's): 64/Re up to Re 2300, above it Colebrook and White's.

    1/√f = -2 log10(ε/(3.7 D) + 2.51/(Re √f)). Between 2300 and 4000 real flow wanders between the two; the greater
    is the one to reckon with. Raises ImpossibleFlow for a Reynolds number not above zero.
    """
    if not reynolds > 0:
        raise ImpossibleFlow(f"A Reynolds number can't be {reynolds:g}.")
    if reynolds <= _LAMINAR:
        return 64 / reynolds
    root = 8.0  # 1/√f; the right side hardly moves with it, so that going round closes in quickly
    for _ in range(_MOST_STEPS):
        before, root = root, -2 * log10(relative_roughness / 3.7 + 2.51 * root / reynolds)
        if abs(root - before) <= _CLOSE_ENOUGH * root:
            break
    return 1 / root**2


def fanno_length(mach: float, gamma: float = GAMMA) -> float:
    """How long a pipe of this friction may be before the air in it reaches the speed of sound: f L*/D, Darcy's f.

    Tables print the same figure as 4 f L*/D with Fanning's f. (1-M²)/(γM²) + (γ+1)/(2γ) ln[(γ+1)M²/(2+(γ-1)M²)].
    Raises ImpossibleFlow for a Mach number not above zero.
    """
    if not mach > 0:
        raise ImpossibleFlow(f"A Mach number can't be {mach:g}.")
    square = mach**2
    share = (gamma + 1) * square / (2 + (gamma - 1) * square)
    return (1 - square) / (gamma * square) + (gamma + 1) / (2 * gamma) * log(share)


def airflow_for_power(power_kw: float, consumption_g_kwh: float, air_fuel_ratio: float) -> float:
    """Air in g/s that an engine breathes at `power_kw` at its crankshaft.

    Fuel is power x specific consumption (g/kWh), air is fuel x air-fuel ratio by mass: what both words mean.
    Raises ImpossibleFlow for a figure not above zero.
    """
    for figure in (power_kw, consumption_g_kwh, air_fuel_ratio):
        if not (isfinite(figure) and figure > 0):
            raise ImpossibleFlow(f"Power, consumption and air-fuel ratio have to be above zero, and {figure:g} is not.")
    return power_kw * consumption_g_kwh / 3600 * air_fuel_ratio


def _isothermal_loss_kpa(mass_g_s: float, air: Air, pipe: Pipe, friction: float) -> float:
    p1 = air.pressure_kpa * 1e3
    flux = mass_g_s / 1e3 / pipe.area_m2
    # The flow can expand no further than to where its speed is that of sound without its γ: p = flux √(RT).
    drive, lowest = flux**2 * _GAS_CONSTANT * air.kelvin, flux * sqrt(_GAS_CONSTANT * air.kelvin)
    long = friction * pipe.length_mm / pipe.bore_mm
    if lowest >= p1 or p1**2 - lowest**2 < drive * (long + 2 * log(p1 / lowest)):
        raise ImpossibleFlow(f"{mass_g_s:.0f} g/s is more than a {pipe.bore_mm:g} mm pipe can pass.")
    p2, before = p1, inf
    for _ in range(_MOST_STEPS):
        if abs(p2 - before) <= _CLOSE_ENOUGH * p1:
            break
        before, p2 = p2, _newton(p2, p1, drive, long)
    return (p1 - p2) / 1e3


def _newton(p2: float, p1: float, drive: float, long: float) -> float:
    off = p1**2 - p2**2 - drive * (long + 2 * log(p1 / p2))
    return p2 - off / (-2 * p2 + 2 * drive / p2)
