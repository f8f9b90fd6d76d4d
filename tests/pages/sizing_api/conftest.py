"""The calls alone, without database or pages: they need neither."""

from collections.abc import Callable, Iterator
from typing import Any

import httpx
import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from webapp.pages import sizing_api

Call = Callable[..., httpx.Response]


@pytest.fixture(scope="module")
def api() -> Iterator[TestClient]:
    app = FastAPI()
    app.include_router(sizing_api.router)
    with TestClient(app, raise_server_exceptions=False) as client:
        yield client


@pytest.fixture(scope="module")
def call(api: TestClient) -> Call:
    """Sends a request, given as fields or as a whole body."""

    def send(name: str, body: Any = None, **fields: Any) -> httpx.Response:
        sent = fields if body is None else body
        return api.post(f"/api/sizing/{name}", json=sent)

    return send
