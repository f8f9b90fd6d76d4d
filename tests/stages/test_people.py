from typing import Any

import pytest
from sqlalchemy.orm import Session

from webapp.stages import people
from webapp.stages.access import devices
from webapp.stages.access.devices import LOG_IN
from webapp.stages.refusals import NotThere, Refused


@pytest.fixture
def owner_id(session: Session) -> int:
    return people.add(session, name="Ada Quill", initials="AQ", role="owner")


def test_people_are_listed_with_those_who_left_last(session: Session, owner_id: int) -> None:
    gone = people.add(session, name="Aaron Reed", initials="AR", role="bench")
    people.edit(session, gone, {}, {"active": False})
    assert [(p.name, p.active) for p in people.everybody(session)] == [
        ("Ada Quill", True),
        ("Aaron Reed", False),
    ]
    assert people.get(session, owner_id).role == "owner"


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"name": " "}, "name"),
        ({"name": "ada quill"}, "name"),
        ({"initials": ""}, "initials"),
        ({"initials": "aq"}, "initials"),
        ({"initials": "ABCDE"}, "initials"),
        ({"role": "guest"}, "role"),
    ],
)
def test_a_person_is_refused(
    session: Session, owner_id: int, values: dict[str, str], field: str
) -> None:
    good = {"name": "Tom Hale", "initials": "TH", "role": "bench"}
    with pytest.raises(Refused) as caught:
        people.add(session, **(good | values))
    assert caught.value.field == field


@pytest.mark.parametrize(
    ("change", "field"), [({"active": False}, "active"), ({"role": "bench"}, "role")]
)
def test_one_active_owner_always_stays(
    session: Session, owner_id: int, change: dict[str, Any], field: str
) -> None:
    with pytest.raises(Refused) as caught:
        people.edit(session, owner_id, {}, change)
    assert caught.value.field == field
    people.add(session, name="Tom Hale", initials="TH", role="owner")
    people.edit(session, owner_id, {}, change)


def test_who_comes_back_logs_in_anew(session: Session, owner_id: int) -> None:
    jo = people.add(session, name="Jo Sparrow", initials="JS", role="office")
    _, token = devices.begin(session, kind=LOG_IN, name="b", address="", person_id=jo)
    people.edit(session, jo, {}, {"active": False})
    people.edit(session, jo, {}, {"active": True})
    assert devices.known(session, token) is None


def test_a_person_who_is_not_there(session: Session) -> None:
    with pytest.raises(NotThere):
        people.edit(session, 7, {}, {"name": "x"})
