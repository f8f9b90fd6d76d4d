"""Where a splice lies, and what is blanked, set by hand on the fitting's own page."""

import shutil
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from tests.pages.conftest import ClientMaker
from tests.pages.designed import LOOM, designed_db, now, put_design  # noqa: F401
from tests.stages.design.findings.cases_joints import sealed
from tests.stages.design.findings.cases_splices import SPLICED, splices
from webapp.database import make_engine, writing
from webapp.settings import Settings
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import wires


@pytest.fixture
def holding(
    settings: Settings,
    designed_db: Path,  # noqa: F811
    client_with: ClientMaker,
) -> "Holding":
    shutil.copyfile(designed_db, settings.database_path)
    return Holding(settings, client_with)


class Holding:
    """The application over a workshop whose loom is another design."""

    def __init__(self, settings: Settings, client_with: ClientMaker) -> None:
        self.settings, self.client_with = settings, client_with

    def of(self, design: Design) -> TestClient:
        engine = make_engine(self.settings.database_path)
        with writing(engine) as session:
            put_design(session, 1, design)
        engine.dispose()
        return self.client_with()


def send(client: TestClient, uid: str, field: str, value: str, seen: str) -> int:
    data = {"field": field, "value": value, "seen": seen}
    status: int = client.post(f"{LOOM}/fittings/{uid}?page=one", data=data).status_code
    return status


def test_a_splice_is_moved_along_its_run_and_its_wires_follow(holding: Holding) -> None:
    client = holding.of(SPLICED)
    splice = splices()[0]
    page = client.get(f"{LOOM}/fittings/{splice.uid}").text
    assert "Set back into" in page
    before = {wire.number: wire.length_mm for wire in wires(now(client))}
    further = str((splice.along_mm or 0) + 200)
    assert send(client, splice.uid, "along_mm", further, str(splice.along_mm)) == 200
    after = now(client)
    assert after.fitting[splice.uid].along_mm == int(further)
    assert "along_mm" in after.fitting[splice.uid].by_hand
    changed = {
        wire.number: (wire.length_mm or 0) - (before[wire.number] or 0)
        for wire in wires(after)
        if wire.length_mm != before[wire.number]
    }
    # The trunk wire comes to it sooner, the others have farther to go.
    assert set(changed.values()) == {200, -200}


def test_a_splice_is_set_back_at_its_place_or_refused(holding: Holding) -> None:
    client = holding.of(SPLICED)
    splice = splices()[0]
    run = splice.along_run_uid or ""
    assert send(client, splice.uid, "along_mm", "99999", str(splice.along_mm)) == 422
    assert send(client, splice.uid, "along_run_uid", "nowhere", run) == 422
    assert send(client, splice.uid, "along_run_uid", "", run) == 200
    assert now(client).fitting[splice.uid].along_mm is None
    assert send(client, splice.uid, "along_mm", "80", "") == 422
    assert send(client, splice.uid, "along_run_uid", run, "") == 200
    assert now(client).fitting[splice.uid].along_mm == 60


def test_empty_cavities_are_blanked_and_opened_again(holding: Holding) -> None:
    design = sealed()
    client = holding.of(design)
    half = next(each for each in design.fitting.values() if each.kind == "plug")
    assert "Empty cavities" in client.get(f"{LOOM}/fittings/{half.uid}").text
    assert send(client, half.uid, "blanked", "yes", "no") == 200
    assert now(client).fitting[half.uid].blanked
    assert send(client, half.uid, "blanked", "no", "yes") == 200
    assert not now(client).fitting[half.uid].blanked
    other = next(each for each in design.fitting.values() if each.kind == "socket")
    assert "Empty cavities" not in client.get(f"{LOOM}/fittings/{other.uid}").text
    assert send(client, other.uid, "blanked", "yes", "no") == 422
