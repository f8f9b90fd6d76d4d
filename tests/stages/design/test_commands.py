"""Edits are journalled commands; undo and redo replay them; signed-off revisions are frozen."""

import pytest
from sqlalchemy import select, text
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from tests.stages.design.need_lists import design, lamp
from tests.stages.office import begin_job, somebody
from webapp.records.design import DesignCommand, Revision
from webapp.stages import catalogue
from webapp.stages.design import commands, entry, proposing, revisions, sign_off
from webapp.stages.design.commands import Clash, added, changed, write
from webapp.stages.design.entry import TypedTable
from webapp.stages.design.rows import Place, load
from webapp.stages.refusals import Refused
from webapp.stages.stage_line import move


@pytest.fixture
def loom_id(session: Session) -> int:
    catalogue.load_seed(session)
    _, loom_id, _ = begin_job(session)
    return loom_id


def enter(session: Session, loom_id: int) -> int:
    """The needs of one lamp, entered as rows."""
    revision_id = revisions.open_for_edit(session, loom_id)
    wanted = design([lamp()])
    rows = [*wanted.place.values(), *wanted.run.values(), *wanted.need.values()]
    write(session, revision_id, "Entered", [added(row) for row in rows], None)
    basis = load(session, revision_id).basis
    write(session, revision_id, "Battery", [changed(basis, supply_place_uid="battery box")], None)
    return revision_id


def dump(session: Session, revision_id: int) -> object:
    return load(session, revision_id)


def test_undo_and_redo_lead_back_and_forth_exactly(session: Session, loom_id: int) -> None:
    revision_id = revisions.latest(session, loom_id).id
    states = [dump(session, revision_id)]
    enter(session, loom_id)
    states.append(dump(session, revision_id))
    last = commands.last_id(session, revision_id)
    proposing.take(session, loom_id, last, somebody(session))
    states.append(dump(session, revision_id))
    assert len(load(session, revision_id).link) > 3
    commands.undo(session, revision_id, None)
    assert dump(session, revision_id) == states[1]
    commands.undo(session, revision_id, None)
    commands.undo(session, revision_id, None)
    assert dump(session, revision_id) == states[0]
    for _ in range(3):
        commands.redo(session, revision_id, None)
    assert dump(session, revision_id) == states[2]
    with pytest.raises(Refused):
        commands.redo(session, revision_id, None)


def test_the_journal_keeps_every_step(session: Session, loom_id: int) -> None:
    revision_id = enter(session, loom_id)
    commands.undo(session, revision_id, None)
    sentences = session.scalars(
        select(DesignCommand.sentence)
        .where(DesignCommand.revision_id == revision_id)
        .order_by(DesignCommand.id)
    ).all()
    assert sentences[-3:] == ["Entered", "Battery", "Undo: Battery"]


def test_an_edit_after_undo_forgets_what_was_undone(session: Session, loom_id: int) -> None:
    revision_id = enter(session, loom_id)
    commands.undo(session, revision_id, None)
    write(session, revision_id, "Other", [added(Place(uid="x", name="Mast"))], None)
    assert commands.next_redo(session, revision_id) is None
    assert commands.next_undo(session, revision_id) == "Other"


def test_edits_of_different_fields_merge_and_of_the_same_clash(
    session: Session, loom_id: int
) -> None:
    revision_id = enter(session, loom_id)
    edit = (session, revision_id, "run", "r0")
    commands.set_fields(*edit, {"length_mm": 2500}, {"length_mm": 2000}, None, "Longer")
    commands.set_fields(*edit, {"surround_c": 50.0}, {"surround_c": 35.0}, None, "Hotter")
    run = load(session, revision_id).run["r0"]
    assert (run.length_mm, run.surround_c) == (2500, 50.0)
    assert set(run.by_hand) == {"length_mm", "surround_c"}
    with pytest.raises(Clash) as clash:
        commands.set_fields(*edit, {"length_mm": 2600}, {"length_mm": 2000}, None, "Mine")
    assert (clash.value.seen, clash.value.current, clash.value.wanted) == (2000, 2500, 2600)
    assert load(session, revision_id).run["r0"].length_mm == 2500


def test_setting_what_somebody_else_set_alike_is_no_clash(session: Session, loom_id: int) -> None:
    revision_id = enter(session, loom_id)
    edit = (session, revision_id, "run", "r0")
    commands.set_fields(*edit, {"length_mm": 2500}, {"length_mm": 2000}, None, "One")
    commands.set_fields(*edit, {"length_mm": 2500}, {"length_mm": 2000}, None, "Two")
    assert load(session, revision_id).run["r0"].length_mm == 2500


def test_a_stale_proposal_is_not_taken(session: Session, loom_id: int) -> None:
    revision_id = enter(session, loom_id)
    seen = commands.last_id(session, revision_id)
    write(session, revision_id, "Meanwhile", [added(Place(uid="x", name="Mast"))], None)
    with pytest.raises(Refused, match="changed since"):
        proposing.take(session, loom_id, seen, somebody(session))


def signed(session: Session, loom_id: int) -> int:
    revision_id = enter(session, loom_id)
    proposing.take(session, loom_id, commands.last_id(session, revision_id), somebody(session))
    move(session, loom_id, None, "design", somebody(session))
    assert sign_off.gate(session, loom_id).obstacles == ()
    sign_off.sign_off(session, loom_id, revision_id, somebody(session))
    return revision_id


def _person(session: Session) -> int:
    return int(session.scalars(text("SELECT id FROM person ORDER BY id")).first() or 0)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE link SET csa_mm2 = 1 WHERE revision_id = :id",
        "DELETE FROM link WHERE revision_id = :id",
        "UPDATE basis SET limit_c = 200 WHERE revision_id = :id",
        "INSERT INTO place (revision_id, uid, position, origin, by_hand, version, name, note) "
        "VALUES (:id, 'new', 0, '', '[]', 1, 'x', '')",
        "UPDATE revision SET signed_off_at = NULL WHERE id = :id",
        "DELETE FROM revision WHERE id = :id",
        "UPDATE design_command SET sentence = '' WHERE revision_id = :id",
        "DELETE FROM design_command WHERE revision_id = :id",
    ],
)
def test_the_database_itself_refuses(session: Session, loom_id: int, statement: str) -> None:
    revision_id = signed(session, loom_id)
    with pytest.raises(IntegrityError, match=r"signed off|append-only"):
        session.execute(text(statement), {"id": revision_id})


def test_the_next_edit_begins_the_next_revision_with_the_same_uids(
    session: Session, loom_id: int
) -> None:
    first = signed(session, loom_id)
    second = revisions.open_for_edit(session, loom_id)
    assert second != first
    assert load(session, second) == load(session, first)
    assert revisions.latest(session, loom_id).letter == "B"
    assert revisions.open_for_edit(session, loom_id) == second


def test_signing_the_same_revision_twice_is_signing_once(session: Session, loom_id: int) -> None:
    revision_id = signed(session, loom_id)
    revision = session.get_one(Revision, revision_id)
    when = revision.signed_off_at
    sign_off.sign_off(session, loom_id, revision_id, somebody(session))
    assert revision.signed_off_at == when
    assert revision.figures["wires"]


def test_an_unfinished_design_is_not_signed_off(session: Session, loom_id: int) -> None:
    revision_id = enter(session, loom_id)
    move(session, loom_id, None, "design", somebody(session))
    sentences = [one.sentence for one in sign_off.gate(session, loom_id).obstacles]
    assert any("no wires" in sentence for sentence in sentences)
    with pytest.raises(Refused):
        sign_off.sign_off(session, loom_id, revision_id, somebody(session))


def test_a_need_that_is_taken_out_lets_its_proposed_rows_go(session: Session, loom_id: int) -> None:
    revision_id = enter(session, loom_id)
    proposing.take(session, loom_id, commands.last_id(session, revision_id), somebody(session))
    shown = entry.shown(load(session, revision_id), "need")
    entry.save(session, loom_id, {"need": TypedTable([], shown)}, somebody(session))
    session.commit()
    after = load(session, revision_id)
    assert not after.need
    assert after.link
    assert not any(circuit.need_uid for circuit in after.circuit.values())
    commands.undo(session, revision_id, None)
    assert load(session, revision_id).need
