import pytest
from sqlalchemy.orm import Session

from tests.stages.office import begin_job
from tests.stages.test_stage_line import add_unit
from webapp.records.bench import Unit
from webapp.records.catalogue import Part
from webapp.records.jobs import Project
from webapp.stages import journal, received, search
from webapp.stages.clock import today
from webapp.stages.design import commands, revisions, rows


def found(session: Session, text: str) -> dict[str, list[str]]:
    return {
        group.title: [hit.title for hit in group.hits] for group in search.search(session, text)
    }


@pytest.fixture
def job(session: Session) -> tuple[int, int, int]:
    """A job whose loom has a place, a need, a fitting, and two wires, one with a note."""
    project_id, loom_id, person_id = begin_job(session, notes="ring before Friday")
    session.add(Part(uid="t-ring", kind="terminal", name="Ring M8 test", facts={}))
    session.flush()
    new = [
        rows.Place(uid="p", name="battery box"),
        rows.Fitting(
            uid="f", place_uid="p", name="Main fuse", kind="fuse holder", part_uid="t-ring"
        ),
        rows.Circuit(uid="c", number=1, name="bilge pump"),
        rows.Link(uid="l1", number=11, circuit_uid="c", note="passes under the tank"),
        rows.Link(uid="l2", number=12, circuit_uid="c"),
        rows.WireEnd(uid="l1:from", link_uid="l1", terminal_part_uid="t-ring"),
    ]
    revision_id = revisions.latest(session, loom_id).id
    commands.write(session, revision_id, "typed", [commands.added(row) for row in new], person_id)
    session.flush()
    return project_id, loom_id, person_id


@pytest.mark.usefixtures("job")
def test_everything_at_hand_finds_the_job(session: Session) -> None:
    assert found(session, "launch friday")["Jobs"][0].endswith("Day launch")
    assert found(session, "DUNLIN")["Customers"] == ["Dunlin Day Boats"]
    assert found(session, "battery box")["Needs and places"] == ["battery box"]
    assert found(session, "main fuse")["Fittings"] == ["Main fuse"]
    assert found(session, "bilge")["Circuits"] == ["bilge pump"]
    assert found(session, "tank")["Wires"] == ["Wire 11"]
    assert found(session, "Ring M8 test") == {
        "Parts in looms": ["Ring M8 test"],
        "Stores": ["Ring M8 test"],
    }
    assert "Journals" in found(session, "is begun")
    assert found(session, "") == {}
    assert found(session, "nowhere to be found") == {}


@pytest.mark.usefixtures("job")
@pytest.mark.parametrize("text", ["12", "wire 12", "w12", "launch 12", "launch wire 12", "12a"])
def test_a_wire_is_found_by_its_number(session: Session, text: str) -> None:
    assert found(session, text)["Wires"] == ["Wire 12"]


@pytest.mark.usefixtures("job")
def test_a_wire_of_another_job_is_not_shown(session: Session) -> None:
    assert "Wires" not in found(session, "tractor 12")


@pytest.mark.usefixtures("job")
@pytest.mark.parametrize("text", ["%", "_", "day%launch", "d_y", "\\"])
def test_signs_of_the_query_language_are_only_characters(session: Session, text: str) -> None:
    assert "Jobs" not in found(session, text)


def test_only_the_latest_revision_is_looked_through(
    session: Session, job: tuple[int, int, int]
) -> None:
    _, loom_id, person_id = job
    first = revisions.latest(session, loom_id).id
    revisions.freeze(session, first, person_id, {})
    second = revisions.open_for_edit(session, loom_id)
    link = rows.load(session, second).link["l1"]
    commands.write(session, second, "typed", [commands.changed(link, note="over it")], person_id)
    session.flush()
    assert "Wires" not in found(session, "tank")
    assert found(session, "over it")["Wires"] == ["Wire 11"]


def test_a_lone_name_leads_straight_there(session: Session, job: tuple[int, int, int]) -> None:
    project_id, loom_id, person_id = job
    unit_id = add_unit(session, loom_id, person_id, 1)
    unit, project = session.get_one(Unit, unit_id), session.get_one(Project, project_id)
    assert search.straight_to(session, project.number) == search.Straight(project_id)
    assert search.straight_to(session, project.code.lower()) == search.Straight(project_id)
    there = search.Straight(project_id, loom_id, unit_id)
    assert search.straight_to(session, unit.serial.lower()) == there
    assert search.straight_to(session, "launch") is None
    assert found(session, unit.serial)["Units"] == [unit.serial]


def test_received_parts_and_journals(session: Session, job: tuple[int, int, int]) -> None:
    project_id, _, person_id = job
    received.add(
        session,
        project_id,
        what="VHF lead",
        quantity=1,
        from_whom="",
        received_on=today(),
        condition="chafed",
        person_id=person_id,
    )
    journal.write(session, project_id, "Rang about the chafed lead.", person_id)
    session.flush()
    assert found(session, "chafed") == {
        "Customers' parts": ["VHF lead"],
        "Journals": ["Rang about the chafed lead."],
    }


def test_a_long_group_says_that_there_is_more(session: Session) -> None:
    for number in range(26):
        begin_job(session, f"Customer {number}")
    (group,) = [group for group in search.search(session, "launch") if group.title == "Jobs"]
    assert len(group.hits) == 25
    assert group.more
