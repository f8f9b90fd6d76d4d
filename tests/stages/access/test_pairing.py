"""A code pairs one tablet, once, within ten minutes."""

import re
from datetime import timedelta

import pytest
from sqlalchemy import update
from sqlalchemy.orm import Session

from webapp.records.access import PairingCode
from webapp.records.base import now
from webapp.stages import people
from webapp.stages.access import devices, pairing
from webapp.stages.refusals import NotThere, Refused

ADDRESS = "192.168.1.30"


@pytest.fixture
def ada(session: Session) -> int:
    return people.add(session, name="Ada Quill", initials="AQ", role="owner")


def refused(session: Session, code: str) -> str:
    with pytest.raises(Refused) as refusal:
        pairing.pair(session, code, ADDRESS)
    assert refusal.value.field == "code"
    return refusal.value.sentence


def test_a_code_pairs_once(session: Session, ada: int) -> None:
    made = pairing.make(session, " Bench 1 ", ada)
    name, token = pairing.pair(session, made.code, ADDRESS)
    assert name == "Bench 1"
    found = devices.known(session, token)
    assert found
    assert (found[0].kind, found[0].name, found[0].person_id) == ("tablet", "Bench 1", None)
    assert pairing.standing(session, made.id).used
    refused(session, made.code)


def test_it_is_random_and_only_its_hash_is_kept(session: Session, ada: int) -> None:
    made = [pairing.make(session, f"Bench {n}", ada) for n in range(40)]
    # 12 of 32 characters: 60 bits; ASVS 5.0 asks for 20 at least (from memory).
    assert all(re.fullmatch(r"[2-9A-HJ-NP-Z]{12}", each.code) for each in made)
    assert len({each.code for each in made}) == 40
    kept = {row.code_hash for row in session.query(PairingCode)}
    assert not kept & {each.code for each in made}


def test_it_is_typed_in_groups_in_any_way(session: Session, ada: int) -> None:
    made = pairing.make(session, "Bench 1", ada)
    assert made.in_groups.replace("-", "") == made.code
    assert [len(group) for group in made.in_groups.split("-")] == [4, 4, 4]
    pairing.pair(session, f" {made.in_groups.lower().replace('-', ' ')} ", ADDRESS)


def test_it_is_over_after_ten_minutes(session: Session, ada: int) -> None:
    made = pairing.make(session, "Bench 1", ada)
    assert made.expires_at - now() <= timedelta(minutes=10)
    assert pairing.standing(session, made.id).minutes_left == 10
    session.execute(update(PairingCode).values(expires_at=now() + timedelta(seconds=61)))
    session.expire_all()
    assert pairing.standing(session, made.id).minutes_left == 2
    session.execute(update(PairingCode).values(expires_at=now() - timedelta(seconds=1)))
    session.expire_all()
    assert pairing.standing(session, made.id).minutes_left == 0
    expired = refused(session, made.code)
    assert expired == refused(session, "ABCDEFGHJKLM")  # which of the two it is, is not told


def test_a_new_code_for_a_name_ends_the_one_before(session: Session, ada: int) -> None:
    first = pairing.make(session, "Bench 1", ada)
    other = pairing.make(session, "Bench 2", ada)
    second = pairing.make(session, "Bench 1", ada)
    refused(session, first.code)
    pairing.pair(session, other.code, ADDRESS)
    pairing.pair(session, second.code, ADDRESS)


def test_a_tablet_takes_the_place_of_the_one_of_its_name(session: Session, ada: int) -> None:
    tokens = []
    for expected in (False, True):
        made = pairing.make(session, "Bench 1", ada)
        assert pairing.standing(session, made.id).in_place_of is expected
        tokens.append(pairing.pair(session, made.code, ADDRESS)[1])
    assert devices.known(session, tokens[0]) is None
    assert devices.known(session, tokens[1])


@pytest.mark.parametrize("role", ["office", "bench"])
def test_only_an_owner_makes_one(session: Session, role: str) -> None:
    person_id = people.add(session, name="Jo Sparrow", initials="JS", role=role)
    with pytest.raises(Refused):
        pairing.make(session, "Bench 1", person_id)
    with pytest.raises(Refused):
        pairing.make(session, "Bench 1", 99)


@pytest.mark.parametrize("name", ["", "  ", "x" * 41])
def test_a_tablet_has_a_name(session: Session, ada: int, name: str) -> None:
    with pytest.raises(Refused) as refusal:
        pairing.make(session, name, ada)
    assert refusal.value.field == "name"


def test_a_code_that_is_not_there_stands_nowhere(session: Session) -> None:
    with pytest.raises(NotThere):
        pairing.standing(session, 99)
