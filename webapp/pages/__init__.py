"""One small module per screen. Each has a `router`, named here once."""

from fastapi import APIRouter

from . import who

ROUTERS: tuple[APIRouter, ...] = (who.router,)
