"""The day launch through its pages: a job begun, and its lists pasted in."""

import re
from html import unescape
from pathlib import Path

from httpx2 import Response
from starlette.testclient import TestClient

from tests.pages.reading import fields

LISTS = Path(__file__).parents[1] / "day_launch"
JOB = {
    "new_customer": "Dunlin Day Boats",
    "title": "Day launch",
    "equipment": "day launch 6.4 m with inboard diesel",
    "setting": "craft",
    "nominal_v": "12",
    "polarity": "insulated return",
    "due_on": "",
    "notes": "",
    "loom_name": "main loom",
    "loom_quantity": "6",
}
FILES = {"needs": "needs.csv", "runs": "runs.csv", "facts": "job.csv"}


def begin(office: TestClient) -> str:
    """Begins the job; returns its loom's address."""
    assert office.post("/jobs/new", data=JOB).status_code == 200
    return "/looms/1"


def day_launch(what: str) -> str:
    return (LISTS / FILES[what]).read_text(encoding="utf-8")


def look(client: TestClient, loom: str, what: str, text: str) -> Response:
    """Pastes a list and looks at it."""
    return client.post(f"{loom}/import", data={"what": what, "text": text})


def confirm(client: TestClient, loom: str, preview: Response, **new: str) -> Response:
    """Imports what the preview shows."""
    return client.post(f"{loom}/import/rows", data=sent(preview) | new)


def sent(answer: Response) -> dict[str, str]:
    """What the page's form would send, without the pattern of a new row."""
    return {name: value for name, value in fields(answer).items() if "__n__" not in name}


def bring_in(client: TestClient, loom: str, what: str, text: str) -> Response:
    return confirm(client, loom, look(client, loom, what, text))


def day_launch_loom(office: TestClient) -> str:
    """The day launch with all its lists in."""
    loom = begin(office)
    for what in FILES:
        answer = bring_in(office, loom, what, day_launch(what))
        assert answer.url.path == f"{loom}/needs", what
    return loom


def words(answer: Response) -> str:
    """The page without its tags."""
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", answer.text)).split())
