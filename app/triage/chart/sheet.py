"""A chart laid out on a sheet of A4, upright, as numbers ready for SVG. One unit is a point as printed.

A box goes straight on, downwards, with its likeliest answer; the others leave its stem to the right. So the sheet is
as wide as ways turn off, and not as deep as questions follow each other, and the common way reads like a list.
"""

from dataclasses import dataclass, field

from app.triage.chart.figure import Again, Branch, Chart, End, Ending, Place, Question, Work
from app.triage.chart.lettering import LEADING, TEXT, Line, Run, broken, width_of
from app.triage.chart.words import KEPT, minutes, percent, work_words

#: A4 within margins of 10 mm, pt.
WIDTH = 538.0
HEIGHT = 785.0
#: What stands above the drawing (name, day, what was counted), and below it beside the cautions, pt.
HEADING = 39.0
FOOT = 20.0

STEM = 9.0  # from a box's left edge to the stem under it
TURN = 106.0  # how far to the right the other answers' boxes begin
CHECKS = 344.0  # where the checks of the wider ends begin, all under each other
NARROWEST = 190.0  # a box that must be narrower stands too far to the right
PAD = 3.2
GAP = 3.6
TICK = 6.0  # the square to tick beside a check


@dataclass(frozen=True, slots=True)
class Text:
    """A line of text from its left end, `y` its baseline."""

    x: float
    y: float
    line: Line


@dataclass(frozen=True, slots=True)
class Framed:
    """A box or an end with its text. `kind`: `question`, `again`, or why a way ends. `number` is a question's own."""

    kind: str
    x: float
    y: float
    w: float
    h: float
    texts: tuple[Text, ...]
    number: int | None = None
    ticks: tuple[tuple[float, float], ...] = ()

    @property
    def disc(self) -> tuple[float, float]:
        """Where the middle of the number's disc is: on the stem, in the first line."""
        return self.x + STEM, self.y + PAD + LEADING / 2


@dataclass(frozen=True, slots=True)
class Answer:
    """What an answer is called, with its probability, and the room its text takes."""

    x: float
    y: float
    w: float
    h: float
    texts: tuple[Text, ...]


@dataclass(slots=True)
class Sheet:
    """Everything the template needs. `stems` are strokes, `heads` the points of their arrows, each as path data."""

    width: float = WIDTH
    height: float = 0.0
    boxes: list[Framed] = field(default_factory=list)
    answers: list[Answer] = field(default_factory=list)
    stems: list[str] = field(default_factory=list)
    heads: list[str] = field(default_factory=list)


def sheet_of(chart: Chart) -> Sheet:
    """The chart laid out; its height is what it takes."""
    sheet = Sheet()
    sheet.height = _Hand(chart, sheet).place(chart.top, 1.0, 1.0) + 1.0
    return sheet


def fits_the_paper(chart: Chart) -> bool:
    """Whether the chart goes on one sheet with its heading and its cautions, every box wide enough to read."""
    sheet = sheet_of(chart)
    cautions = sum(len(broken((Run(f"A {caution}"),), WIDTH - 4)) for caution in chart.cautions)
    wide_enough = all(box.x + NARROWEST <= WIDTH for box in sheet.boxes)
    return wide_enough and HEADING + sheet.height + FOOT + cautions * (LEADING + 0.5) <= HEIGHT


class _Hand:
    """Draws on a sheet, from the top down."""

    def __init__(self, chart: Chart, sheet: Sheet) -> None:
        self.chart, self.sheet = chart, sheet

    def place(self, place: Place, x: float, y: float, first: float = 0.0) -> float:
        """Draw `place` with its top left at x, y, the middle of its first box `first` or more below; its bottom."""
        if isinstance(place, Question):
            return self.question(place, x, y, first)
        box = self.again(place, x, y) if isinstance(place, Again) else self.ending(place, x, y)
        moved = _moved(box, max(first - box.h / 2, 0.0))
        self.sheet.boxes.append(moved)
        return max(moved.y + moved.h, y + 2 * first)

    def question(self, question: Question, x: float, y: float, first: float) -> float:
        step, takes = question.work.step, work_words(question.work.step) + self.mind(question.work)
        asks = f"  {step.label}" if step.kind == "ask" else ""
        lines = broken((Run(question.work.name, strong=True), Run(f"{asks}  {takes}")), WIDTH - x - 2 * STEM - PAD - 1)
        h = len(lines) * LEADING + 2 * PAD
        y += max(first - h / 2, 0.0)
        w = 2 * STEM + max(map(width_of, lines)) + PAD
        box = Framed("question", x, y, w, h, _texts(lines, x + 2 * STEM, y + PAD), question.number)
        self.sheet.boxes.append(box)
        bottom = y + h + GAP
        for branch in question.branches[:-1]:
            bottom = self.aside(branch, x, bottom) + GAP
        return self.straight_on(question.branches[-1], x, y + h, bottom)

    def aside(self, branch: Branch, x: float, y: float) -> float:
        left, right = x + STEM + 9, x + TURN
        lines = broken(_answer(branch), right - left - 12)
        h = len(lines) * LEADING
        at = len(self.sheet.boxes)
        bottom = self.place(branch.to, right, y, h / 2)
        box = self.sheet.boxes[at]
        middle = box.y + box.h / 2
        w = max(map(width_of, lines))
        self.sheet.answers.append(Answer(left, middle - h / 2, w, h, _texts(lines, left, middle - h / 2)))
        self.sheet.stems += [f"M{x + STEM:.1f} {middle:.1f}h6", f"M{left + w + 3:.1f} {middle:.1f}H{right - 3:.1f}"]
        self.sheet.heads.append(f"M{right - 1:.1f} {middle:.1f}l-4.5 -2.6v5.2z")
        return bottom

    def straight_on(self, branch: Branch, x: float, top: float, y: float) -> float:
        left = x + STEM + 9
        lines = broken(_answer(branch), WIDTH - left)
        h = len(lines) * LEADING
        w = max(map(width_of, lines))
        self.sheet.answers.append(Answer(left, y, w, h, _texts(lines, left, y)))
        at = len(self.sheet.boxes)
        bottom = self.place(branch.to, x, y + h + GAP)
        down = self.sheet.boxes[at].y
        self.sheet.stems.append(f"M{x + STEM:.1f} {top:.1f}V{down - 3:.1f}")
        self.sheet.heads.append(f"M{x + STEM:.1f} {down - 1:.1f}l-2.6 -4.5h5.2z")
        return bottom

    def again(self, again: Again, x: float, y: float) -> Framed:
        line = (Run("Go on at "), Run(str(again.number), strong=True), Run(f", {again.name}"))
        return Framed("again", x, y, width_of(line) + 2 * PAD, LEADING + 2 * PAD, _texts([line], x + PAD, y + PAD))

    def ending(self, ending: Ending, x: float, y: float) -> Framed:
        """The suspects, and beside them the check; below them where there is no room beside."""
        left = x + PAD
        beside = x <= 1.0 + TURN
        room = (CHECKS - 8 if beside else WIDTH - PAD) - left
        leads = broken(_leads(ending, room), room)
        check_x = CHECKS if beside else left
        top = y + PAD + (0.0 if beside else len(leads) * LEADING)
        ticked = TICK + 4 if ending.check else 0.0
        then = broken(self.then(ending), WIDTH - PAD - 1 - check_x - ticked)
        texts = (*_texts(leads, left, y + PAD), *_texts(then, check_x + ticked, top))
        rows = max(len(leads), len(then)) if beside else len(leads) + len(then)
        ticks = ((check_x, top + (LEADING - TICK) / 2),) if ending.check else ()
        return Framed(ending.why.value, x, y, WIDTH - 1 - x, rows * LEADING + 2 * PAD, texts, ticks=ticks)

    def then(self, ending: Ending) -> Line:
        if ending.check is not None:
            return (Run(f"{ending.check.name}, {minutes(ending.check.step)}{self.mind(ending.check)}"),)
        return (Run(WITHOUT_CHECK[ending.why]),)

    def mind(self, work: Work) -> str:
        letter = self.chart.mind(work)
        return f", mind{KEPT}{letter}" if letter else ""


#: What to do at an end that has no check to name.
WITHOUT_CHECK: dict[End, str] = {
    End.CLEAR: "No check here tells more.",
    End.NOTHING_LEFT: "No check here tells more.",
    End.PAPER: "Open a ticket: it goes on there.",
    End.OTHERWISE: "Open a ticket: it goes on there.",
}


def _answer(branch: Branch) -> Line:
    return (Run(f"{branch.label}{KEPT}"), Run(percent(branch.probability), strong=True))


def _leads(ending: Ending, room: float) -> Line:
    runs: list[Run] = []
    for place, lead in enumerate(ending.leads):
        name = Run(lead.name + KEPT, strong=place == 0 and ending.why is End.CLEAR)
        share = Run(percent(lead.probability), strong=True)
        if width_of((name, share)) <= room:
            name = Run(name.text.replace(" ", KEPT), name.strong)
        runs += [Run(f"{KEPT}· "), name, share] if place else [name, share]
    return tuple(runs)


def _texts(lines: tuple[Line, ...] | list[Line], x: float, top: float) -> tuple[Text, ...]:
    # The baseline lies so that a capital letter stands in the middle of its line.
    base = top + LEADING / 2 + TEXT * 0.35
    return tuple(Text(x, base + LEADING * row, line) for row, line in enumerate(lines))


def _moved(box: Framed, down: float) -> Framed:
    if down == 0.0:
        return box
    texts = tuple(Text(each.x, each.y + down, each.line) for each in box.texts)
    ticks = tuple((x, y + down) for x, y in box.ticks)
    return Framed(box.kind, box.x, box.y + down, box.w, box.h, texts, box.number, ticks)
