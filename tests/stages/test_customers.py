import pytest
from sqlalchemy.orm import Session

from tests.stages.office import begin_job
from webapp.records.customers import Customer
from webapp.stages import customers
from webapp.stages.customers import CustomerValues
from webapp.stages.refusals import ChangedMeanwhile, NotThere, Refused


def test_customers_are_listed_by_name_with_their_jobs(session: Session) -> None:
    begin_job(session)
    customers.add(session, CustomerValues("adder Lane Railway"))
    rows = customers.everybody(session)
    assert [(row.values.name, row.jobs) for row in rows] == [
        ("adder Lane Railway", 0),
        ("Dunlin Day Boats", 1),
    ]
    assert customers.get(session, rows[1].id) == rows[1]


def test_a_name_is_needed_and_its_own(session: Session) -> None:
    first = customers.add(session, CustomerValues("Dunlin"))
    for name in ("", "  ", "DUNLIN"):
        with pytest.raises(Refused) as caught:
            customers.add(session, CustomerValues(name))
        assert caught.value.field == "name"
    customers.edit(session, first, {"name": "Dunlin"}, {"name": "dunlin"})
    assert customers.get(session, first).values.name == "dunlin"


def test_an_edit_counts_and_a_clash_changes_nothing(session: Session) -> None:
    id_ = customers.add(session, CustomerValues("Dunlin", phone="1"))
    customers.edit(session, id_, {"phone": "1"}, {"phone": "2"})
    assert session.get_one(Customer, id_).version == 2
    with pytest.raises(ChangedMeanwhile):
        customers.edit(session, id_, {"phone": "1"}, {"phone": "3"})
    assert customers.get(session, id_).values.phone == "2"
    with pytest.raises(NotThere):
        customers.edit(session, id_ + 1, {}, {})
