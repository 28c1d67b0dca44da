"""HTTP: one module a page, thin; templates/ mirrors it."""

from fastapi import APIRouter

from app.pages import (
    air_path,
    baselines,
    build_sheets,
    cars,
    closing,
    components,
    findings,
    histories,
    jobs,
    joints,
    lines,
    looks,
    loose_ends,
    parts,
    reading_forms,
    readings,
    rechecks,
    replacements,
    touches,
)

ROUTERS: tuple[APIRouter, ...] = (
    cars.router,
    air_path.router,
    build_sheets.router,
    components.router,
    histories.router,
    joints.router,
    lines.router,
    replacements.router,
    reading_forms.router,
    readings.router,
    baselines.router,
    closing.router,
    findings.router,
    jobs.router,
    looks.router,
    loose_ends.router,
    parts.router,
    rechecks.router,
    touches.router,
)
