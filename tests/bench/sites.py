"""Where a hole in each line opens, and which ways breathe open air when the line comes off."""

from dataclasses import dataclass

from app.airpath.layouts import LineSpec, StarterLayout
from app.airpath.words import Layout
from tests.bench import constants as c
from tests.bench.faults import Fault, Hole
from tests.bench.gas import area, in_series

#: Lines this wide come off like a pipe, with a rounded mouth.
WIDE_MM = 20.0


@dataclass(frozen=True, slots=True)
class Site:
    """The volume a line's hole opens to; the ends that hang loose when it is off, and further open stubs."""

    node: str
    loose: tuple[str, ...] = ()
    stub: str | None = None
    inward: bool = False


_INLET, _CHARGE, _MANIFOLD = Site("inlet"), Site("charge"), Site("manifold")
_FRESH_FROM, _FRESH_TO = Site("crankcase", ("fresh.a",), "inlet"), Site("inlet", ("fresh.b",), "crankcase")

_SITES: dict[str, Site] = {
    **dict.fromkeys(("meter_to_elbow", "compressor_inlet", "throttle_hose", "resonator_hose"), _INLET),
    **dict.fromkeys(("filter_to_elbow", "purge_to_elbow", "purge_to_boost_check_valve"), _INLET),
    **dict.fromkeys(("compressor_outlet", "hot_pipe", "intercooler_inlet", "intercooler_outlet", "cold_pipe"), _CHARGE),
    **dict.fromkeys(("throttle_coupler", "flap_coupler", "idle_air_feed"), _CHARGE),
    **dict.fromkeys(("egr_pipe", "heater_control_hose", "front_cap", "rear_cap", "idle_air_return"), _MANIFOLD),
    **dict.fromkeys(("heater_check_valve_hose", "purge_to_manifold", "fuel_regulator_hose"), _MANIFOLD),
    "purge_to_check_valve": Site("manifold", inward=True),
    "recirculation_out": Site("charge", ("diverter.a",)),
    "recirculation_return": Site("return", ("return.a",), "inlet"),
    "changeover_feed": Site("manifold", ("feed.a",)),
    "diverter_signal": Site("signal", ("feed.b", "stored.b")),
    "reservoir_supply": Site("manifold", ("supply.b",)),
    "reservoir_hose": Site("store", ("supply.a",)),
    "reservoir_to_changeover": Site("store", ("stored.a",)),
    "flap_feed": Site("store"),
    "egr_feed": Site("store"),
    "egr_signal": Site("store"),
    "boost_feed": Site("store", ("source.b",)),
    "boost_source": Site("charge", ("source.a",)),
    "boost_actuator": Site("actuator", ("source.b", "bleed.a")),
    "boost_bleed": Site("inlet", ("bleed.b",)),
    "boost_vent": Site("inlet", ("bleed.a",)),
    "tee_feed": Site("tee", ("tee_line.a",), "manifold"),
    "pressure_sensor_hose": Site("sensor", ("sensor_line.a",), "manifold"),
    "gauge_hose": Site("gauge", ("gauge_line.a",), "manifold"),
    "servo_supply": Site("manifold", ("servo.b",)),
    "servo_hose": Site("servo", ("servo.a",)),
    **dict.fromkeys(("breather_to_can", "breather_to_separator", "breather_to_elbow"), _FRESH_FROM),
    **dict.fromkeys(
        ("can_to_elbow", "separator_to_check_valve", "check_valve_to_elbow", "separator_to_elbow"), _FRESH_TO
    ),
    **dict.fromkeys(("can_drain", "separator_drain"), Site("crankcase")),
    "breather_to_check_valve": Site("crankcase", ("pcv.a",)),
    "check_valve_to_manifold": Site("manifold", ("pcv.b",)),
}
#: Where a key means something else on one layout.
_ELSEWHERE: dict[tuple[Layout, str], Site] = {
    (Layout.DIRECT_SIGNAL, "diverter_signal"): Site("signal", ("feed.a",), "manifold"),
    (Layout.NATURALLY_ASPIRATED, "idle_air_feed"): _INLET,
    (Layout.ELECTRIC_DIVERTER, "pump_hose"): Site("servo"),
    (Layout.TURBO_DIESEL, "pump_hose"): Site("pump", ("supply.b",)),
    (Layout.TURBO_DIESEL, "servo_supply"): Site("pump", ("servo.b",)),
    (Layout.TURBO_DIESEL, "reservoir_hose"): Site("store", ("supply.a",)),
    (Layout.TURBO_DIESEL, "boost_actuator"): Site("actuator", ("source.a", "bleed.b")),
}
#: What lies before the meter or behind a valve that is shut whenever a reading is taken: a hole there shows nothing.
UNSEEN = frozenset({"cold_air_duct", "filter_to_meter", "canister_hose", "flap_signal"})


def site_of(layout: Layout, key: str) -> Site | None:
    """Where a line's hole opens; None where it shows nothing. KeyError for a line nobody has placed."""
    if key in UNSEEN:
        return None
    return _ELSEWHERE.get((layout, key)) or _SITES[key]


def line_faults(starter: StarterLayout) -> list[Fault]:
    """A crack, a split that breathes and the line off, for every line; a seep too where a night finds it."""
    return [fault for line in starter.lines for fault in _of(starter.layout, line)]


def _of(layout: Layout, line: LineSpec) -> list[Fault]:
    site = site_of(layout, line.key)
    if site is None:
        return []
    wide = line.bore_mm >= WIDE_MM
    crack, split = (4.0, 0.3 * line.bore_mm) if wide else (1.0, 0.5 * line.bore_mm)
    faults = [
        _holed(line, site, "crack", crack),
        _holed(line, site, "split", split, breathes=True),
        _off(line, site),
    ]
    if site.node in ("store", "servo") and not wide:
        faults.append(_holed(line, site, "seep", 0.3))
    return faults


def _holed(line: LineSpec, site: Site, variant: str, diameter_mm: float, *, breathes: bool = False) -> Fault:
    hole = in_series(c.CD * area(diameter_mm), c.CD * area(line.bore_mm))
    return Fault(
        line.key,
        line.role,
        variant,
        (Hole(site.node, hole, breathes, site.inward),),
        stuck=_regulator(line, diameter_mm),
    )


def _off(line: LineSpec, site: Site) -> Fault:
    mouth = (c.CD_PIPE if line.bore_mm >= WIDE_MM else c.CD) * area(line.bore_mm)
    holes = [Hole(site.node, mouth, inward=site.inward)]
    if site.stub is not None:
        holes.append(Hole(site.stub, mouth))
    return Fault(line.key, line.role, "off", tuple(holes), site.loose, stuck=_regulator(line, line.bore_mm * 10))


def _regulator(line: LineSpec, diameter_mm: float) -> dict[str, float]:
    """How far the regulator's reference moves to open air: two orifices in a row, Ah^2 / (Ah^2 + Al^2)."""
    if line.key != "fuel_regulator_hose":
        return {}
    return {"regulator_share": diameter_mm**4 / (diameter_mm**4 + line.bore_mm**4)}
