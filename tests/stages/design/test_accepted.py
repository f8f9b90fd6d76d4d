"""Accepted findings: what an acceptance holds for, and for how long."""

from dataclasses import replace

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from tests.stages.design.findings.samples import SOUND
from tests.stages.office import begin_job, somebody
from webapp.records.design import Revision
from webapp.stages import catalogue
from webapp.stages.design import accepted, commands, revisions, sign_off
from webapp.stages.design.accepted import Answered, answered, view_of
from webapp.stages.design.findings import Finding, findings_of
from webapp.stages.design.rows import Design, load
from webapp.stages.refusals import Refused
from webapp.stages.stage_line import move


def put(session: Session, loom_id: int, wanted: Design) -> int:
    revision_id = revisions.open_for_edit(session, loom_id)
    before = load(session, revision_id)
    after = replace(wanted, basis=replace(wanted.basis, uid=before.basis.uid))
    commands.write(session, revision_id, "Change", commands.difference(before, after), None)
    return revision_id


@pytest.fixture
def loom_id(session: Session) -> int:
    catalogue.load_seed(session)
    _, loom_id, _ = begin_job(session)
    put(session, loom_id, lossy(0.9))
    return loom_id


def lossy(lasting: float) -> Design:
    """A fuse-link of which the lamp takes a large share, which is a warning."""
    rows = {
        uid: replace(each, load_a=lasting * each.fuse_a if each.fuse_a else lasting)
        for uid, each in SOUND.bridge.items()
        if each.kind == "load" and each.need_uid == "lamp"
    }
    board = next(
        each
        for each in SOUND.bridge.values()
        if each.kind == "fuse" and SOUND.fitting[each.fitting_uid].kind == "fuse board"
    )
    rows[board.uid] = replace(board, fuse_a=1.0)
    return replace(SOUND, bridge=SOUND.bridge | rows)


def warning(session: Session, loom_id: int) -> Finding:
    return next(
        each
        for each in findings_of(view_of(session, loom_id))
        if each.rule == "fuse near its rating"
    )


def state(session: Session, loom_id: int, finding: Finding) -> Answered:
    (one,) = answered(session, loom_id, [finding])
    return one


def accept(session: Session, loom_id: int) -> Finding:
    finding = warning(session, loom_id)
    accepted.accept(session, loom_id, finding, "It is on for a minute.", somebody(session))
    return finding


def test_an_acceptance_names_its_person_and_reason(session: Session, loom_id: int) -> None:
    finding = accept(session, loom_id)
    now = state(session, loom_id, finding).accepted
    assert now is not None
    assert (now.person, now.reason) == ("Ada Quill", "It is on for a minute.")
    assert state(session, loom_id, replace(finding, uid="other")).accepted is None


def test_it_lapses_when_the_words_change_and_that_is_said(session: Session, loom_id: int) -> None:
    old = accept(session, loom_id)
    put(session, loom_id, lossy(0.95))
    new = warning(session, loom_id)
    assert new.sentence != old.sentence
    now = state(session, loom_id, new)
    assert now.accepted is None
    assert now.lapsed is not None
    assert now.lapsed.sentence == old.sentence


def test_what_was_withdrawn_neither_holds_nor_lapses(session: Session, loom_id: int) -> None:
    finding = accept(session, loom_id)
    accepted.withdraw(session, loom_id, finding, somebody(session))
    now = state(session, loom_id, finding)
    assert (now.accepted, now.lapsed) == (None, None)


def test_errors_and_what_is_not_said_are_refused(session: Session, loom_id: int) -> None:
    finding = warning(session, loom_id)
    odd = replace(finding, sentence="Something else.")
    with pytest.raises(Refused, match="not said"):
        accepted.accept(session, loom_id, odd, "So be it.", somebody(session))
    link = next(iter(SOUND.link.values()))
    put(session, loom_id, replace(SOUND, link=SOUND.link | {link.uid: replace(link, main="")}))
    error = next(
        each for each in findings_of(view_of(session, loom_id)) if each.rule == "no colour"
    )
    with pytest.raises(Refused, match="cannot be accepted"):
        accepted.accept(session, loom_id, error, "So be it.", somebody(session))


def test_it_is_frozen_with_the_revision_and_holds_in_the_next(
    session: Session, loom_id: int
) -> None:
    finding = accept(session, loom_id)
    move(session, loom_id, None, "design", somebody(session))
    gate = sign_off.gate(session, loom_id)
    assert gate.obstacles == ()
    assert finding not in [each.finding for each in gate.warnings]
    assert finding in [each.finding for each in gate.accepted]
    sign_off.sign_off(session, loom_id, gate.revision.id, somebody(session))
    figures = session.scalars(select(Revision.figures).where(Revision.id == gate.revision.id)).one()
    (frozen,) = [each for each in figures["noted"] if each["sentence"] == finding.sentence]
    assert frozen["accepted"]["reason"] == "It is on for a minute."
    revisions.open_for_edit(session, loom_id)
    assert state(session, loom_id, finding).accepted is not None
