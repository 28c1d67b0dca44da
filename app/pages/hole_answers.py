"""What the page of a leak's size answers, in words: boxes as typed in, what to show and what was wrong with a box out.

The phone answers the same without the garage (static/bay/hole.js); tests/browser/test_hole.py holds the two to each
other.
"""

from collections.abc import Callable, Mapping

from app.pages.hole_boxes import Boxes
from app.pages.hole_words import NEEDED, SAYS, SIZES, About
from app.pages.words import number
from app.pages.working_boxes import Answer
from app.workings.leak_hold import ISOTHERMAL_FROM_S, by_hold, explained_by_cooling
from app.workings.leak_size import (
    Breathing,
    Figure,
    Leak,
    Span,
    Untold,
    by_boost,
    by_idle_vacuum,
    by_trims,
    litres_a_minute,
)

#: The leak with what is to be said beside it; None where a box is still empty.
Found = tuple[Leak, tuple[str, ...]] | None


#: Less no gauge shows.
_WORTH_SAYING_KPA = 0.1


_PLACES = ((100, 0), (10, 1), (0.1, 2), (0.01, 3))


def answer(way: str, typed: Mapping[str, str], about: About) -> Answer:
    """What is told of the leak. `size` is its class, where it can be put on a ticket; `untold` why it can't be told."""
    cant = about.cant(way)
    if cant:
        return Answer({"untold": cant})
    boxes = Boxes(typed, about)
    try:
        found = _WAYS[way](boxes)
    except Untold as untold:
        return Answer({} if boxes.wrong else {"untold": str(untold)}, boxes.wrong)
    if found is None or boxes.wrong:
        return Answer(wrong=boxes.wrong)
    leak, beside = found
    says = _told(leak, about)
    if boxes.supposed:
        beside = (*beside, SAYS["supposed"].format(parts="; ".join(boxes.supposed)))
    return Answer(says | {f"beside{place}": said for place, said in enumerate(beside, 1)})


def _trims(boxes: Boxes) -> Found:
    air = boxes.air()
    airflow, short, long = boxes.airflow(), boxes.trim("short"), boxes.trim("long")
    usual, manifold, temp = boxes.usual_trim(), boxes.pressure("now", air), boxes.or_supposed("temp")
    if airflow is None or short is None or long is None or boxes.wrong:
        return None
    return by_trims(airflow, short, long, usual, manifold, air, temp), ()


def _vacuum(boxes: Boxes) -> Found:
    air = boxes.air()
    now, usual, speed, usual_speed = (
        boxes.pressure("now", air),
        boxes.pressure("usual", air),
        boxes.figure("rpm"),
        boxes.figure("rpm_usual"),
    )
    temp, healthy = boxes.or_supposed("temp"), boxes.figure("idle_gs")
    breathes = Breathing(healthy_gs=healthy) if healthy else _engine(boxes, "manifold", "ve_vacuum")
    if now is None or usual is None or speed is None or boxes.wrong:
        return None
    if not breathes.healthy_gs and not breathes.litres:
        raise Untold(SAYS["no_engine"])
    return by_idle_vacuum(usual, now, speed, usual_speed, breathes, air, temp), (SAYS["held_open"],)


def _hold(boxes: Boxes) -> Found:
    air = boxes.air()
    before, after, took = boxes.pressure("before", air), boxes.pressure("after", air), boxes.took()
    volume = boxes.figure("volume")
    if before is None or after is None or took is None or boxes.wrong:
        return None
    start, rise = boxes.temperatures(took.value)
    if boxes.wrong:
        return None
    if volume is None:
        raise Untold(SAYS["no_volume"])
    leak = by_hold(volume, before, after, took, air, start, rise)
    beside = [SAYS["heat"]] if took.value < ISOTHERMAL_FROM_S else []
    if boxes.text("start") and boxes.text("end"):
        kpa = before.absolute(before.figure.value, air.value)
        off = abs(explained_by_cooling(kpa, start.value, start.value + rise.value))
        beside += [SAYS["cooling"].format(kpa=number(off, 1))] if off >= _WORTH_SAYING_KPA else []
    else:
        beside.append(SAYS["cold"])
    return leak, tuple(beside)


def _boost(boxes: Boxes) -> Found:
    air = boxes.air()
    target, reached = boxes.pressure("target", air), boxes.pressure("reached", air)
    speed, metered, breathes = boxes.figure("rpm"), boxes.airflow(), _engine(boxes, "charge", "ve_boost")
    if target is None or reached is None or speed is None or boxes.wrong:
        return None
    if not breathes.litres:
        raise Untold(SAYS["no_displacement"])
    beside = (SAYS["boost_too"],) if metered else (SAYS["boost_too"], SAYS["as_much"])
    return by_boost(target, reached, speed, breathes, metered, air), beside


def _engine(boxes: Boxes, temperature: str, filling: str) -> Breathing:
    litres = boxes.figure("litres")
    if litres is None:
        return Breathing()
    percent = boxes.or_supposed("ve", filling)
    celsius = boxes.or_supposed("charge", temperature)
    return Breathing(None, litres, Figure(percent.value / 100, percent.within / 100), celsius)


_WAYS: Mapping[str, Callable[[Boxes], Found]] = {"trims": _trims, "vacuum": _vacuum, "hold": _hold, "boost": _boost}
assert _WAYS.keys() == NEEDED.keys()  # noqa: S101 - a way without an answer would be a page without one


def _told(leak: Leak, about: About) -> dict[str, str]:
    size, widest = leak.size, f"{figured(leak.hole_mm.high)} mm"
    if size is None:
        return {"untold": SAYS["anything"].format(hole=widest)}
    if size == "none" and leak.flow_gs.high < 0:
        return {"size": size, "means": SAYS["other_way"]}
    says = {"size": size, "flow": _flow(leak), "litres": _litres(leak), "hole": _hole(leak)}
    if size == "none":
        return says | {"means": SAYS["none"].format(hole=widest)}
    says["means"] = SAYS[size]
    others = [SIZES[one] for one in leak.may_be if one != size]
    if others:
        says["also"] = SAYS["also"].format(classes=" or ".join(others))
    if about.bores:
        says["bores"] = _bores(leak.hole_mm, about)
    return says


def _bores(hole: Span, about: About) -> str:
    within = [bore for bore in about.bores if hole.low <= bore.mm <= hole.high]
    named = [f"{bore.name} ({number(bore.mm)} mm)" for bore in within or about.bores[:1]]
    if within:
        more = [f"{len(named) - 3} more"] if len(named) > 3 else []
        return SAYS["as_wide"].format(lines=", ".join([*named[:3], *more]))
    if hole.high < about.bores[0].mm:
        return SAYS["narrower"].format(lines=named[0])
    return SAYS["wider"] if hole.low > about.bores[-1].mm else SAYS["between"]


def _flow(leak: Leak) -> str:
    return _in_unit(leak.flow_gs, leak.flow_gs.high, (1.0, "g/s"), (1000.0, "mg/s"), 0.001)


def _litres(leak: Leak) -> str:
    flow = leak.flow_gs
    span = Span(*(litres_a_minute(each) for each in (flow.low, flow.value, flow.high)))
    return _in_unit(span, span.high, (1.0, "l/min"), (1000.0, "ml/min"), 0.1)


def _hole(leak: Leak) -> str:
    return _spread(leak.hole_mm, 1.0, "mm")


def _in_unit(span: Span, most: float, usual: tuple[float, str], small: tuple[float, str], below: float) -> str:
    times, unit = small if most < below else usual
    return _spread(span, times, unit)


def _spread(span: Span, times: float, unit: str) -> str:
    """`2.48 mm (2.20 to 2.71)`; without a least of its own, `0 to 0.12 mm`."""
    if span.low <= 0:
        return f"0 to {figured(span.high * times)} {unit}"
    return f"{figured(span.value * times)} {unit} ({figured(span.low * times)} to {figured(span.high * times)})"


def figured(value: float) -> str:
    """A worked-out figure, to two or three digits."""
    return number(value, next((places for least, places in _PLACES if value >= least), 4))
