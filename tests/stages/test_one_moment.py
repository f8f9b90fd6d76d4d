"""What a reading transaction has read it keeps; a later one, and a writer, reads anew."""

from sqlalchemy import Engine
from sqlalchemy.orm import Session

from tests.stages.office import begin_job
from webapp.database import reading, writing
from webapp.stages.design import commands, entry, revisions
from webapp.stages.one_moment import once


def test_a_reader_reads_once_until_its_transaction_ends(engine: Engine) -> None:
    read: list[str] = []

    def count() -> int:
        # As every reading does: the transaction begins with it.
        session.connection()
        read.append("")
        return len(read)

    with reading(engine) as session:
        assert [once(session, "a", count), once(session, "a", count)] == [1, 1]
        assert once(session, ("a", 2), count) == 2
        session.rollback()
        assert once(session, "a", count) == 3


def test_a_reader_sees_one_design_and_the_next_reader_what_was_written(engine: Engine) -> None:
    with writing(engine) as session:
        _project_id, loom_id, person_id = begin_job(session)
    with reading(engine) as first:
        before = entry.latest(first, loom_id)
        with writing(engine) as session:
            _set_ambient(session, loom_id, person_id, 45.0)
        assert entry.latest(first, loom_id) is before
    with reading(engine) as later:
        assert entry.latest(later, loom_id).basis.ambient_c == 45.0


def test_a_writer_sees_what_it_has_written(engine: Engine) -> None:
    with writing(engine) as session:
        _project_id, loom_id, person_id = begin_job(session)
        for ambient_c in (40.0, 45.0):
            _set_ambient(session, loom_id, person_id, ambient_c)
            assert entry.latest(session, loom_id).basis.ambient_c == ambient_c


def _set_ambient(session: Session, loom_id: int, person_id: int, ambient_c: float) -> None:
    basis = entry.latest(session, loom_id).basis
    change = commands.changed(basis, ambient_c=ambient_c)
    revision_id = revisions.open_for_edit(session, loom_id)
    commands.write(session, revision_id, "Warmer", [change], person_id)
