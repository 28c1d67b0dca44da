"""The whole bench as a table: `python -m tests.bench.report [layout ...]`. It takes minutes.

Ends with status 1 when a disagreement between bench and table has not been judged in `disagreements.toml`.
"""

import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor

from app.airpath.words import Layout
from tests.bench.judging import Verdict, faults, judged
from tests.bench.summary import Dispute, Score, disputes, evenly, listed, score, share_of

# One process a layout, two at a time; each layout's healthy day is then run only once.
_HEAD = f"{'':22}{'faults':>7}{'first':>8}{'three':>8}{'checks':>8}{'best 1':>8}{'best 3':>8}"


def main(names: Sequence[str]) -> int:
    """Run the layouts named, or all of them, and print figures and disagreements."""
    layouts = [Layout(name) for name in names] or list(Layout)
    with ProcessPoolExecutor(2) as pool:
        verdicts = [verdict for group in pool.map(_all_of, layouts) for verdict in group]
    print("\n".join(_figures(verdicts)))
    unjudged = list(_disagreements(disputes(verdicts)))
    print(f"\n{len(unjudged)} disagreements not judged")
    return 1 if unjudged else 0


def _all_of(layout: Layout) -> list[Verdict]:
    return [judged(layout, number) for number in range(len(faults(layout)))]


def _figures(verdicts: Sequence[Verdict]) -> Iterator[str]:
    silent = sum(not verdict.shown for verdict in verdicts)
    yield f"{len(verdicts)} faults, {silent} of them show no sign at all and are left out below"
    yield "first, three: the culprit's role came first, among three. checks: direct checks to it, by probability."
    yield "best 1, best 3: what signs alone allow, for some faults of several roles show exactly the same."
    for heading, weight in (("every fault alike", evenly), ("weighed by the app's own base rates", share_of)):
        yield f"\n{heading}\n{_HEAD}"
        yield _line("all", score(verdicts, weight))
        for layout in Layout:
            if group := [verdict for verdict in verdicts if verdict.layout is layout]:
                yield _line(layout.value, score(group, weight))
    yield from _grid(verdicts)
    yield from _confusions(verdicts)


def _line(name: str, of: Score) -> str:
    shares = "".join(f"{100 * share:7.0f}%" for share in (of.first, of.three))
    best = "".join(f"{100 * share:7.0f}%" for share in (of.best_first, of.best_three))
    return f"{name:22}{of.count:7}{shares}{of.checks:8.1f}{best}"


def _grid(verdicts: Sequence[Verdict]) -> Iterator[str]:
    yield "\nby role and layout, every fault alike: first % / three % / checks (faults)"
    yield f"{'':20}" + "".join(f"{name:>22}" for name in (*Layout, "all"))
    for kind in sorted({verdict.kind for verdict in verdicts}):
        of_kind = [verdict for verdict in verdicts if verdict.kind == kind]
        groups = [[verdict for verdict in of_kind if verdict.layout is layout] for layout in Layout]
        yield f"{kind:20}" + "".join(f"{_cell(group):>22}" for group in (*groups, of_kind))


def _cell(group: Sequence[Verdict]) -> str:
    if not any(verdict.shown for verdict in group):
        return "-"
    of = score(group, evenly)
    return f"{100 * of.first:.0f} / {100 * of.three:.0f} / {of.checks:.1f} ({of.count})"


def _confusions(verdicts: Sequence[Verdict]) -> Iterator[str]:
    yield "\nmost often blamed in another's place"
    wrong = Counter((each.fault.role.value, each.blamed) for each in verdicts if each.shown and each.role_place > 1)
    for (culprit, blamed), times in wrong.most_common(20):
        yield f"{times:5}  {culprit} taken for {blamed}"


def _disagreements(found: dict[Dispute, list[tuple[Verdict, float]]]) -> Iterator[Dispute]:
    judgements = listed()
    print(f"\n{len(found)} disagreements: the bench shows it, the table thinks it unlikely (below 10 %)")
    for dispute, cases in found.items():
        judgement = judgements.get(dispute)
        chances = f"{min(chance for _, chance in cases):.3f}"
        where = sorted({f"{verdict.layout.value}/{verdict.fault.name}" for verdict, _ in cases})
        word = "NOT JUDGED" if judgement is None else judgement["verdict"]
        print(f"{word:10} {' '.join(dispute)} (p {chances}): {', '.join(where[:4])}{' ...' if len(where) > 4 else ''}")
        if judgement is None:
            yield dispute


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
