"""Forms that are the same on every job's page of a car: a phone keeps them once for all of its jobs.

They are templates, made into a form when a tap asks for one (static/bay/forms.js, rows.js); without scripts each has a
page of its own.
"""

from functools import lru_cache

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.pages.job_card import LABELS, NOTHING, forms_mark, shared_by_pages
from app.pages.kept_for_good import PLACEHOLDER, answer
from app.pages.laid import Laid
from app.pages.shell import garage_of, render
from app.pages.which import the_car
from app.records.jobs import JobRow, nothing_yet

router = APIRouter()


@router.get("/cars/{car}/kept/job-forms/{mark}")
def job_forms(request: Request, car: str, mark: str) -> Response:
    """The forms of a job that has no id yet, each group of them in an element with its name in `data-form`."""
    with garage_of(request).read() as db:
        job = nothing_yet(PLACEHOLDER, the_car(db, car), "")
    return answer(_forms(job), "text/html", mark=forms_mark(job), asked=mark)


@lru_cache(maxsize=16)
def _forms(job: JobRow) -> str:
    return render("jobs/forms.html", {"job": job, "counts": NOTHING, **shared_by_pages(Laid({}, LABELS))})
