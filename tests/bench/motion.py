"""The plant in motion: one set of equations for an engine that stands, idles or pulls."""

from dataclasses import dataclass
from functools import cached_property
from math import pi, sin, sqrt

import numpy as np
from numpy.typing import NDArray

from tests.bench import constants as c
from tests.bench.gas import R_AIR, mass_flow
from tests.bench.parts import (
    clip,
    compressor_air,
    diverter_lift,
    drag,
    engine_air,
    flap_lift,
    follow,
    rotor_power,
    torque,
    vanes_shut,
)
from tests.bench.plant import OPEN_AIR, Plant
from tests.bench.setting import MOVING, Mode, Setting

Vector = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Flows:
    """What runs where at one moment, kg/s, and what the engine computer makes of it."""

    ways: tuple[float, ...]
    compressor: float
    engine: float
    metered: float
    mixture: float
    diverter: float


class Motion:
    """The equations of one plant under one setting."""

    def __init__(self, plant: Plant, setting: Setting) -> None:
        """Bind the plant's names to places once; the equations run a million times."""
        self.plant, self.setting, self.switches = plant, setting, plant.switches
        self.count = len(plant.nodes)
        self.place = {node: index for index, node in enumerate(plant.nodes)}
        self.stiffness = [plant.kpa_per_kg(node) for node in plant.nodes]
        self.at = {name: self.count + index for index, name in enumerate(MOVING)}
        self.way_at = {way.name: index for index, way in enumerate(plant.ways)}
        self.ends = [
            (self.place.get(way.a, -1), self.place.get(way.b, -1), way.one_way, way.leak, way.breathes)
            for way in plant.ways
        ]
        self.kelvin = [max(plant.kelvin(node) for node in (way.a, way.b) if node != OPEN_AIR) for way in plant.ways]
        self.fixed = [way.cda for way in plant.ways]
        if "pedal" in self.way_at:
            self.fixed[self.way_at["pedal"]] = c.PRESS_M2 if setting.pedal else 0.0
        if "purge" in self.way_at:
            self.fixed[self.way_at["purge"]] = plant.switches.purge

    def pressure(self, y: Vector | list[float], node: str) -> float:
        """A volume's pressure, kPa; the open air's when the layout has no such volume."""
        index = self.place.get(node)
        return c.AMBIENT_KPA if index is None else float(y[index])

    @cached_property
    def before_throttle(self) -> str:
        """The volume the throttle draws from."""
        return "charge" if self.plant.turbo else "inlet"

    def openings(self, y: list[float], t: float) -> tuple[list[float], float]:
        """Every way's opening now, m2, and how far the diverter valve stands open."""
        cda, way_at = self.fixed.copy(), self.way_at
        throttle = way_at["throttle"]
        if self.plant.diesel:
            cda[throttle] = c.OPEN_THROTTLE_M2
        elif self.setting.mode is Mode.IDLING:
            cda[throttle] = c.SHUT_THROTTLE_M2 + c.IDLE_AIR_M2 * self._idle_air(y)
        else:
            cda[throttle] = max(self._limited(y), c.SHUT_THROTTLE_M2)
        if self.switches.soft_inlet_kpa is not None:
            sucked = max(c.AMBIENT_KPA - self.pressure(y, "inlet"), 0.0) / self.switches.soft_inlet_kpa
            cda[way_at["filter"]] *= max(1 / (1 + sucked * sucked), c.FLATTENED)
        lift = 0.0
        if self.plant.turbo:
            self._boost_openings(y, cda)
        if "diverter" in way_at:
            lift = self._diverter(y, cda)
            cda[way_at["diverter"]] = c.DIVERTER_M2 * lift
        for index, (_, _, _, _, breathes) in enumerate(self.ends):
            if breathes and self.setting.mode is Mode.IDLING:
                cda[index] *= 1 + c.BREATHES * sin(2 * pi * c.BREATHES_HZ * t)
        return cda, lift

    def _idle_air(self, y: list[float]) -> float:
        behind = c.IDLE_RPM - y[self.at["rpm"]]
        return clip(y[self.at["idle_air"]] + c.IDLE_PROPORTIONAL * behind)

    def _limited(self, y: list[float]) -> float:
        """The throttle the driver asks for, or less where the computer holds power back or guards against overboost."""
        limit = self.switches.boost_limit_kpa
        if not self.setting.boosting:
            return self.setting.throttle_m2
        over = self.pressure(y, "manifold") - c.AMBIENT_KPA - (c.GUARD_KPA if limit is None else limit)
        return self.setting.throttle_m2 * clip(1 - over / 5.0, 0.01)

    def _boost_openings(self, y: list[float], cda: list[float]) -> None:
        at, way_at, duty = self.at, self.way_at, clip(y[self.at["solenoid"]])
        if self.plant.diesel:
            cda[way_at["source"]] *= duty
            cda[way_at["bleed"]] *= 1 - duty
            shut = clip(y[at["flap"]])
            cda[way_at["turbine"]] = c.VANES_OPEN_M2 + (c.VANES_SHUT_M2 - c.VANES_OPEN_M2) * shut
        else:
            cda[way_at["source"]] *= 1 - duty
            cda[way_at["bleed"]] *= duty
            cda[way_at["wastegate"]] = c.WASTEGATE_M2 * clip(y[at["flap"]])

    def _diverter(self, y: list[float], cda: list[float]) -> float:
        if "stored" in self.way_at:
            called = self.setting.overrun if self.switches.changeover is None else self.switches.changeover > 0.5
            cda[self.way_at["feed" if called else "stored"]] = 0.0
        if self.switches.diverter is not None:
            return self.switches.diverter
        if "signal" not in self.place:
            return 1.0 if self.setting.overrun else self.switches.diverter_seat
        charge, inlet, signal = (self.pressure(y, node) for node in ("charge", "inlet", "signal"))
        lift = diverter_lift(charge, inlet, signal, self.switches.diverter_spring)
        return max(lift, self.switches.diverter_seat)

    def flows(self, t: float, y: list[float]) -> Flows:
        """All flows at one moment."""
        cda, lift = self.openings(y, t)
        ways = []
        for (a, b, one_way, leak, _), opening, kelvin in zip(self.ends, cda, self.kelvin, strict=True):
            up = c.AMBIENT_KPA if a < 0 else y[a]
            down = c.AMBIENT_KPA if b < 0 else y[b]
            if one_way:
                lifted = leak + max(opening - leak, 0.0) * clip((up - down) / c.CHECK_LIFTS_KPA)
                ways.append(mass_flow(up, down, kelvin, lifted))
            else:
                ways.append(mass_flow(up, down, kelvin, opening))
        engine = compressor = 0.0
        if self.setting.mode is not Mode.STANDING:
            engine = engine_air(
                max(y[self.at["rpm"]], 50.0),
                self.pressure(y, "manifold"),
                self.pressure(y, "exhaust"),
                self.plant.kelvin("manifold"),
            )
        if self.plant.turbo:
            rotor = max(y[self.at["rotor_kj"]], 0.0) * 1e3
            compressor = compressor_air(
                self.pressure(y, "inlet"), self.pressure(y, "charge"), rotor, self.switches.compressor
            )
        metered = ways[self.way_at["filter"]] * self.switches.meter_gain
        return Flows(tuple(ways), compressor, engine, metered, self._mixture(y, engine, metered, ways), lift)

    def _mixture(self, y: list[float], engine: float, metered: float, ways: list[float]) -> float:
        """Lambda: the air the engine got over the air the computer fuelled."""
        if self.plant.diesel or self.setting.mode is Mode.STANDING:
            return 1.0
        if self.plant.metered:
            counted = metered
        else:
            seen = self.sensed(y) / max(self.pressure(y, "manifold"), 1.0)
            counted = engine * seen
        rail = c.REGULATOR_KPA + self.switches.regulator_share * (c.AMBIENT_KPA - self.pressure(y, "manifold"))
        fuel = max(counted, 1e-6) * (1 + y[self.at["trim"]]) * sqrt(max(rail / c.REGULATOR_KPA, 0.01))
        if "purge" in self.way_at:
            fuel += self.switches.vapour * ways[self.way_at["purge"]]
        return max(engine, 1e-6) / fuel

    def sensed(self, y: list[float]) -> float:
        """What the pressure sensor on the manifold tells the computer, kPa."""
        return self.switches.sensor_gain * self.pressure(y, "sensor") + self.switches.sensor_offset_kpa

    def derivative(self, t: float, state: Vector) -> list[float]:
        """The state's rate: pressures in kPa/s, then the moving parts."""
        y = state.tolist()
        flow = self.flows(t, y)
        gain = [0.0] * self.count
        inflow = 0.0
        for (a, b, _, _, _), kg_s in zip(self.ends, flow.ways, strict=True):
            if a >= 0:
                gain[a] -= kg_s
            else:
                inflow += kg_s
            if b >= 0:
                gain[b] += kg_s
            else:
                inflow -= kg_s
        passed = c.BLOW_BY * flow.engine
        for node, kg_s in (("manifold", -flow.engine), ("exhaust", flow.engine - passed), ("crankcase", passed)):
            gain[self.place[node]] += kg_s
        if self.plant.turbo:
            gain[self.place["inlet"]] -= flow.compressor
            gain[self.place["charge"]] += flow.compressor
        if "pump" in self.place:
            lifted = self._pumped(y)
            gain[self.place["pump"]] -= lifted
            inflow -= lifted
        rates = [kg_s * stiff for kg_s, stiff in zip(gain, self.stiffness, strict=True)]
        return rates + self._moving(y, flow, inflow)

    def _pumped(self, y: list[float]) -> float:
        if self.setting.mode is Mode.STANDING:
            return 0.0
        kpa = self.pressure(y, "pump")
        return c.PUMP_M3_S * max(kpa - c.PUMP_BEST_KPA, 0.0) * 1e3 / (R_AIR * c.AMBIENT_K)

    def _moving(self, y: list[float], flow: Flows, inflow: float) -> list[float]:
        at, setting = self.at, self.setting
        rpm = idle_air = trim = rotor = boost = solenoid = flap = 0.0
        behind = c.IDLE_RPM - y[at["rpm"]]
        if setting.mode is Mode.IDLING and not self.plant.diesel:
            spark = clip(c.SPARK_AT_REST + c.SPARK_PER_RPM * behind, c.SPARK_LEAST, 1.0) * self.switches.spark
            made = torque(flow.engine, max(y[at["rpm"]], 50.0), flow.mixture, spark)
            rpm = (made - drag(y[at["rpm"]]) - setting.load_nm) / c.INERTIA * 30 / pi
            if y[at["rpm"]] < 250 and rpm < 0:
                rpm = 0.0  # it has stalled: the scenario keeps cranking
            idle_air = self._wound(y[at["idle_air"]], c.IDLE_GAIN * behind, 0.0, 1.0)
        elif setting.mode is Mode.DRIVEN or setting.mode is Mode.IDLING:
            rpm = (setting.rpm_to - y[at["rpm"]]) / setting.rpm_s
        if setting.mode is not Mode.STANDING and not self.plant.diesel and not setting.overrun:
            trim = self._wound(
                y[at["trim"]], c.TRIM_PER_S * clip(flow.mixture - 1, -0.5, 0.5), -c.TRIM_LIMIT, c.TRIM_LIMIT
            )
        if self.plant.turbo and setting.mode is not Mode.STANDING:
            turbine = flow.ways[self.way_at["turbine"]]
            joules = max(y[at["rotor_kj"]], 0.0) * 1e3
            exhaust_k = self.plant.kelvin("exhaust") * self._fuelled(y)
            rotor = rotor_power(flow.compressor, turbine, self.pressure(y, "exhaust"), exhaust_k, joules) / 1e3
            boost, solenoid, flap = self._control(y)
        return [rpm, idle_air, trim, rotor, boost, solenoid, flap, inflow * 1e3]

    def _fuelled(self, y: list[float]) -> float:
        """A diesel has no throttle to shut against overboost: its fuel is cut, and with it the heat that drives it."""
        if not self.plant.diesel:
            return 1.0
        over = self.pressure(y, "manifold") - c.AMBIENT_KPA - c.GUARD_KPA
        return clip(1 - over / 20.0, 0.3)

    @staticmethod
    def _wound(value: float, rate: float, low: float, high: float) -> float:
        """A sum's rate, nought where it would leave its limits."""
        return 0.0 if (value <= low and rate < 0) or (value >= high and rate > 0) else rate

    def _control(self, y: list[float]) -> tuple[float, float, float]:
        at, stuck = self.at, self.switches
        target = c.TARGET_BOOST_KPA
        if self.plant.diesel:
            target = c.DIESEL_TARGET_KPA if stuck.boost_limit_kpa is None else stuck.boost_limit_kpa
        short = target + c.AMBIENT_KPA - self._boost_sensed(y)
        gain, slow = c.CONTROL_PROPORTIONAL, c.CONTROL_INTEGRAL
        if self.plant.diesel:
            gain, slow = c.VANE_PROPORTIONAL, c.VANE_INTEGRAL
        asked = clip(y[at["boost_sum"]] + gain * short) if self.setting.boosting else 0.0
        near = self.setting.boosting and (self.plant.diesel or short < c.CONTROL_NEAR_KPA)
        boost = self._wound(y[at["boost_sum"]], slow * short if near else 0.0, 0.0, 1.0)
        wanted = asked if stuck.solenoid is None else stuck.solenoid
        solenoid = follow(y[at["solenoid"]], wanted, stuck.solenoid_sticks)
        actuator = self.pressure(y, "actuator")
        lift = (
            vanes_shut(actuator)
            if self.plant.diesel
            else flap_lift(actuator, self.pressure(y, "exhaust"), stuck.wastegate_spring)
        )
        stands = lift if stuck.wastegate is None else stuck.wastegate
        return boost, solenoid, follow(y[at["flap"]], stands, stuck.wastegate_sticks)

    def _boost_sensed(self, y: list[float]) -> float:
        """Boost pressure is read on the charge pipe where a sensor sits there, else on the manifold."""
        if any(part.key == "charge_sensor" for part in self.plant.starter.components):
            return self.switches.sensor_gain * self.pressure(y, "charge") + self.switches.sensor_offset_kpa
        return self.sensed(y)
