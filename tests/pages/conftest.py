"""Pages are asked for through the whole application, over a fresh migrated data folder."""

from collections.abc import Callable, Iterator

import pytest
from fastapi import APIRouter, Depends
from starlette.testclient import TestClient

from webapp.app import create_app
from webapp.pages.deps import know_people
from webapp.settings import Settings

ClientMaker = Callable[..., TestClient]


@pytest.fixture
def client_with(settings: Settings) -> Iterator[ClientMaker]:
    """Makes a client of the application, with routers of the test's own beside the pages."""
    made: list[TestClient] = []

    def make(*routers: APIRouter) -> TestClient:
        app = create_app(settings)
        for router in routers:
            app.include_router(router, dependencies=[Depends(know_people)])
        # One event loop for the client's life, as when it is served.
        client = TestClient(app, "http://127.0.0.1:8000", raise_server_exceptions=False)
        made.append(client.__enter__())
        return client

    yield make
    for client in made:
        client.__exit__(None, None, None)
        client.app.state.engine.dispose()  # type: ignore[attr-defined]


@pytest.fixture
def client(client_with: ClientMaker) -> TestClient:
    """The application as it is."""
    return client_with()


@pytest.fixture
def office(client: TestClient) -> TestClient:
    """The application after its first-run page, with its owner chosen."""
    answer = client.post(
        "/first-run",
        data={
            "name": "Tern Lane Looms",
            "currency": "£",
            "person_name": "Ada Quill",
            "initials": "AQ",
        },
    )
    assert answer.url.path == "/jobs"
    return client
