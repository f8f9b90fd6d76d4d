"""Devices: known by a token that is kept nowhere, for as long as they are let in."""

from datetime import timedelta

import pytest
from sqlalchemy.orm import Session

from webapp.records.access import Device
from webapp.records.base import now
from webapp.records.people import Person
from webapp.stages import people
from webapp.stages.access import devices
from webapp.stages.access.devices import LIVES, LOG_IN, TABLET
from webapp.stages.refusals import NotThere


@pytest.fixture
def ada(session: Session) -> int:
    return people.add(session, name="Ada Quill", initials="AQ", role="owner")


def begin_tablet(session: Session, name: str = "Bench 1") -> tuple[int, str]:
    return devices.begin(session, kind=TABLET, name=name, address="192.168.1.30")


def begin_log_in(session: Session, person_id: int) -> tuple[int, str]:
    return devices.begin(
        session, kind=LOG_IN, name="browser", address="192.168.1.31", person_id=person_id
    )


def test_a_device_is_known_by_its_token(session: Session, ada: int) -> None:
    tablet_id, token = begin_tablet(session)
    found = devices.known(session, token)
    assert found
    assert found[0] == devices.DeviceNow(tablet_id, TABLET, "Bench 1", None)
    log_in = devices.known(session, begin_log_in(session, ada)[1])
    assert log_in
    assert (log_in[0].person_id, log_in[0].role) == (ada, "owner")
    for wrong in ("", token[:-1], token + "x", token.swapcase(), devices.hash_of(token)):
        assert devices.known(session, wrong) is None


def test_tokens_are_long_random_and_kept_as_hashes(session: Session) -> None:
    tokens = {begin_tablet(session)[1] for _ in range(50)}
    assert len(tokens) == 50
    # 32 bytes as URL-safe Base64: 256 bits; ASVS 5.0, 7.2.3, asks for 128.
    assert {len(token) for token in tokens} == {43}
    kept = [device.token_hash for device in session.query(Device)]
    assert all(len(each) == 64 for each in kept)
    assert not tokens & set(kept)


def test_revoked_is_at_once_and_stays(session: Session) -> None:
    tablet_id, token = begin_tablet(session)
    assert devices.revoke(session, tablet_id) == "Bench 1"
    assert devices.known(session, token) is None
    first = session.get_one(Device, tablet_id).revoked_at
    devices.revoke(session, tablet_id)
    assert session.get_one(Device, tablet_id).revoked_at == first
    devices.seen(session, tablet_id, "192.168.1.99")
    assert session.get_one(Device, tablet_id).address == "192.168.1.30"
    with pytest.raises(NotThere):
        devices.revoke(session, 99)


def test_a_person_is_logged_out_everywhere_and_nobody_else(session: Session, ada: int) -> None:
    jo = people.add(session, name="Jo Sparrow", initials="JS", role="bench")
    mine = [begin_log_in(session, ada)[1] for _ in range(3)]
    others = [begin_log_in(session, jo)[1], begin_tablet(session)[1]]
    assert devices.log_out_everywhere(session, ada) == 3
    assert devices.log_out_everywhere(session, ada) == 0
    assert [devices.known(session, token) for token in mine] == [None] * 3
    assert all(devices.known(session, token) for token in others)


def test_who_has_left_is_let_in_no_more(session: Session, ada: int) -> None:
    _, token = begin_log_in(session, ada)
    session.get_one(Person, ada).active = False
    session.flush()
    assert devices.known(session, token) is None
    assert devices.let_in(session) == ()


@pytest.mark.parametrize(
    ("kind", "unused", "whole", "is_in"),
    [
        (TABLET, timedelta(days=179), timedelta(days=3000), True),
        (TABLET, timedelta(days=181), timedelta(days=200), False),
        (LOG_IN, timedelta(days=6), timedelta(days=29), True),
        (LOG_IN, timedelta(days=8), timedelta(days=8), False),
        (LOG_IN, timedelta(0), timedelta(days=31), False),
    ],
)
def test_how_long_a_device_is_let_in(
    session: Session, ada: int, kind: str, unused: timedelta, whole: timedelta, is_in: bool
) -> None:
    assert set(LIVES) == {TABLET, LOG_IN}
    device_id, token = begin_tablet(session) if kind == TABLET else begin_log_in(session, ada)
    device = session.get_one(Device, device_id)
    device.made_at, device.seen_at = now() - whole, now() - unused
    session.flush()
    assert bool(devices.known(session, token)) is is_in
    assert bool(devices.let_in(session)) is is_in


def test_the_list_has_tablets_first_and_says_whose(session: Session, ada: int) -> None:
    begin_log_in(session, ada)
    begin_tablet(session, "Bench 1")
    gone, _ = begin_tablet(session, "Bench 2")
    devices.revoke(session, gone)
    shown = [(one.kind, one.name, one.whose) for one in devices.let_in(session)]
    assert shown == [("tablet", "Bench 1", ""), ("log-in", "browser", "Ada Quill")]
