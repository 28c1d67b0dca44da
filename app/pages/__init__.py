"""HTTP: one module a page, thin; templates/ mirrors it."""

from fastapi import APIRouter

from app.pages import (
    air_path,
    cars,
    components,
    histories,
    joints,
    lines,
    replacements,
)

ROUTERS: tuple[APIRouter, ...] = (
    cars.router,
    air_path.router,
    components.router,
    histories.router,
    joints.router,
    lines.router,
    replacements.router,
)
