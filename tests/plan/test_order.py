"""Cycles and layers, against every way there is, tried one by one."""

from itertools import pairwise, permutations

from hypothesis import given

from app.plan.items import Plan
from app.plan.order import closes, edges_of, find_cycle, layers
from tests.plan.plans import plans


def _can_be_ordered(edges: dict[str, list[str]]) -> bool:
    """Whether some order of all items has each after what it needs: every order is tried."""
    return any(
        all(order.index(first) < order.index(item) for item, firsts in edges.items() for first in firsts)
        for order in permutations(edges)
    )


@given(plan=plans(most=6))
def test_a_cycle_is_found_if_and_only_if_there_is_no_order(plan: Plan) -> None:
    edges = edges_of(plan)
    cycle = find_cycle(edges)
    assert (cycle is None) == _can_be_ordered(edges)
    if cycle:
        assert cycle[0] == cycle[-1]
        assert all(there in edges[here] for here, there in pairwise(cycle))


@given(plan=plans(acyclic=True))
def test_every_layer_lies_after_all_that_it_needs_and_no_later_than_it_must(plan: Plan) -> None:
    edges = edges_of(plan)
    found = layers(edges)
    depth = {item: number for number, layer in enumerate(found) for item in layer}
    assert sorted(depth) == sorted(edges)
    for item, firsts in edges.items():
        assert depth[item] == max((depth[first] + 1 for first in firsts), default=0)


@given(plan=plans())
def test_a_plan_with_a_cycle_is_still_layered_once_each(plan: Plan) -> None:
    found = [item for layer in layers(edges_of(plan)) for item in layer]
    assert sorted(found) == sorted(plan.items)


@given(plan=plans(acyclic=True, most=6))
def test_a_need_is_refused_if_and_only_if_it_would_close_a_cycle(plan: Plan) -> None:
    edges = edges_of(plan)
    for item in edges:
        for needs in edges:
            path = closes(edges, item, needs)
            with_it = edges | {item: [*edges[item], needs]}
            assert (path is None) == _can_be_ordered(with_it)
            assert path is None or (path[0], path[1], path[-1]) == (item, needs, item)
