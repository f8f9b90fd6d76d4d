from collections.abc import Callable

import pytest
from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response
from starlette.testclient import TestClient

from tests.pages.test_first_run import GOOD
from tests.pages.test_jobs import NEW
from webapp.pages.deps import ReadSession
from webapp.pages.loom_frame import loom_frame
from webapp.pages.render import render

sample = APIRouter()


@sample.get("/looms/{loom_id}/sample")
def page(request: Request, session: ReadSession, loom_id: int) -> Response:
    return render(request, "loom/frame.html", frame=loom_frame(session, loom_id))


@pytest.fixture
def client(client_with: Callable[..., TestClient]) -> TestClient:
    client = client_with(sample)
    client.post("/first-run", data=GOOD)
    client.post("/jobs/new", data=NEW)
    return client


def test_the_frame_says_which_loom_and_where_it_stands(client: TestClient) -> None:
    text = client.get("/looms/1/sample").text
    assert "-001 Day launch <em>main loom</em>" in text
    assert "6 units · 12 V, insulated return · due 12 Dec 2026" in text
    assert 'aria-current="step"' in text


def test_a_tab_is_shown_only_where_a_page_answers(client: TestClient) -> None:
    paths = client.app.state.page_paths  # type: ignore[attr-defined]
    paths -= {path for path in paths if path.startswith("/looms/{loom_id}/")}
    assert ">Wires</a>" not in client.get("/looms/1/sample").text
    paths.add("/looms/{loom_id}/wires")
    text = client.get("/looms/1/sample").text
    assert '<a href="/looms/1/wires">Wires</a>' in text
    assert ">Labels</a>" not in text


def test_a_loom_that_is_not_there(client: TestClient) -> None:
    assert client.get("/looms/9/sample").status_code == 404
