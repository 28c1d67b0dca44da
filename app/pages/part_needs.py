"""What a part's page says of what the part needs first."""

from typing import Any

from app.airpath.readings import READINGS, ReadingKind
from app.plan.items import NeedKind, Plan
from app.plan.order import closes, edges_of
from app.plan.ready import is_met
from app.triage.at_hand import TOOLS
from app.triage.signs import NEED_LABEL

_TOOLS = [(tool.value, label) for tool, label in NEED_LABEL.items() if tool in TOOLS]
_READINGS = [(kind.value, one.label) for kind, one in READINGS.items() if kind is not ReadingKind.FREE]


def needs_shown(plan: Plan, part: str) -> dict[str, Any]:
    """What a part's page says of its needs: each, the choices for another, and what would close a cycle."""
    item = plan.items[part]
    edges = edges_of(plan)
    others = [one for one in plan.items.values() if one.id != part and one.state != "gone"]
    cycles = {one.id: path for one in others if (path := closes(edges, part, one.id))}
    asking = [one for one in plan.items.values() for need in one.needs if need.of == part]
    return {
        "needs": [(need, is_met(plan, need), _gone(plan, need.of, need.kind)) for need in item.needs],
        "others": [(one.id, one.name) for one in others],
        "cycles": {one: cycle_said(plan, path) for one, path in cycles.items()},
        "asking": list({one.id: one for one in asking}.values()),
        "tools": _TOOLS,
        "readings": _READINGS,
    }


def cycle_said(plan: Plan, path: list[str]) -> str:
    """A cycle in words: "Tune needs Pump, which needs Loom, which needs Tune"."""
    names = [plan.items[one].name for one in path]
    return f"{names[0]} needs " + ", which needs ".join(names[1:])


def _gone(plan: Plan, of: str | None, kind: NeedKind) -> bool:
    other = plan.items.get(of or "")
    return kind in {NeedKind.FITTED, NeedKind.HERE} and (other is None or other.state == "gone")
