"""Where each kind of record is shown."""

from app.records.record_heads import RecordHead

_PAGES = {
    "car": "/cars/{id}",
    "car_figures": "/cars/{car}/figures",
    "component": "/components/{id}",
    "line": "/lines/{id}",
    "joint": "/lines/{parent}",
    "job": "/jobs/{id}",
    "touch": "/jobs/{parent}",
    "loose_end": "/jobs/{parent}",
    "part_change": "/jobs/{parent}",
    "ticket": "/tickets/{id}",
    "sign": "/tickets/{parent}",
    "direct_check": "/tickets/{parent}",
    "stopgap": "/stopgaps/{id}",
    "reading": "/readings/{id}",
    "recheck": "/rechecks/{id}",
    "finding": "/findings/{id}",
    "drive": "/cars/{car}/drives/new",
    "event": "/events/{id}",
    "photo": "/photos/{id}",
    "tool": "/tools",
    "own_suspect": "/cars/{car}/experience",
    "overrule": "/cars/{car}/experience",
    "baseline": "/cars/{car}/readings",
    "overboost": "/logs/{parent}",
    "boost_target": "/cars/{car}/boost-target",
    "must": "/cars/{car}/musts",
    "looked_at": "/events/{parent}",
    "stage": "/cars/{car}/plan",
    "part": "/parts/{id}",
    "need": "/parts/{parent}",
    "fastener": "/fasteners/{id}",
    "wrench": "/wrenches",
    "hold_test": "/hold-tests/{id}",
    "trace": "/logs/{id}",
    "logger": "/loggers",
}
#: Shown struck out or not.
_ALWAYS = frozenset(
    {"hold_test", "trace", "stopgap", "reading", "photo", "tool", "own_suspect", "overrule", "boost_target"}
)


def address_of(head: RecordHead) -> str:
    """The page that shows a record, or, while it is struck out, that of what it belongs to, or of its car."""
    page = _PAGES.get(head.kind, "/cars/{car}")
    if head.void_reason and head.kind == "car":
        return "/cars"
    if head.void_reason and "{parent}" not in page and head.kind not in _ALWAYS:
        page = "/cars/{car}"
    return page.format(id=head.id, parent=head.parent, car=head.car)
