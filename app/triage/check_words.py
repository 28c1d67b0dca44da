"""The words of the direct checks: how to do each in up to three lines, what a pass looks like, what to mind."""

from app.airpath.words import Suspect

METHOD_LABEL: dict[str, str] = {
    "look_and_feel": "Look and feel",
    "pinch_off": "Pinch off",
    "hand_vacuum_pump": "Hand vacuum pump",
    "smoke": "Smoke",
    "pressure_test": "Pressure test",
    "soapy_water": "Soapy water",
    "swap": "Swap for a good one",
    "bench_test": "Test the part",
}

HOW_TO: dict[str, tuple[str, ...]] = {
    "look_and_feel": (
        "Follow it by eye and fingers from end to end, underside too.",
        "Bend it gently: look for cracks, soft spots, oil, chafing.",
        "Try each joint by hand: it must not turn or slide.",
    ),
    "pinch_off": (
        "Idle the warm engine and watch the vacuum needle.",
        "Pinch the hose shut close to the manifold with smooth-jawed pliers.",
        "Watch needle and idle, then let go and look that the hose springs back.",
    ),
    "hand_vacuum_pump": (
        "Take off one end, plug the other end or leave its part on it.",
        "Pump to about half an atmosphere of vacuum.",
        "Wait one minute with the needle in sight.",
    ),
    "smoke": (
        "Feed smoke in where the line is easy to reach, the open ends plugged.",
        "Use no more pressure than the machine's maker gives for intake tracts.",
        "Follow the line with a lamp and look for smoke.",
    ),
    "pressure_test": (
        "Cap the turbocharger's inlet and feed in regulated air.",
        "Raise it slowly to working boost at most, less if a part's maker says less.",
        "Shut the feed, listen, and time the fall.",
    ),
    "soapy_water": (
        "Spray soapy water on joint after joint.",
        "Under test pressure look for bubbles.",
        "On an idling engine listen for the idle to change.",
    ),
    "swap": (
        "Fit a part known to be good.",
        "Repeat the reading that showed the fault.",
        "Put the old part back if nothing changes.",
    ),
    "bench_test": (
        "Take the part off and work it by hand, by pump or from a battery.",
        "It must move, seal and change over cleanly.",
    ),
}

PASS: dict[str, str] = {
    "look_and_feel": "No crack, no soft spot, no oil, and no joint that turns or slides.",
    "pinch_off": "Needle and idle stay as they were.",
    "hand_vacuum_pump": "The needle has not moved after one minute.",
    "smoke": "No smoke along it or at its ends.",
    "pressure_test": "No hiss, and the pressure falls no faster than the engine's own valves let it.",
    "soapy_water": "No bubbles, and no change of idle.",
    "swap": "The fault stays with the good part fitted.",
    "bench_test": "It moves, seals and changes over cleanly.",
}

_COLD = "Engine cold before you reach round the turbocharger; never loosen a coolant line hot."
_RUNNING = "Running engine: loose clothing, belts and fan; never in a closed garage."

CAUTION: dict[str, str] = {
    "look_and_feel": _COLD,
    "pinch_off": _RUNNING,
    "hand_vacuum_pump": _COLD,
    "smoke": f"{_COLD} Only the machine's own smoke, no flammable vapour.",
    "pressure_test": (
        f"{_COLD} Regulated air only, working boost at most and the maker's limit first: parts can fly off, "
        "so keep your face away."
    ),
    "soapy_water": "Soapy water only: no flammable spray near a hot engine. Mind belts, fan and exhaust gas.",
    "swap": _COLD,
    "bench_test": _COLD,
}

PART_HOW_TO: dict[tuple[Suspect, str], tuple[str, ...]] = {
    (Suspect.DIVERTER_VALVE, "bench_test"): (
        "Take the valve off and put the hand vacuum pump on its signal port.",
        "Pump: it must open, and stay open for a minute.",
        "Let go: blow into the charge side, nothing may pass.",
    ),
    (Suspect.CHANGEOVER_SOLENOID, "bench_test"): (
        "Note which hose sits where, then unplug and take it off.",
        "Blow through each pair of ports without and with battery voltage.",
        "It must click, change over, and seal what it shuts.",
    ),
    (Suspect.BOOST_SOLENOID, "bench_test"): (
        "Note which hose sits where, then unplug and take it off.",
        "Blow through each pair of ports without and with battery voltage.",
        "It must click, change over, and seal what it shuts.",
    ),
    (Suspect.WASTEGATE, "bench_test"): (
        "Put the hand pump on the actuator: pressure, or vacuum where it works on vacuum.",
        "The rod must start at its set figure, move smoothly and hold.",
        "Unhook the rod: the flap must swing freely and shut.",
    ),
    (Suspect.POWER_LIMIT, "bench_test"): (
        "Read stored and pending codes and write them down before clearing any.",
        "Look at wanted against actual boost and throttle in the live data.",
        "Clear, drive, and see whether the limit comes back.",
    ),
    (Suspect.AIR_FILTER, "look_and_feel"): (
        "Open the box and take the element out.",
        "Hold it against a lamp; look for oil, leaves, and a collapsed pleat.",
        "Look into the box and its inlet for anything that blocks.",
    ),
    (Suspect.TURBOCHARGER, "bench_test"): (
        "Take the inlet hose off and try the shaft: up and down, in and out.",
        "Turn it by hand: it must not touch the housing.",
        "Look for oil in both housings and at the blades for damage.",
    ),
    (Suspect.PRESSURE_SENSOR, "bench_test"): (
        "Key on, engine off, and read the sensor as the engine computer sees it.",
        "Compare with the barometer at your height, not the sea-level figure.",
    ),
    (Suspect.AIRFLOW_SENSOR, "bench_test"): (
        "Read airflow at warm idle and compare with the car's usual.",
        "Read it again at a steady engine speed without load.",
        "Look at the element for oil and dust, and touch nothing.",
    ),
}

PART_PASS: dict[tuple[Suspect, str], str] = {
    (Suspect.WASTEGATE, "bench_test"): "The rod moves smoothly from its set figure, holds, and the flap shuts.",
    (Suspect.POWER_LIMIT, "bench_test"): "No code that limits power, and boost is asked for in full.",
    (Suspect.AIR_FILTER, "look_and_feel"): "Light through every pleat and nothing in the box.",
    (Suspect.TURBOCHARGER, "bench_test"): "A little play up and down, none in and out, blades whole, housings dry.",
    (Suspect.PRESSURE_SENSOR, "bench_test"): "Within 2 kPa of the barometer.",
    (Suspect.AIRFLOW_SENSOR, "bench_test"): "As this car's usual, within a tenth.",
}
