"""The sizing functions as JSON: what goes in, what comes out, and refusals as problem details."""

from fastapi import APIRouter

from . import cutting, network, parts, protection, wires

router = APIRouter()
for part in (wires, protection, network, parts, cutting):
    router.include_router(part.router)
