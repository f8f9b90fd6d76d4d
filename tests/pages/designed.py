"""A loom with a proposed design, to edit through its pages."""

import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy.orm import Session
from starlette.testclient import TestClient

from tests.pages.conftest import ClientMaker
from tests.stages.design.need_lists import CATALOGUE, design, lamp
from tests.stages.office import begin_job
from webapp.database import make_engine, writing
from webapp.settings import Settings
from webapp.stages import catalogue, workshop
from webapp.stages.design import commands, revisions
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Design, Fitting, Link, load
from webapp.stages.workshop import WorkshopValues

LOOM = "/looms/1"


def needs() -> Design:
    """Three lamps and a horn behind a relay, with a plug at the helm."""
    lamps = [lamp(f"lamp{n}", name=f"Lamp {n}") for n in range(3)]
    horn = lamp(
        "horn", name="Horn", kind="resistive", rating=4.0, rating_unit="A",
        control="push button via relay", service="horn",
    )  # fmt: skip
    return design([*lamps, horn], plug_place_uids=("helm",), fuse_board_place_uid="battery box")


PROPOSED = propose(needs(), CATALOGUE).design


def put_design(session: Session, loom_id: int, wanted: Design) -> None:
    revision_id = revisions.open_for_edit(session, loom_id)
    before = load(session, revision_id)
    after = replace(wanted, basis=replace(wanted.basis, uid=before.basis.uid))
    commands.write(session, revision_id, "Propose", commands.difference(before, after), 1)


@pytest.fixture(scope="session")
def designed_db(migrated_db: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workshop of one with one loom, its design proposed. Copy it, never open it."""
    path = tmp_path_factory.mktemp("designed") / "designed.db"
    shutil.copyfile(migrated_db, path)
    engine = make_engine(path)
    with writing(engine) as session:
        workshop.set_up(
            session,
            WorkshopValues(name="Tern Lane Looms"),
            person_name="Ada Quill",
            initials="AQ",
            demo=False,
        )
        catalogue.load_seed(session)
        begin_job(session)
        put_design(session, 1, PROPOSED)
    engine.dispose()
    return path


@pytest.fixture
def loom(settings: Settings, designed_db: Path, client_with: ClientMaker) -> TestClient:
    """The application over that workshop."""
    shutil.copyfile(designed_db, settings.database_path)
    return client_with()


def now(client: TestClient) -> Design:
    """The design as it is kept."""
    with Session(client.app.state.engine) as session:  # type: ignore[attr-defined]
        return load(session, revisions.latest(session, 1).id)


def wire(number: int = 2) -> Link:
    return next(link for link in PROPOSED.link.values() if link.number == number)


def fitting(name: str) -> Fitting:
    return next(each for each in PROPOSED.fitting.values() if each.name == name)
