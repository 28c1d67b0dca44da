"""A hole of known size, seen only as a log shows it: the stated interval holds the truth in nine runs of ten."""

import numpy as np

from app.traces.channels import part
from app.traces.measures import shown
from app.traces.stretches import stretches
from app.traces.trace import Trace
from app.workings.leak_size import Breathing, Figure, Gauge, Leak, by_idle_vacuum, by_trims
from tests.traces.engine import Car
from tests.traces.generator import warm_idle

RUNS = 200


def leaking(dice: np.random.Generator) -> Car:
    """A car with a hole behind its airflow meter; what nobody knows of it differs from car to car."""
    return Car(
        hole_mm=float(dice.uniform(0.8, 2.6)),
        idle_rpm=float(dice.uniform(780, 920)),
        idle_kpa=float(dice.uniform(31, 37)),
        fills_idle=float(dice.uniform(0.53, 0.67)),
        meter=float(dice.uniform(0.97, 1.03)),
        trim_idle=float(dice.uniform(-1.5, 2.5)),
    )


def seen(trace: Trace) -> dict[str, float]:
    """Figures of the idle as a log shows them; both trims apart."""
    found = {one.key: one.value for one in shown(trace, stretches(trace))}
    for name in ("fuel_trim_short", "fuel_trim_long", "intake_air", "barometer"):
        found[name] = float(np.mean(part(trace, name, 0, trace.seconds)[1]))
    return found


def holds(leak: Leak, car: Car) -> bool:
    return leak.hole_mm.low <= car.hole_mm <= leak.hole_mm.high


def each() -> list[tuple[Car, dict[str, float]]]:
    dice = np.random.default_rng(2)
    cars = [leaking(dice) for _ in range(RUNS)]
    return [(car, seen(warm_idle(n, car))) for n, car in enumerate(cars)]


def test_the_interval_by_fuel_trims_holds_the_true_hole() -> None:
    right, widths = 0, []
    for car, one in each():
        leak = by_trims(
            Figure(one["airflow_idle"], 0.03 * one["airflow_idle"]),
            Figure(one["fuel_trim_short"], 0.6),
            Figure(one["fuel_trim_long"], 0.4),
            Figure(0.5, 2.0),  # what this car's trims add up to when healthy, as far as its baseline knows
            Gauge(Figure(one["idle_vacuum"], 0.5), 0),
            Figure(one["barometer"], 0.5),
            Figure(one["intake_air"], 8.0),
        )
        right += holds(leak, car)
        widths.append((leak.hole_mm.high - leak.hole_mm.low) / leak.hole_mm.value)
    assert right >= 0.9 * RUNS
    assert np.median(widths) < 0.5  # an interval that holds everything would be no answer


def test_the_interval_by_idle_vacuum_holds_the_true_hole() -> None:
    right, widths = 0, []
    for car, one in each():
        engine = Breathing(litres=Figure(1.9, 0.01), filling=Figure(0.6, 0.07), manifold_c=Figure(40.0, 8.0))
        leak = by_idle_vacuum(
            Gauge(Figure(round(car.idle_kpa), 0.5), 0),
            Gauge(Figure(one["idle_vacuum"], 0.5), 0),
            Figure(one["idle_speed"], 15.0),
            Figure(car.idle_rpm, 15.0),
            engine,
            Figure(one["barometer"], 0.5),
            Figure(one["intake_air"], 8.0),
        )
        right += holds(leak, car)
        widths.append((leak.hole_mm.high - leak.hole_mm.low) / leak.hole_mm.value)
    assert right >= 0.9 * RUNS
    assert np.median(widths) < 1.0


def test_without_a_hole_neither_way_is_sure_of_one() -> None:
    sure = 0
    for n in range(50):
        one = seen(warm_idle(n, Car()))
        leak = by_trims(
            Figure(one["airflow_idle"], 0.1),
            Figure(one["fuel_trim_short"], 0.6),
            Figure(one["fuel_trim_long"], 0.4),
            Figure(0.5, 2.0),
            None,
            Figure(one["barometer"], 0.5),
            Figure(one["intake_air"], 8.0),
        )
        sure += leak.is_sure
    assert sure == 0
