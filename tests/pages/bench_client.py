"""The application with the small launch in it, for the pages after sign-off."""

import secrets
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy.orm import Session
from starlette.testclient import TestClient

from tests.stages import launch, passing
from tests.stages.launch import Launch
from webapp.database import reading, writing
from webapp.stages.building import units


@contextmanager
def write(client: TestClient) -> Iterator[Session]:
    with writing(client.app.state.engine) as session:  # type: ignore[attr-defined]
        yield session


def read(client: TestClient, ask: Callable[[Session], Any]) -> Any:
    with reading(client.app.state.engine) as session:  # type: ignore[attr-defined]
        return ask(session)


def with_launch(client: TestClient, *, signed: bool = True) -> Launch:
    """Puts the launch in; its one person is chosen, as in a workshop of one."""
    with write(client) as session:
        return launch.signed_off(session) if signed else launch.begin(session)


def start(client: TestClient, made: Launch, depth: str = "full") -> list[int]:
    with write(client) as session:
        return units.start(session, made.loom_id, made.person_id, depth)


def set_up_crimps(client: TestClient, made: Launch, unit_id: int) -> None:
    """Every tool of the unit is set up, so that its crimps can be ticked."""
    with write(client) as session:
        passing.set_up_crimps(session, made, unit_id)


def entry(step_uid: str, **more: Any) -> dict[str, Any]:
    """An entry as a device's outbox sends it."""
    return {
        "key": secrets.token_hex(16),
        "step_uid": step_uid,
        "state": "done",
        "person_id": 1,
        "note": "",
        "client_at": "2026-11-24T10:14:00.000Z",
        **more,
    }
