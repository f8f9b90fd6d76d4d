"""Backups on the Settings page."""

import re
from datetime import datetime

import pytest
from starlette.testclient import TestClient

from webapp import backups
from webapp.pages.backups import size_shown


def shown(office: TestClient) -> str:
    text = office.get("/settings").text
    section = text[text.index('<section id="backups">') :]
    return " ".join(re.sub(r"<[^>]*>", " ", section[: section.index("</section>")]).split())


def test_none_yet_then_one_at_the_press_of_a_button(office: TestClient) -> None:
    assert "No backup yet." in shown(office)
    assert "Last good one none yet" in shown(office)
    answer = office.post("/backups")
    assert answer.url.path == "/settings"
    assert "The backup is made and checked." in answer.text
    (made,) = office.app.state.settings.backups_dir.iterdir()  # type: ignore[attr-defined]
    words = shown(office)
    assert f"MB, read back and checked: {made.name}" in words
    assert f"Kept 1, {size_shown(made.stat().st_size)} in all, in {made.parent}" in words
    assert "restore FILE --data NEW-FOLDER" in words
    assert "No backup" not in words


def test_an_old_one_is_a_warning(office: TestClient) -> None:
    folder = office.app.state.settings.backups_dir  # type: ignore[attr-defined]
    office.post("/backups")
    (made,) = folder.iterdir()
    made.rename(folder / "daily-2024-02-29-101500.db")
    words = shown(office)
    assert "No backup for two days." in words
    assert "29 Feb 2024, 10:15" in words
    assert datetime(2024, 2, 29, 10, 15).astimezone() < datetime.now().astimezone()


def test_a_failure_says_why_and_breaks_nothing(
    office: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    office.post("/backups")
    (made,) = office.app.state.settings.backups_dir.iterdir()  # type: ignore[attr-defined]
    made.rename(made.with_name("daily-2026-01-02-101500.db"))  # of another second than the next

    def full(*_given: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(backups, "_find_room", full)
    answer = office.post("/backups")
    assert answer.status_code == 200
    assert "The last backup failed" in answer.text
    assert "No space left on device" in answer.text
    assert "Last good one" in answer.text
    monkeypatch.undo()


@pytest.mark.parametrize(
    ("size_bytes", "words"),
    [(0, "0.0 MB"), (1_240_000, "1.2 MB"), (999_000_000, "999.0 MB"), (1_500_000_000, "1.50 GB")],
)
def test_sizes(size_bytes: int, words: str) -> None:
    assert size_shown(size_bytes) == words
