from datetime import date

import pytest
from sqlalchemy.orm import Session

from tests.stages.office import begin_job
from webapp.records.jobs import Loom, Project
from webapp.stages import codes


def test_codes_leave_out_characters_that_look_alike(session: Session) -> None:
    for kind in codes.type_of_letter:
        code = codes.new_code(session, kind)
        assert len(code) == 6
        assert code[0] == kind
        assert not set(code[1:]) & set("01IO")
        assert code == codes.as_code(code)


@pytest.mark.parametrize("typed", ["jab2c3", " JAB 2C3 ", "jab-2c3"])
def test_a_code_may_be_typed_in_any_way(typed: str) -> None:
    assert codes.as_code(typed) == "JAB2C3"


@pytest.mark.parametrize("typed", ["", "JAB2C", "JAB2C34", "JAB2C0", "XAB2C3", "boats", "26-041"])
def test_other_words_are_no_codes(typed: str) -> None:
    assert codes.as_code(typed) is None


def test_a_code_leads_to_what_it_names(session: Session) -> None:
    project_id, loom_id, _ = begin_job(session)
    project, loom = session.get_one(Project, project_id), session.get_one(Loom, loom_id)
    assert codes.find(session, project.code.lower()) == codes.Named("J", project_id)
    assert codes.find(session, loom.code) == codes.Named("L", project_id, loom_id)
    assert codes.find(session, "L22222") is None


def test_job_numbers_run_on_within_a_year_and_past_999(session: Session) -> None:
    assert codes.next_job_number(session, date(2031, 5, 1)) == "31-001"
    project_id, _, _ = begin_job(session)
    project = session.get_one(Project, project_id)
    project.number = "31-999"
    session.flush()
    assert codes.next_job_number(session, date(2031, 12, 31)) == "31-1000"
    project.number = "31-1000"
    session.flush()
    assert codes.next_job_number(session, date(2031, 12, 31)) == "31-1001"
    assert codes.next_job_number(session, date(2032, 1, 1)) == "32-001"
