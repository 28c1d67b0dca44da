"""What comes after what: the edges of a plan, the cycles in them, and the layers they make.

Edges run from an item to the items that must be fitted before it. A need for a part to be here makes none: that part
may well be fitted after the item that only wants to see it arrive.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence

from app.plan.items import NeedKind, Plan

Edges = Mapping[str, Collection[str]]


def edges_of(plan: Plan) -> dict[str, list[str]]:
    """Each item of the plan, and the items of it that have to be fitted first."""
    return {
        item.id: [need.of for need in item.needs if need.kind is NeedKind.FITTED and need.of and need.of in plan.items]
        for item in plan.items.values()
    }


def way(edges: Edges, start: str, end: str) -> list[str] | None:
    """A shortest way along the edges from `start` to `end`, both of them in it; None if there is none."""
    came: dict[str, str] = {start: start}
    waiting = [start]
    for here in waiting:  # grows as it goes
        if here == end:
            path = [here]
            while path[-1] != start:
                path.append(came[path[-1]])
            return path[::-1]
        for there in edges.get(here, ()):
            if there not in came:
                came[there] = here
                waiting.append(there)
    return None


def closes(edges: Edges, item: str, needs: str) -> list[str] | None:
    """The cycle that would come about if `item` needed `needs` too, from the item back to itself; None if none."""
    back = way(edges, needs, item)
    return [item, *back] if back else None


def find_cycle(edges: Edges) -> list[str] | None:
    """One cycle, its first item named again at its end; None if and only if there is none."""
    for item in edges:
        for first in edges[item]:
            if found := closes(edges, item, first):
                return found
    return None


def layers(edges: Edges) -> list[list[str]]:
    """The items in layers: each lies in a later layer than all it needs, and in the first that it can lie in.

    Edges that close a cycle are left out, so that a plan with one can still be drawn.
    """
    kept = _without_cycles(edges)
    depth: dict[str, int] = {}
    for item in _deepest_first(kept):
        depth[item] = max((depth[one] + 1 for one in kept[item]), default=0)
    found: list[list[str]] = [[] for _ in range(max(depth.values(), default=-1) + 1)]
    for item in edges:
        found[depth[item]].append(item)
    return found


def _without_cycles(edges: Edges) -> dict[str, list[str]]:
    kept: dict[str, list[str]] = {item: [] for item in edges}
    for item, firsts in edges.items():
        for first in firsts:
            if first in kept and way(kept, first, item) is None:
                kept[item].append(first)
    return kept


def _deepest_first(edges: Mapping[str, Sequence[str]]) -> Iterator[str]:
    done: set[str] = set()
    for start in edges:
        waiting = [start]
        while waiting:
            item = waiting[-1]
            ahead = [one for one in edges[item] if one not in done]
            if ahead:
                waiting.extend(ahead)
                continue
            waiting.pop()
            if item not in done:
                done.add(item)
                yield item
