"""Passwords: which are taken, how they are kept, and what happens to log-ins."""

import dataclasses
import unicodedata

import argon2
import pytest
from sqlalchemy.orm import Session

from webapp.records.people import Person
from webapp.records.workshop import Workshop
from webapp.stages import people
from webapp.stages.access import devices, passwords
from webapp.stages.access.devices import LOG_IN
from webapp.stages.access.passwords import COST, Cost, mistake
from webapp.stages.refusals import NotThere, Refused

CHEAP = Cost(passes=1, memory_kib=8, lanes=1)
GOOD = "brass ferrule lamp"
NAMES = ("Ada Quill", "Tern Lane Looms")


@pytest.fixture
def ada(session: Session) -> int:
    session.add(Workshop(id=1, name="Tern Lane Looms"))
    return people.add(session, name="Ada Quill", initials="AQ", role="owner")


def test_the_cost_is_the_published_one() -> None:
    """RFC 9106, section 4, the second recommended option, as argon2-cffi has it."""
    assert argon2.extract_parameters(COST.hasher.hash("x")) == argon2.profiles.RFC_9106_LOW_MEMORY


@pytest.mark.parametrize(
    "password",
    [
        *(GOOD, "a" * 7 + "ß", "kingfisher", "        x        ", "ölzeug-am-haken", "x" * 128),
        *("quill under the lamp", "ada-hammer-1", "the lane is wet"),
    ],
)
def test_what_is_taken(password: str) -> None:
    assert mistake(password, NAMES) == ""


@pytest.mark.parametrize(
    ("password", "words"),
    [
        ("", "at least 8"),
        ("seven77", "at least 8"),
        ("x" * 129, "at most 128"),
        ("password", "everybody tries first"),
        ("PassWord", "everybody tries first"),
        ("password123", "everybody tries first"),
        ("p.a.s.s.w.o.r.d", "everybody tries first"),
        ("12345678", "everybody tries first"),
        ("qwertyuiop", "everybody tries first"),
        ("Ada Quill", "name"),
        ("adaquill1974", "name"),
        ("QUILL-ADA!", "name"),
        ("quillquill", "name"),
        ("Tern Lane Looms", "name"),
        ("ternlanelooms2026", "name"),
    ],
)
def test_what_is_refused(password: str, words: str) -> None:
    assert words in mistake(password, NAMES)


def test_a_hash_alone_is_kept(session: Session, ada: int) -> None:
    found = passwords.hash_new(session, ada, GOOD, GOOD, CHEAP)
    passwords.give(session, ada, found)
    kept = session.get_one(Person, ada).password_hash
    assert kept.startswith("$argon2id$")
    assert GOOD not in kept
    assert passwords.hash_new(session, ada, GOOD, GOOD, CHEAP) != found  # each has its own salt
    assert passwords.check(session, ada, GOOD, CHEAP).right
    assert not passwords.check(session, ada, GOOD + " ", CHEAP).right
    assert not passwords.check(session, ada, GOOD.upper(), CHEAP).right


def test_it_is_typed_twice(session: Session, ada: int) -> None:
    with pytest.raises(Refused) as refusal:
        passwords.hash_new(session, ada, GOOD, GOOD + "s", CHEAP)
    assert refusal.value.field == "again"
    with pytest.raises(Refused) as refusal:
        passwords.hash_new(session, ada, "Ada Quill", "Ada Quill", CHEAP)
    assert refusal.value.field == "password"
    with pytest.raises(NotThere):
        passwords.hash_new(session, 99, GOOD, GOOD, CHEAP)


def test_any_keyboard_writes_the_same(session: Session, ada: int) -> None:
    composed, in_two_parts = "gr\u00fcner draht", "gru\u0308ner draht"
    passwords.give(session, ada, passwords.hash_new(session, ada, composed, in_two_parts, CHEAP))
    assert passwords.check(session, ada, in_two_parts, CHEAP).right


def test_a_long_one_is_right_from_any_keyboard(session: Session, ada: int) -> None:
    """An accent that comes apart from its letter counts as none: some keyboards send it so."""
    composed = "\u00fc\u00e4" * (passwords.MOST_CHARACTERS // 2)
    in_parts = unicodedata.normalize("NFD", composed)
    passwords.give(session, ada, passwords.hash_new(session, ada, composed, in_parts, CHEAP))
    assert passwords.check(session, ada, in_parts, CHEAP).right


def test_a_heap_of_accents_is_refused_without_composing_it(
    session: Session, ada: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Composing takes time with the square of how many there are."""
    composed: list[int] = []
    monkeypatch.setattr(
        passwords.unicodedata, "normalize", lambda _form, text: composed.append(len(text)) or text
    )
    heap = "a" + "\u0315\u0316" * 50_000
    for typed, again in ((heap, heap), (GOOD, heap)):
        with pytest.raises(Refused):
            passwords.hash_new(session, ada, typed, again, CHEAP)
    assert not passwords.check(session, ada, heap, CHEAP).right
    assert max(composed) < 1000


def test_nobody_without_a_password_gets_in(session: Session, ada: int) -> None:
    for person_id in (ada, 99):
        for typed in ("", GOOD, "x" * 100_000):
            assert not passwords.check(session, person_id, typed, CHEAP).right
    passwords.give(session, ada, passwords.hash_new(session, ada, GOOD, GOOD, CHEAP))
    session.get_one(Person, ada).active = False
    assert not passwords.check(session, ada, GOOD, CHEAP).right
    assert passwords.who_may_log_in(session) == ()


def test_a_higher_cost_takes_hold_at_the_next_log_in(session: Session, ada: int) -> None:
    passwords.give(session, ada, passwords.hash_new(session, ada, GOOD, GOOD, CHEAP))
    assert passwords.check(session, ada, GOOD, CHEAP).renewed == ""
    dearer = dataclasses.replace(CHEAP, passes=2)
    renewed = passwords.check(session, ada, GOOD, dearer).renewed
    assert argon2.extract_parameters(renewed).time_cost == 2
    assert passwords.check(session, ada, "wrong" + GOOD, dearer).renewed == ""
    passwords.renew(session, ada, renewed)
    assert passwords.check(session, ada, GOOD, dearer).right
    assert passwords.check(session, ada, GOOD, dearer).renewed == ""


def test_a_new_password_ends_the_log_ins_of_the_old(session: Session, ada: int) -> None:
    jo = people.add(session, name="Jo Sparrow", initials="JS", role="bench")
    tokens = {
        person: devices.begin(session, kind=LOG_IN, name="b", address="", person_id=person)[1]
        for person in (ada, jo)
    }
    passwords.give(session, ada, passwords.hash_new(session, ada, GOOD, GOOD, CHEAP))
    assert devices.known(session, tokens[ada]) is None
    assert devices.known(session, tokens[jo])


def test_over_the_network_an_owner_stays_who_can_log_in(session: Session, ada: int) -> None:
    found = passwords.hash_new(session, ada, GOOD, GOOD, CHEAP)
    passwords.give(session, ada, found)
    ina = people.add(session, name="Ina Teal", initials="IT", role="owner")
    passwords.give(session, ina, found)
    passwords.take_away(session, ada)
    assert [one.id for one in passwords.who_may_log_in(session)] == [ina]
    passwords.keep_an_owner(session)
    passwords.take_away(session, ina)
    with pytest.raises(Refused):
        passwords.keep_an_owner(session)
