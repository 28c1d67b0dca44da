"""HTTP: one module a page, thin; templates/ mirrors it."""

from fastapi import APIRouter

from app.pages import cars

ROUTERS: tuple[APIRouter, ...] = (cars.router,)
