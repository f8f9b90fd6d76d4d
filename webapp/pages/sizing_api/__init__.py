"""The sizing functions as JSON: what goes in, what comes out, and refusals as problem details."""

from fastapi import APIRouter

from . import cutting, network, parts, wires

router = APIRouter()
for part in (wires, network, parts, cutting):
    router.include_router(part.router)
