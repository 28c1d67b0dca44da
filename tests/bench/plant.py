"""An engine's air path as volumes and the ways between them, built from a starter layout."""

from dataclasses import dataclass, field, replace

from app.airpath.layouts import StarterLayout
from app.airpath.words import ComponentKind, Layout, Role
from tests.bench import constants as c
from tests.bench.faults import SOUND, Fault
from tests.bench.gas import R_AIR, area, in_series

OPEN_AIR = "open air"


@dataclass(slots=True)
class Way:
    """An opening between two volumes, by name; air runs from `a` to `b` only where `one_way`, but for its `leak`."""

    name: str
    a: str
    b: str
    cda: float
    one_way: bool = False
    leak: float = 0.0
    breathes: bool = False


@dataclass(slots=True)
class Switches:
    """What may stick or misread, at its healthy value; None lets it move. Positions run from 0 shut to 1 open."""

    diverter: float | None = None
    diverter_seat: float = 0.0
    diverter_spring: float = c.DIVERTER_SPRING_KPA
    changeover: float | None = None
    solenoid: float | None = None
    solenoid_sticks: float = 0.0
    wastegate: float | None = None
    wastegate_sticks: float = 0.01
    wastegate_spring: float = 1.0
    boost_limit_kpa: float | None = None
    compressor: float = 1.0
    sensor_gain: float = 1.0
    sensor_offset_kpa: float = 0.0
    meter_gain: float = 1.0
    soft_inlet_kpa: float | None = None
    regulator_share: float = 0.0
    purge: float = 0.0
    vapour: float = 0.0
    spark: float = 1.0
    one_cylinder: float = 0.0
    store_leak: float = 1.0
    servo_leak: float = 1.0
    breather_leak: float = 0.0


@dataclass(frozen=True, slots=True)
class Plant:
    """One car with at most one fault: its volumes, its ways, its switches."""

    starter: StarterLayout
    fault: Fault
    nodes: tuple[str, ...]
    ways: tuple[Way, ...]
    switches: Switches = field(default_factory=Switches)

    @property
    def diesel(self) -> bool:
        """Whether fuel alone makes its torque."""
        return self.starter.facts.fuel.value == "diesel"

    @property
    def turbo(self) -> bool:
        """Whether a compressor stands between inlet and charge pipe."""
        return self.starter.facts.turbocharged

    @property
    def metered(self) -> bool:
        """Whether a petrol engine's fuel follows an airflow meter."""
        return self.starter.facts.has_airflow_meter and not self.diesel

    @property
    def layout(self) -> Layout:
        """The starter layout's word."""
        return self.starter.layout

    def kelvin(self, node: str) -> float:
        """The temperature a volume is held at, K."""
        if node == "exhaust" and self.diesel:
            return c.DIESEL_EXHAUST_K
        return c.KELVIN.get(node, c.AMBIENT_K)

    def kpa_per_kg(self, node: str) -> float:
        """By how much a volume's pressure rises with the air in it."""
        return R_AIR * self.kelvin(node) / (c.LITRES[node] * 1e-3) / 1e3


def bore_of(starter: StarterLayout, *keys: str) -> float:
    """What the first of these lines that the layout has lets through when sound, m2 with its discharge coefficient."""
    bores = {line.key: line.bore_mm for line in starter.lines}
    return next(c.CD * area(bores[key]) for key in keys if key in bores)


def plant_of(starter: StarterLayout, fault: Fault = SOUND) -> Plant:
    """The starter layout's air path with this fault in it. KeyError when the fault names what is not there."""
    ways = _base(starter)
    if starter.facts.turbocharged:
        ways += _turbo(starter)
    ways += _vacuum(starter)
    named = {way.name: way for way in ways}
    for end in fault.loose:
        name, side = end.split(".")
        named[name] = replace(named[name], a=OPEN_AIR) if side == "a" else replace(named[name], b=OPEN_AIR)
    for name, share in fault.shut.items():
        named[name] = replace(named[name], cda=named[name].cda * share, leak=named[name].leak * share)
    switches = Switches(**fault.stuck)
    for name, factor in (("supply", switches.store_leak), ("servo", switches.servo_leak)):
        if name in named:
            named[name] = replace(named[name], leak=named[name].leak * factor)
    if switches.breather_leak:
        named["pcv"] = replace(named["pcv"], leak=named["pcv"].cda * switches.breather_leak)
    holes = [
        Way(f"hole {number}", OPEN_AIR, hole.node, hole.cda, one_way=hole.inward, breathes=hole.breathes)
        for number, hole in enumerate(fault.holes)
    ]
    ends = {end for way in named.values() for end in (way.a, way.b)} | {hole.node for hole in fault.holes}
    volumes = tuple(node for node in c.LITRES if node in ends)
    return Plant(starter, fault, volumes, (*named.values(), *holes), switches)


def _has(starter: StarterLayout, kind: ComponentKind) -> bool:
    return any(part.kind is kind for part in starter.components)


def _base(starter: StarterLayout) -> list[Way]:
    before = "charge" if starter.facts.turbocharged else "inlet"
    teed = any(line.key == "tee_feed" for line in starter.lines)
    tap = "tee" if teed else "manifold"
    ways = [
        Way("filter", OPEN_AIR, "inlet", c.FILTER_M2),
        Way("throttle", before, "manifold", c.SHUT_THROTTLE_M2),
        Way("fresh", "crankcase", "inlet", c.CD * area(16)),
        Way("gauge_line", tap, "gauge", bore_of(starter, "gauge_hose")),
        Way("sensor_line", tap, "sensor", bore_of(starter, "pressure_sensor_hose")),
        Way("tailpipe" if not starter.facts.turbocharged else "turbine", "exhaust", OPEN_AIR, c.TURBINE_M2),
    ]
    if not starter.facts.turbocharged:
        ways[-1].cda = 4 * c.TURBINE_M2  # no turbine stands in the way
    if teed:
        ways.append(Way("tee_line", "manifold", "tee", bore_of(starter, "tee_feed")))
    if any(line.key == "breather_to_check_valve" for line in starter.lines):
        ways.append(Way("pcv", "crankcase", "manifold", c.PCV_M2, one_way=True))
    if any(line.role is Role.PURGE for line in starter.lines):
        ways.append(Way("purge", OPEN_AIR, "manifold", 0.0, one_way=True))
    return ways


def _turbo(starter: StarterLayout) -> list[Way]:
    jet = c.CD * area(c.NARROW_MM["boost_source"])
    bleed = c.CD * area(c.NARROW_MM["boost_bleed"])
    if starter.facts.fuel.value == "diesel":
        jet = c.CD * area(c.NARROW_MM["vane_jet"])
        return [Way("source", "actuator", "store", jet), Way("bleed", "inlet", "actuator", jet)]
    ways = [
        Way("wastegate", "exhaust", OPEN_AIR, 0.0),
        Way("diverter", "charge", "return", 0.0),
        Way("return", "return", "inlet", bore_of(starter, "recirculation_return")),
        Way("source", "charge", "actuator", jet),
        Way("bleed", "actuator", "inlet", bleed),
    ]
    if starter.layout is Layout.DIRECT_SIGNAL:
        ways.append(Way("feed", "manifold", "signal", bore_of(starter, "diverter_signal")))
    if starter.layout is Layout.STORED_VACUUM:
        ways.append(Way("feed", "manifold", "signal", bore_of(starter, "changeover_feed")))
        ways.append(Way("stored", "store", "signal", bore_of(starter, "reservoir_to_changeover")))
    return ways


def _vacuum(starter: StarterLayout) -> list[Way]:
    source = "pump" if starter.facts.fuel.value == "diesel" else "manifold"
    servo, hose = bore_of(starter, "servo_hose"), c.CD * area(4.0)
    ways = [Way("servo", "servo", source, in_series(servo, servo), one_way=True, leak=c.STORE_LEAK_M2)]
    if _has(starter, ComponentKind.VACUUM_RESERVOIR):
        jet = hose if source == "pump" else c.CD * area(c.NARROW_MM["store_jet"])
        ways.append(Way("supply", "store", source, jet, one_way=True, leak=c.STORE_LEAK_M2))
    ways.append(Way("pedal", OPEN_AIR, "servo", 0.0))
    return ways
