"""What goes wrong with parts: they stick, bleed, misread or clog. And lines that are blocked, and check valves."""

from app.airpath.layouts import StarterLayout
from app.airpath.words import SUSPECT_OF_COMPONENT, ComponentKind, Layout, Role, Suspect
from tests.bench import constants as c
from tests.bench.faults import Fault, Hole
from tests.bench.gas import area
from tests.bench.sites import site_of

#: A line pinched or clogged to this share of its area; assumption.
PINCHED = 0.02
#: Lines whose blockage is worth a look, and the ways it narrows.
_BLOCKED: dict[str, tuple[str, ...]] = {
    "gauge_hose": ("gauge_line",),
    "pressure_sensor_hose": ("sensor_line",),
    "diverter_signal": ("feed", "stored"),
    "boost_source": ("source",),
    "boost_bleed": ("bleed",),
    "boost_vent": ("bleed",),
    "boost_feed": ("source",),
    "servo_supply": ("servo",),
    "servo_hose": ("servo",),
    "reservoir_supply": ("supply",),
    "reservoir_to_changeover": ("stored",),
    "recirculation_return": ("return",),
}
_CLOGS_SHUT = 1e-3


def part_faults(starter: StarterLayout) -> list[Fault]:
    """Every fault of the layout's components, of blocked lines and of check valves, one at a time."""
    keys = {SUSPECT_OF_COMPONENT[p.kind]: p.key for p in starter.components if p.kind in SUSPECT_OF_COMPONENT}
    faults = [
        Fault(keys[suspect], suspect, variant, holes, shut=shut, stuck=stuck)
        for suspect, variant, holes, shut, stuck in (*_shared(starter), *_boosted(starter))
        if suspect in keys
    ]
    return (
        faults + _sensors(starter) + _standing(starter) + _check_valves(starter) + _blocked(starter) + _purge(starter)
    )


_Part = tuple[Suspect, str, tuple[Hole, ...], dict[str, float], dict[str, float]]


def _shared(starter: StarterLayout) -> list[_Part]:
    gasket, one = Suspect.MANIFOLD_GASKET, {"one_cylinder": 1.0}
    return [
        (gasket, "gap", (Hole("manifold", c.CD * area(1.5)),), {}, one),
        (gasket, "lifted", (Hole("manifold", c.CD * area(4.0)),), {}, one),
        (gasket, "throttle_joint", (Hole("manifold", c.CD * area(5.0)),), {}, {}),
        (Suspect.AIR_FILTER, "dirty", (), {"filter": 0.5}, {}),
        (Suspect.AIR_FILTER, "blocked", (), {"filter": 0.2}, {}),
        (Suspect.AIRFLOW_SENSOR, "dirty", (), {}, {"meter_gain": 0.82}),
        (Suspect.AIRFLOW_SENSOR, "over_reads", (), {}, {"meter_gain": 1.2}),
    ]


def _boosted(starter: StarterLayout) -> list[_Part]:
    if not starter.facts.turbocharged:
        return []
    turbo, solenoid, gate = Suspect.TURBOCHARGER, Suspect.BOOST_SOLENOID, Suspect.WASTEGATE
    parts: list[_Part] = [
        (turbo, "worn", (), {}, {"compressor": 0.65}),
        (turbo, "seized", (), {}, {"compressor": 0.0}),
        (solenoid, "dead", (), {}, {"solenoid": 0.0}),
        (solenoid, "stuck_on", (), {}, {"solenoid": 1.0}),
        (solenoid, "sticks", (), {}, {"solenoid_sticks": 0.2}),
        (gate, "stuck_open", (), {}, {"wastegate": 0.0 if starter.facts.fuel.value == "diesel" else 0.8}),
        (gate, "stuck_shut", (), {}, {"wastegate": 1.0 if starter.facts.fuel.value == "diesel" else 0.0}),
        (gate, "sticks", (), {}, {"wastegate_sticks": 0.12}),
        (gate, "torn_diaphragm", (Hole("actuator", c.CD * area(2.0)),), {}, {}),
    ]
    return parts + _diverter(starter) + _changeover(starter)


def _diverter(starter: StarterLayout) -> list[_Part]:
    valve = Suspect.DIVERTER_VALVE
    parts: list[_Part] = [
        (valve, "stuck_shut", (), {}, {"diverter": 0.0}),
        (valve, "stuck_open", (), {}, {"diverter": 1.0}),
        (valve, "leaking_seat", (), {}, {"diverter_seat": 0.12}),
    ]
    if starter.layout is not Layout.ELECTRIC_DIVERTER:
        parts.append((valve, "weak_spring", (), {}, {"diverter_spring": 5.0}))
        parts.append((valve, "torn_diaphragm", (Hole("signal", c.CD * area(2.5)),), {}, {}))
    return parts


def _changeover(starter: StarterLayout) -> list[_Part]:
    solenoid = Suspect.CHANGEOVER_SOLENOID
    return [
        (solenoid, "dead", (), {}, {"changeover": 0.0}),
        (solenoid, "stuck_on_store", (), {}, {"changeover": 1.0}),
        (solenoid, "bleeds", (Hole("store", c.CD * area(0.4)),), {}, {}),
        (solenoid, "vents", (Hole("signal", c.CD * area(2.0)),), {}, {}),
    ]


def _sensors(starter: StarterLayout) -> list[Fault]:
    """A layout may have two pressure sensors; what one reads wrong is taken as the one on the manifold."""
    variants = {
        "reads_low": {"sensor_gain": 0.85},
        "reads_high": {"sensor_gain": 1.15},
        "offset": {"sensor_offset_kpa": 8.0},
    }
    return [Fault("pressure_sensor", Suspect.PRESSURE_SENSOR, name, stuck=stuck) for name, stuck in variants.items()]


def _standing(starter: StarterLayout) -> list[Fault]:
    faults = [Fault("something_else", Suspect.SOMETHING_ELSE, "late_ignition", stuck={"spark": 0.75})]
    if starter.facts.fuel.value == "diesel":
        faults.clear()
    if starter.facts.turbocharged:
        faults.append(Fault("power_limit", Suspect.POWER_LIMIT, "held", stuck={"boost_limit_kpa": 33.0}))
    return faults


def _check_valves(starter: StarterLayout) -> list[Fault]:
    """A check valve is no candidate of its own: its lines' role answers for it."""
    leak = c.CD * area(1.0) / c.STORE_LEAK_M2
    there = {part.key for part in starter.components if part.kind is ComponentKind.CHECK_VALVE}
    faults = []
    if there & {"reservoir_check_valve", "pump_check_valve"}:
        faults.append(Fault("reservoir_hose", Role.VACUUM_STORE, "check_valve_leaks", stuck={"store_leak": leak}))
    if "servo_check_valve" in there:
        faults.append(Fault("servo_hose", Role.BRAKE_SERVO, "check_valve_leaks", stuck={"servo_leak": leak}))
    if "breather_check_valve" in there:
        faults.append(
            Fault("breather_to_check_valve", Role.BREATHER, "check_valve_stuck_open", stuck={"breather_leak": 1.0})
        )
    return faults


def _blocked(starter: StarterLayout) -> list[Fault]:
    ways_of = {"feed", "stored"} if starter.layout is Layout.STORED_VACUUM else {"feed"}
    faults = []
    for line in starter.lines:
        ways = _BLOCKED.get(line.key, ())
        if line.key == "diverter_signal":
            ways = tuple(way for way in ways if way in ways_of)
        if line.key in ("servo_supply", "servo_hose") and line.role is not Role.BRAKE_SERVO:
            continue
        if ways and site_of(starter.layout, line.key) is not None:
            share = PINCHED if line.key == "gauge_hose" else _CLOGS_SHUT
            faults.append(Fault(line.key, line.role, "blocked", shut=dict.fromkeys(ways, share)))
    soft = next((line for line in starter.lines if line.key in ("compressor_inlet", "throttle_hose")), None)
    if soft is not None:
        faults.append(Fault(soft.key, soft.role, "sucked_flat", stuck={"soft_inlet_kpa": 4.0}))
    return faults


def _purge(starter: StarterLayout) -> list[Fault]:
    """A purge valve is no candidate of its own either. Vapour of a full canister is one part fuel in seven."""
    if not any(line.key == "purge_to_manifold" for line in starter.lines):
        return []
    open_m2 = c.CD * area(c.NARROW_MM["purge"])
    return [
        Fault("purge_to_manifold", Role.PURGE, "valve_open_air", stuck={"purge": open_m2}),
        Fault("purge_to_manifold", Role.PURGE, "valve_open_vapour", stuck={"purge": open_m2, "vapour": 2.1}),
    ]
