"""What is signed off stays as it is, whoever writes; undo stays within it; uids survive."""

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from tests.stages import launch as launches
from tests.stages.launch import Launch
from webapp.records.design import DESIGN_TABLES, Cable, Removed
from webapp.stages.design import commands, revisions
from webapp.stages.design.commands import added, changed, removed, write
from webapp.stages.design.comparing import fingerprint
from webapp.stages.design.rows import Link, load
from webapp.stages.design.wires import wires
from webapp.stages.refusals import Refused


@pytest.fixture
def launch(session: Session) -> Launch:
    """Signed off, with at least one row in every table."""
    launch = launches.begin(session)
    own = {"revision_id": launch.revision_id, "uid": "only"}
    session.add_all([Cable(**own, name="pair", kind="twisted pair"), Removed(**own, what="a lamp")])
    session.flush()
    launches.sign_off(session, launch)
    return launch


@pytest.mark.parametrize("table", DESIGN_TABLES)
@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE {} SET position = 99 WHERE revision_id = :id",
        "DELETE FROM {} WHERE revision_id = :id",
        "INSERT INTO {0} SELECT * FROM {0} WHERE revision_id = :id",
    ],
)
def test_no_row_of_any_table_changes(
    session: Session, launch: Launch, table: str, statement: str
) -> None:
    count = text(f"SELECT count(*) FROM {table} WHERE revision_id = :id")
    assert session.scalar(count, {"id": launch.revision_id})
    with pytest.raises(IntegrityError, match="signed off"):
        session.execute(text(statement.format(table)), {"id": launch.revision_id})


def test_the_design_s_own_writer_refuses(session: Session, launch: Launch) -> None:
    link = load(session, launch.revision_id).link["l1"]
    with pytest.raises(Refused, match="signed off"):
        write(session, launch.revision_id, "x", [changed(link, main="blue")], launch.person_id)


def test_undo_does_not_cross_a_sign_off(session: Session, launch: Launch) -> None:
    kept = fingerprint(load(session, launch.revision_id))
    with pytest.raises(Refused):
        commands.undo(session, launch.revision_id, launch.person_id)
    newer = revisions.open_for_edit(session, launch.loom_id)
    assert commands.next_undo(session, newer) is None
    with pytest.raises(Refused, match="nothing to undo"):
        commands.undo(session, newer, launch.person_id)
    link = load(session, newer).link["l1"]
    write(session, newer, "Blue", [changed(link, main="blue")], launch.person_id)
    commands.undo(session, newer, launch.person_id)
    assert fingerprint(load(session, newer)) == kept
    with pytest.raises(Refused, match="nothing to undo"):
        commands.undo(session, newer, launch.person_id)
    commands.redo(session, newer, launch.person_id)
    assert load(session, newer).link["l1"].main == "blue"
    assert fingerprint(load(session, launch.revision_id)) == kept


def test_wires_and_their_ends_keep_their_uids(session: Session, launch: Launch) -> None:
    """Whatever is added and taken out beside them."""
    before = {
        wire.uid: {end.uid for end in wire.ends}
        for wire in wires(load(session, launch.revision_id))
    }
    newer = revisions.open_for_edit(session, launch.loom_id)
    design = load(session, newer)
    beside = Link(uid="new", number=30, circuit_uid="c1", from_way_uid="switch.out", route=())
    changes = [
        added(beside),
        removed(design.link["l8"]),
        changed(design.link["l2"], number=31, csa_mm2=4.0),
    ]
    write(session, newer, "Edit", changes, launch.person_id)
    after = {wire.uid: {end.uid for end in wire.ends} for wire in wires(load(session, newer))}
    assert after.keys() - before.keys() == {"new.0"}
    assert before.keys() - after.keys() == {"l8.0"}
    assert all(after[uid] == before[uid] for uid in before.keys() & after.keys())
    assert {"l2.0", "l2.1"} <= after.keys()
