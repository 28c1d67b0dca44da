"""One thing a stretch shows: a figure, and what it could become in the record."""

from dataclasses import dataclass

from app.airpath.readings import Condition, ReadingKind
from app.traces.stretches import Stretch


@dataclass(frozen=True, slots=True)
class Shown:
    """`key` is what is shown; `begins` and `ends` (s) the part of the trace that shows it, on `channel`.

    `value` is in `unit`, a pressure in kPa absolute. `reading` is the kind it would be kept as (`free_name` names one
    of the free kind). `sign` is what it answers, `outcome` the answer where the trace gives it by itself; without one
    the car's own baseline has to judge the reading. Both are the vocabulary's keys.
    """

    key: str
    label: str
    stretch: Stretch
    begins: float
    ends: float
    channel: str
    value: float
    unit: str
    words: str
    reading: ReadingKind | None = None
    condition: Condition | None = None
    free_name: str | None = None
    sign: str | None = None
    outcome: str | None = None
    ambient_kpa: float | None = None

    @property
    def seconds(self) -> float:
        """How long the part that shows it lasts."""
        return self.ends - self.begins


#: What is told once for a trace, by how: the stretch that shows most of it, or the one in the middle of several.
_LONGEST = {
    "steady_boost",
    "boost_stability",
    "idle_vacuum",
    "idle_needle",
    "idle_quality",
    "idle_speed",
    "airflow_idle",
}
#: A fault that shows in one stretch is not undone by another that does not show it.
_WORST = {"boost_stability": "erratic", "idle_needle": "wavering", "idle_quality": "hunting"}


def chosen(found: list[Shown]) -> list[Shown]:
    """One of each thing shown, in the order they first came: the one to be kept, if any."""
    kinds = dict.fromkeys((one.key, one.free_name) for one in found)
    return [_best([one for one in found if (one.key, one.free_name) == kind]) for kind in kinds]


def _best(same: list[Shown]) -> Shown:
    key = same[0].key
    bad = [one for one in same if one.outcome is not None and one.outcome == _WORST.get(key)]
    if bad:
        return max(bad, key=lambda one: one.value)
    if key == "peak_boost":
        return max(same, key=lambda one: one.value)
    if key in _LONGEST:
        return max(same, key=lambda one: one.seconds)
    return sorted(same, key=lambda one: one.value)[len(same) // 2]
