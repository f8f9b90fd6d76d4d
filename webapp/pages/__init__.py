"""One small module per screen. Each has a `router`, named here once."""

from fastapi import APIRouter

from . import (
    bench,
    building,
    customers,
    first_run,
    imports,
    instruments,
    jobs,
    label_sheets,
    looms,
    needs,
    past_jobs,
    people,
    rates,
    received,
    runs,
    search,
    settings,
    testing,
    undo,
    who,
)

ROUTERS: tuple[APIRouter, ...] = (
    who.router,
    first_run.router,
    jobs.router,
    looms.router,
    received.router,
    past_jobs.router,
    customers.router,
    search.router,
    rates.router,
    settings.router,
    people.router,
    instruments.router,
    label_sheets.router,
    building.router,
    bench.router,
    testing.router,
    needs.router,
    imports.router,
    runs.router,
    undo.router,
)
