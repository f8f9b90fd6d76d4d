"""Pages are asked for through the whole application, over a fresh migrated data folder."""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from fastapi import APIRouter, Depends, FastAPI
from starlette.requests import Request
from starlette.testclient import TestClient

from tests.pages.lan_client import Lan, served_to_the_network
from webapp.app import create_app, lay_over
from webapp.pages.access import access_of
from webapp.pages.deps import PERSON_COOKIE, know_people
from webapp.settings import Settings

ClientMaker = Callable[..., TestClient]
HERE = "http://127.0.0.1:8000"


def let_in(request: Request) -> None:
    """Stands before a test's own routes, which no table of roles knows."""
    request.state.access = access_of(request)


@pytest.fixture(scope="session")
def plain_app(tmp_path_factory: pytest.TempPathFactory) -> FastAPI:
    """One application for all tests: it learns its routes once, which takes longer than a page."""
    return create_app(Settings(data_dir=tmp_path_factory.mktemp("plain")))


@pytest.fixture
def client_with(settings: Settings, plain_app: FastAPI) -> Iterator[ClientMaker]:
    """Makes a client of the application, with routers of the test's own beside the pages."""
    made: list[TestClient] = []

    def make(*routers: APIRouter) -> TestClient:
        if made or routers:
            app = create_app(settings)
        else:
            app = plain_app
            lay_over(app, settings)
        for router in routers:
            app.include_router(router, dependencies=[Depends(know_people), Depends(let_in)])
        # One event loop for the client's life, as when it is served.
        client = TestClient(app, HERE, raise_server_exceptions=False)
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


@pytest.fixture(scope="session")
def office_db(migrated_db: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database after the first-run page. Copy it, never open it."""
    settings = Settings(data_dir=tmp_path_factory.mktemp("office"))
    shutil.copyfile(migrated_db, settings.database_path)
    app = create_app(settings)
    with TestClient(app, HERE) as client:
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
    app.state.engine.dispose()
    return settings.database_path


@pytest.fixture
def office(client: TestClient, settings: Settings, office_db: Path) -> TestClient:
    """The application after its first-run page, with its owner chosen."""
    assert not settings.database_path.with_name("loomwright.db-wal").exists()  # nobody opened it
    shutil.copyfile(office_db, settings.database_path)
    client.cookies.set(PERSON_COOKIE, "1", domain="127.0.0.1", path="/")
    return client


@pytest.fixture
def lan(settings: Settings, office_db: Path) -> Iterator[Lan]:
    """The application served to the workshop's network, with an owner who has a password."""
    shutil.copyfile(office_db, settings.database_path)
    with served_to_the_network(settings) as running:
        yield running
