"""The signs a fitter is asked for: keys and outcomes are fixed, stored and sent; the words may change."""

from app.triage.facts import Facts
from app.triage.sign import NEED_LABEL, Need, Outcome, Sign

__all__ = [
    "CODES",
    "DO_NOT_DRIVE",
    "EYES_ON_THE_ROAD",
    "NEED_LABEL",
    "RUNNING_ENGINE",
    "SIGNS",
    "Need",
    "Outcome",
    "Sign",
]

RUNNING_ENGINE = (
    "Running engine: keep loose clothing, hair and hands clear of belts and fan; never run it in a closed garage."
)
EYES_ON_THE_ROAD = (
    "A passenger, a closed road or a logger reads the gauge, never the driver. "
    "If boost goes over target, stay off full throttle."
)
DO_NOT_DRIVE = "A hard pedal means no brake assistance: do not drive until it is found."


def _boosted(facts: Facts) -> bool:
    return facts.turbocharged


def _has_diverter(facts: Facts) -> bool:
    return facts.turbocharged and facts.throttle_vacuum


def _throttled(facts: Facts) -> bool:
    return facts.throttle_vacuum


def _petrol(facts: Facts) -> bool:
    return facts.fuel == "petrol"


def _any(_facts: Facts) -> bool:
    return True


def _never(_facts: Facts) -> bool:
    return False


_ALL = (
    Sign(
        "first_start_vacuum",
        "Vacuum at the first start",
        "First start of the day: what does the vacuum do?",
        (
            Outcome("normal", "There at once", "vacuum is there at the first start"),
            Outcome("low_then_builds", "Low, then builds", "vacuum is gone after a night and builds again"),
            Outcome("low_and_stays", "Low and stays low", "vacuum is low from the first start and stays low"),
        ),
        2,
        (Need.FIRST_START, Need.ENGINE_RUNNING),
        RUNNING_ENGINE,
        _throttled,
    ),
    Sign(
        "idle_vacuum",
        "Idle vacuum",
        "Warm, idling, nothing switched on: how much vacuum against this car's usual?",
        (
            Outcome("normal", "As usual", "idle vacuum is normal"),
            Outcome("slightly_low", "A little low", "idle vacuum is a little low"),
            Outcome("very_low", "Far too low", "idle vacuum is far too low"),
        ),
        1,
        (Need.ENGINE_RUNNING,),
        RUNNING_ENGINE,
        _throttled,
    ),
    Sign(
        "idle_needle",
        "Needle at idle",
        "Warm and idling: what does the vacuum needle do?",
        (
            Outcome("steady", "Stands still", "the needle stands still at idle"),
            Outcome("wavering", "Wanders slowly", "the needle wanders at idle"),
            Outcome("flicking", "Flicks in time", "the needle flicks in time with the engine"),
        ),
        1,
        (Need.ENGINE_RUNNING,),
        RUNNING_ENGINE,
        _throttled,
    ),
    Sign(
        "vacuum_recovery",
        "Needle when the throttle shuts",
        "Throttle shut after boost: how does the needle fall back to idle vacuum?",
        (
            Outcome("prompt", "At once", "the needle comes back at once when the throttle shuts"),
            Outcome("slow", "Slowly", "the needle is slow to come back when the throttle shuts"),
            Outcome("none", "Not at all", "the needle does not come back when the throttle shuts"),
        ),
        5,
        (Need.A_DRIVE, Need.SECOND_PERSON),
        EYES_ON_THE_ROAD,
        _throttled,
    ),
    Sign(
        "lift_off_sound",
        "Sound on lift-off",
        "Foot off sharply after boost: what do you hear?",
        (
            Outcome("usual", "As usual", "lift-off sounds as usual"),
            Outcome("flutter", "A flutter or chatter", "it flutters on lift-off"),
            Outcome("louder", "Louder than before", "lift-off is louder than before"),
        ),
        5,
        (Need.A_DRIVE,),
        EYES_ON_THE_ROAD,
        _has_diverter,
    ),
    Sign(
        "boost_level",
        "Boost level",
        "Full throttle in a middle gear: where does boost end up against target?",
        (
            Outcome("on_target", "On target", "boost is on target"),
            Outcome("slightly_low", "A little low", "boost is a little low"),
            Outcome("capped_low", "Stuck at a few psi", "boost is stuck at a few psi"),
            Outcome("none", "None at all", "there is no boost at all"),
            Outcome("over_target", "Over target", "boost goes over target"),
        ),
        8,
        (Need.A_DRIVE, Need.SECOND_PERSON),
        EYES_ON_THE_ROAD,
        _boosted,
    ),
    Sign(
        "boost_stability",
        "Does boost hold still?",
        "Full throttle held: does boost stand still or wander?",
        (
            Outcome("steady", "Stands still", "boost holds still"),
            Outcome("erratic", "Wanders or surges", "boost will not hold still"),
        ),
        8,
        (Need.A_DRIVE, Need.SECOND_PERSON),
        EYES_ON_THE_ROAD,
        _boosted,
    ),
    Sign(
        "idle_quality",
        "Idle",
        "Warm and left alone: how does it idle?",
        (
            Outcome("smooth", "Smooth", "idle is smooth"),
            Outcome("hunting", "Hunts up and down", "idle hunts up and down"),
            Outcome("high", "Too fast", "idle is too fast"),
            Outcome("rough", "Rough", "idle is rough"),
        ),
        1,
        (Need.ENGINE_RUNNING,),
        RUNNING_ENGINE,
        _any,
    ),
    Sign(
        "fuel_trim_idle",
        "Fuel trim at idle",
        "Warm idle: what do short and long trims add up to?",
        (
            Outcome("normal", "Near nought", "trims are normal at idle"),
            Outcome("adding", "Adding fuel", "trims add fuel at idle"),
            Outcome("removing", "Taking fuel away", "trims take fuel away at idle"),
        ),
        3,
        (Need.ENGINE_RUNNING, Need.CODE_READER),
        RUNNING_ENGINE,
        _petrol,
    ),
    Sign(
        "fuel_trim_load",
        "Fuel trim under load",
        "Pulling under load: what do short and long trims add up to?",
        (
            Outcome("normal", "Near nought", "trims are normal under load"),
            Outcome("adding", "Adding fuel", "trims add fuel under load"),
            Outcome("removing", "Taking fuel away", "trims take fuel away under load"),
        ),
        10,
        (Need.A_DRIVE, Need.SECOND_PERSON, Need.CODE_READER),
        EYES_ON_THE_ROAD,
        _petrol,
    ),
    Sign(
        "hiss",
        "Hiss",
        "Is there a hiss, and when?",
        (
            Outcome("none", "None", "nothing hisses"),
            Outcome("at_idle", "At idle", "it hisses at idle"),
            Outcome("under_boost", "Under boost", "it hisses under boost"),
        ),
        3,
        (Need.ENGINE_RUNNING,),
        RUNNING_ENGINE,
        _any,
    ),
    Sign(
        "brake_pedal",
        "Brake pedal",
        "Engine idling: how does the brake pedal feel?",
        (
            Outcome("normal", "As usual", "the brake pedal is as usual"),
            Outcome("hard", "Hard", "the brake pedal is hard"),
        ),
        1,
        (Need.ENGINE_RUNNING,),
        DO_NOT_DRIVE,
        _any,
    ),
    Sign(
        "exhaust_smoke",
        "Exhaust smoke",
        "What smoke comes from the exhaust?",
        (
            Outcome("none", "None", "the exhaust is clear"),
            Outcome("black_under_boost", "Black under boost", "it smokes black under boost"),
            Outcome("blue", "Blue", "it smokes blue"),
        ),
        5,
        (Need.A_DRIVE, Need.SECOND_PERSON),
        EYES_ON_THE_ROAD,
        _any,
    ),
    Sign(
        "leak_size",
        "Size of the leak",
        "How big is the hole?",
        (
            Outcome("none", "No leak", "figures show no leak"),
            Outcome("pinhole", "A pinhole", "the leak is a pinhole"),
            Outcome("small", "A small line's bore", "the leak is as wide as a small line"),
            Outcome("open", "A hose's bore", "the leak is as wide as a hose"),
        ),
        5,
        (),
        "",
        _never,
        worked_out=True,
    ),
)

#: Every sign with fixed outcomes, by key. `codes`, a list, is kept in app.triage.codes.
SIGNS: dict[str, Sign] = {sign.key: sign for sign in _ALL}

#: The key under which trouble codes are given and asked for.
CODES = "codes"
