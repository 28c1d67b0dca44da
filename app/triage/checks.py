"""Direct checks of one line or part: how long, what they need, how often they are right, how to do them.

Hit and false-alarm rates are common practice, no source.
"""

from dataclasses import dataclass

from app.airpath.words import Material, Role, Suspect
from app.triage.check_words import CAUTION, HOW_TO, PART_HOW_TO, PART_PASS, PASS
from app.triage.inputs import Candidate
from app.triage.knowledge.grades import CHARGE_SMALL
from app.triage.signs import Need

#: Below this bore a hose can be pinched shut and a charge line counts as thin, mm.
THIN_BELOW_MM = 20.0

_THIN_VACUUM = frozenset(
    {
        Role.MANIFOLD_SMALL,
        Role.GAUGE,
        Role.BRAKE_SERVO,
        Role.BREATHER,
        Role.PURGE,
        Role.FUEL_REGULATOR,
        Role.DIVERTER_SIGNAL,
        Role.VACUUM_STORE,
    }
)
_HOLDS_VACUUM = frozenset(
    {
        Role.DIVERTER_SIGNAL,
        Role.VACUUM_STORE,
        Role.BOOST_CONTROL,
        Role.GAUGE,
        Role.BRAKE_SERVO,
        Role.FUEL_REGULATOR,
    }
)
_BOOSTED = frozenset({Role.CHARGE, Role.RECIRCULATION, Role.BOOST_CONTROL})
_BEHIND_THROTTLE = frozenset({Role.MANIFOLD_SMALL, Role.BREATHER, Role.PURGE, Suspect.MANIFOLD_GASKET})
_SMOKED = frozenset({*Role, Suspect.MANIFOLD_GASKET}) - {Role.BOOST_CONTROL}


@dataclass(frozen=True, slots=True)
class DirectCheck:
    """One way to check a candidate. `hit`: P(shows a fault | it is at fault); `false_alarm`: P(... | it is not)."""

    method: str
    label: str
    minutes: float
    needs: tuple[Need, ...]
    hit: float
    false_alarm: float


_LOOK = DirectCheck("look_and_feel", "Look and feel along it", 3, (Need.ENGINE_COLD,), 0.60, 0.05)
_PINCH = DirectCheck("pinch_off", "Pinch it off", 3, (Need.ENGINE_RUNNING,), 0.80, 0.08)
_PUMP = DirectCheck(
    "hand_vacuum_pump", "Hand vacuum pump on it", 6, (Need.ENGINE_COLD, Need.HAND_VACUUM_PUMP), 0.93, 0.03
)
_SMOKE = DirectCheck("smoke", "Smoke", 15, (Need.ENGINE_COLD, Need.SMOKE_MACHINE), 0.90, 0.04)
_PRESSURE = DirectCheck("pressure_test", "Pressure test", 20, (Need.ENGINE_COLD, Need.PRESSURE_TESTER), 0.93, 0.04)
_SOAP_BOOSTED = DirectCheck(
    "soapy_water", "Soapy water on its joints", 12, (Need.ENGINE_COLD, Need.PRESSURE_TESTER), 0.80, 0.05
)
_SOAP_IDLING = DirectCheck("soapy_water", "Soapy water on its joints", 5, (Need.ENGINE_RUNNING,), 0.65, 0.08)

#: What suits a part: its own test on the bench or in place, and a swap for a known good one.
_PART_CHECKS: dict[Suspect, tuple[DirectCheck, ...]] = {
    Suspect.DIVERTER_VALVE: (
        DirectCheck(
            "bench_test", "Diverter valve on the bench", 15, (Need.ENGINE_COLD, Need.HAND_VACUUM_PUMP), 0.88, 0.03
        ),
        DirectCheck("swap", "Swap the diverter valve", 20, (Need.ENGINE_COLD, Need.SPARE_PART), 0.95, 0.02),
    ),
    Suspect.CHANGEOVER_SOLENOID: (
        DirectCheck(
            "bench_test", "Click and blow through the changeover solenoid", 10, (Need.ENGINE_COLD,), 0.88, 0.04
        ),
        DirectCheck("swap", "Swap the changeover solenoid", 12, (Need.ENGINE_COLD, Need.SPARE_PART), 0.95, 0.02),
    ),
    Suspect.BOOST_SOLENOID: (
        DirectCheck("bench_test", "Click and blow through the boost solenoid", 10, (Need.ENGINE_COLD,), 0.85, 0.04),
        DirectCheck("swap", "Swap the boost solenoid", 12, (Need.ENGINE_COLD, Need.SPARE_PART), 0.95, 0.02),
    ),
    Suspect.WASTEGATE: (
        DirectCheck(
            "bench_test",
            "Work the wastegate actuator by hand pump",
            12,
            (Need.ENGINE_COLD, Need.HAND_VACUUM_PUMP),
            0.85,
            0.04,
        ),
    ),
    Suspect.POWER_LIMIT: (
        DirectCheck("bench_test", "Read codes and live data for the limit", 8, (Need.CODE_READER,), 0.90, 0.05),
    ),
    Suspect.MANIFOLD_GASKET: (_SMOKE, _SOAP_IDLING),
    Suspect.AIR_FILTER: (
        DirectCheck("look_and_feel", "Look at the filter element", 4, (Need.ENGINE_COLD,), 0.92, 0.04),
    ),
    Suspect.TURBOCHARGER: (
        DirectCheck("bench_test", "Feel the shaft for play, look for oil", 20, (Need.ENGINE_COLD,), 0.80, 0.06),
    ),
    Suspect.PRESSURE_SENSOR: (
        DirectCheck("bench_test", "Key on, engine off: sensor against barometer", 4, (Need.CODE_READER,), 0.80, 0.04),
        DirectCheck("swap", "Swap the pressure sensor", 10, (Need.ENGINE_COLD, Need.SPARE_PART), 0.95, 0.02),
    ),
    Suspect.AIRFLOW_SENSOR: (
        DirectCheck(
            "bench_test", "Airflow at idle against its usual", 4, (Need.ENGINE_RUNNING, Need.CODE_READER), 0.75, 0.08
        ),
        DirectCheck("swap", "Swap the airflow meter", 8, (Need.ENGINE_COLD, Need.SPARE_PART), 0.95, 0.02),
    ),
}


def checks_for(candidate: Candidate, *, throttle_vacuum: bool = True) -> tuple[DirectCheck, ...]:
    """The direct checks that suit a candidate; none for `something_else`.

    A suspect of one's own is checked as a line of the role it behaves like, or looked at where that is a part's.
    """
    role = candidate.role
    if candidate.behaves_like is not None:
        if candidate.behaves_like not in (*Role, CHARGE_SMALL):
            return (_LOOK,)
        role = Role.CHARGE if candidate.behaves_like == CHARGE_SMALL else Role(candidate.behaves_like)
    if isinstance(role, Suspect):
        return _PART_CHECKS.get(role, ())
    suited = [_LOOK]
    stiff = candidate.material in (Material.HARD_PLASTIC, Material.METAL)
    wide = candidate.bore_mm is not None and candidate.bore_mm >= THIN_BELOW_MM
    if role in _THIN_VACUUM and throttle_vacuum and not stiff and not wide:
        suited.append(_PINCH)
    if role in _HOLDS_VACUUM:
        suited.append(_PUMP)
    if role in _SMOKED:
        suited.append(_SMOKE)
    if role in _BOOSTED:
        suited += [_PRESSURE, _SOAP_BOOSTED]
    if role in _BEHIND_THROTTLE and throttle_vacuum:
        suited.append(_SOAP_IDLING)
    return tuple(suited)


def check_named(candidate: Candidate, method: str) -> DirectCheck:
    """The check of that method on this candidate, or a look when the method is unusual for it.

    Raises KeyError for a method that is none.
    """
    if method not in HOW_TO:
        raise KeyError(method)
    for check in (*checks_for(candidate), _LOOK, _PINCH, _PUMP, _SMOKE, _PRESSURE, _SOAP_BOOSTED):
        if check.method == method:
            return check
    return DirectCheck(method, HOW_TO[method][0], 15, (), 0.85, 0.04)


def how_to(candidate: Candidate, method: str) -> tuple[str, ...]:
    """How to do a check, in up to three lines. KeyError for a method that is none."""
    if isinstance(candidate.role, Suspect) and (candidate.role, method) in PART_HOW_TO:
        return PART_HOW_TO[candidate.role, method]
    return HOW_TO[method]


def what_a_pass_is(candidate: Candidate, method: str) -> str:
    """What the check shows when the candidate is sound. KeyError for a method that is none."""
    if isinstance(candidate.role, Suspect) and (candidate.role, method) in PART_PASS:
        return PART_PASS[candidate.role, method]
    return PASS[method]


def caution_for(candidate: Candidate, method: str) -> str:
    """What to mind where the hand is about to go, for this check. KeyError for a method that is none."""
    caution = CAUTION[method]
    if candidate.role in (Role.BRAKE_SERVO, Role.FUEL_REGULATOR):
        return f"Until this is found, do not drive. {caution}"
    return caution
