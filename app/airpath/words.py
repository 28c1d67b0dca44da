"""The fixed vocabulary of the air path. Keys are stored and never change; labels are what a page says."""

from enum import StrEnum


class Role(StrEnum):
    """Where in the air path a line lives, which decides what its failure looks like."""

    INTAKE = "intake"
    CHARGE = "charge"
    RECIRCULATION = "recirculation"
    DIVERTER_SIGNAL = "diverter_signal"
    VACUUM_STORE = "vacuum_store"
    BOOST_CONTROL = "boost_control"
    MANIFOLD_SMALL = "manifold_small"
    GAUGE = "gauge"
    BRAKE_SERVO = "brake_servo"
    BREATHER = "breather"
    PURGE = "purge"
    FUEL_REGULATOR = "fuel_regulator"


class Suspect(StrEnum):
    """What can be at fault besides a line. `something_else` keeps the model from being sure of the wrong thing."""

    DIVERTER_VALVE = "diverter_valve"
    CHANGEOVER_SOLENOID = "changeover_solenoid"
    BOOST_SOLENOID = "boost_solenoid"
    WASTEGATE = "wastegate"
    POWER_LIMIT = "power_limit"
    MANIFOLD_GASKET = "manifold_gasket"
    AIR_FILTER = "air_filter"
    TURBOCHARGER = "turbocharger"
    PRESSURE_SENSOR = "pressure_sensor"
    AIRFLOW_SENSOR = "airflow_sensor"
    SOMETHING_ELSE = "something_else"


class Layout(StrEnum):
    """The starter layouts; each is a file in seed_data/layouts/."""

    STORED_VACUUM = "stored-vacuum"
    DIRECT_SIGNAL = "direct-signal"
    ELECTRIC_DIVERTER = "electric-diverter"
    TURBO_DIESEL = "turbo-diesel"
    NATURALLY_ASPIRATED = "naturally-aspirated"


class Material(StrEnum):
    """What a line is made of: it decides how it ages and what a careless elbow does to it."""

    RUBBER = "rubber"
    SILICONE = "silicone"
    HARD_PLASTIC = "hard_plastic"
    SOFT_PLASTIC = "soft_plastic"
    METAL = "metal"


class Hold(StrEnum):
    """What holds a joint together."""

    WORM_DRIVE = "worm_drive"
    CONSTANT_TENSION = "constant_tension"
    T_BOLT = "t_bolt"
    STEPLESS_EAR = "stepless_ear"
    PUSH_ON = "push_on"
    QUICK_COUPLING = "quick_coupling"
    THREADED_UNION = "threaded_union"
    FLANGE = "flange"


class TouchKind(StrEnum):
    """How far a job disturbed a line, least first."""

    REACHED_PAST = "reached_past"
    CLAMP_MOVED = "clamp_moved"
    DISCONNECTED = "disconnected"
    REPLACED = "replaced"


class LineState(StrEnum):
    """What a line is, in the record's eyes."""

    ORIGINAL = "original"
    REPLACED = "replaced"
    STOPGAP = "stopgap"


class End(StrEnum):
    """The two ends of a line, along the air's usual way."""

    FROM = "from"
    TO = "to"


class ComponentKind(StrEnum):
    """What lines connect."""

    AIR_FILTER = "air_filter"
    AIRFLOW_SENSOR = "airflow_sensor"
    TURBOCHARGER = "turbocharger"
    INTERCOOLER = "intercooler"
    THROTTLE = "throttle"
    MANIFOLD = "manifold"
    DIVERTER_VALVE = "diverter_valve"
    CHANGEOVER_SOLENOID = "changeover_solenoid"
    VACUUM_RESERVOIR = "vacuum_reservoir"
    CHECK_VALVE = "check_valve"
    BOOST_SOLENOID = "boost_solenoid"
    WASTEGATE = "wastegate"
    VACUUM_PUMP = "vacuum_pump"
    BRAKE_SERVO = "brake_servo"
    CRANKCASE = "crankcase"
    CATCH_CAN = "catch_can"
    PURGE_VALVE = "purge_valve"
    FUEL_REGULATOR = "fuel_regulator"
    PRESSURE_SENSOR = "pressure_sensor"
    GAUGE = "gauge"
    EGR_VALVE = "egr_valve"
    HEATER_CONTROL = "heater_control"
    TEE = "tee"
    OTHER = "other"


#: A component that can itself be at fault, and as which suspect it is weighed.
SUSPECT_OF_COMPONENT: dict[ComponentKind, Suspect] = {
    ComponentKind.DIVERTER_VALVE: Suspect.DIVERTER_VALVE,
    ComponentKind.CHANGEOVER_SOLENOID: Suspect.CHANGEOVER_SOLENOID,
    ComponentKind.BOOST_SOLENOID: Suspect.BOOST_SOLENOID,
    ComponentKind.WASTEGATE: Suspect.WASTEGATE,
    ComponentKind.MANIFOLD: Suspect.MANIFOLD_GASKET,
    ComponentKind.AIR_FILTER: Suspect.AIR_FILTER,
    ComponentKind.TURBOCHARGER: Suspect.TURBOCHARGER,
    ComponentKind.PRESSURE_SENSOR: Suspect.PRESSURE_SENSOR,
    ComponentKind.AIRFLOW_SENSOR: Suspect.AIRFLOW_SENSOR,
}

ROLE_LABEL: dict[Role, str] = {
    Role.INTAKE: "intake, before the turbocharger",
    Role.CHARGE: "charge pipe",
    Role.RECIRCULATION: "recirculation",
    Role.DIVERTER_SIGNAL: "diverter valve signal",
    Role.VACUUM_STORE: "vacuum store",
    Role.BOOST_CONTROL: "boost control",
    Role.MANIFOLD_SMALL: "small line on the manifold",
    Role.GAUGE: "gauge line",
    Role.BRAKE_SERVO: "brake servo",
    Role.BREATHER: "breather",
    Role.PURGE: "purge",
    Role.FUEL_REGULATOR: "fuel pressure regulator",
}

SUSPECT_LABEL: dict[Suspect, str] = {
    Suspect.DIVERTER_VALVE: "Diverter valve",
    Suspect.CHANGEOVER_SOLENOID: "Changeover solenoid",
    Suspect.BOOST_SOLENOID: "Boost control solenoid",
    Suspect.WASTEGATE: "Wastegate and its actuator",
    Suspect.POWER_LIMIT: "The engine computer limiting power",
    Suspect.MANIFOLD_GASKET: "Manifold or throttle gasket",
    Suspect.AIR_FILTER: "Air filter",
    Suspect.TURBOCHARGER: "Turbocharger",
    Suspect.PRESSURE_SENSOR: "Pressure sensor",
    Suspect.AIRFLOW_SENSOR: "Airflow meter",
    Suspect.SOMETHING_ELSE: "Something else",
}

MATERIAL_LABEL: dict[Material, str] = {
    Material.RUBBER: "rubber",
    Material.SILICONE: "silicone",
    Material.HARD_PLASTIC: "hard plastic",
    Material.SOFT_PLASTIC: "soft plastic",
    Material.METAL: "metal",
}

HOLD_LABEL: dict[Hold, str] = {
    Hold.WORM_DRIVE: "worm-drive clamp",
    Hold.CONSTANT_TENSION: "constant-tension clamp",
    Hold.T_BOLT: "T-bolt clamp",
    Hold.STEPLESS_EAR: "stepless ear clamp",
    Hold.PUSH_ON: "push-on barb",
    Hold.QUICK_COUPLING: "quick coupling",
    Hold.THREADED_UNION: "threaded union",
    Hold.FLANGE: "flange",
}

TOUCH_LABEL: dict[TouchKind, str] = {
    TouchKind.REACHED_PAST: "reached past",
    TouchKind.CLAMP_MOVED: "clamp moved",
    TouchKind.DISCONNECTED: "disconnected",
    TouchKind.REPLACED: "replaced",
}
