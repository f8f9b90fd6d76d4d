"""Devices that are let in over the network: paired tablets, and browsers with a log-in.

A device is known by a random token that only its own cookie holds; of the token a hash is kept.
"""

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import or_, select, update
from sqlalchemy.orm import Session

from webapp.records.access import Device
from webapp.records.base import now
from webapp.records.people import Person
from webapp.stages.refusals import NotThere

TABLET = "tablet"
LOG_IN = "log-in"
KINDS = (TABLET, LOG_IN)
TOKEN_BYTES = 32
SEEN_EVERY = timedelta(minutes=1)


@dataclass(frozen=True)
class Life:
    """How long a device is let in: since it was last seen, and since it was made."""

    unused: timedelta
    whole: timedelta | None


# A tablet hangs at the bench and is revoked when it leaves it; a log-in opens the office.
LIVES = {
    TABLET: Life(unused=timedelta(days=180), whole=None),
    LOG_IN: Life(unused=timedelta(days=7), whole=timedelta(days=30)),
}


@dataclass(frozen=True)
class DeviceNow:
    """The device that a request comes from.

    `person_id` and `role` are those of whose log-in it is; a tablet has none.
    """

    id: int
    kind: str
    name: str
    person_id: int | None
    role: str = ""


@dataclass(frozen=True)
class DeviceRow:
    """A device in the list under Settings."""

    id: int
    kind: str
    name: str
    person_id: int | None
    whose: str
    address: str
    made_at: datetime
    seen_at: datetime


def hash_of(secret: str) -> str:
    """What is kept of a token or code. It is random and long, so that a plain hash hides it."""
    return hashlib.sha256(secret.encode()).hexdigest()


def begin(
    session: Session, *, kind: str, name: str, address: str, person_id: int | None = None
) -> tuple[int, str]:
    """Lets a device in; returns its id and the token that it keeps, which is not kept here."""
    token = secrets.token_urlsafe(TOKEN_BYTES)
    device = Device(
        kind=kind, name=name, person_id=person_id, token_hash=hash_of(token), address=address
    )
    session.add(device)
    session.flush()
    return device.id, token


def known(session: Session, token: str) -> tuple[DeviceNow, datetime] | None:
    """The device that holds this token, and when it was last seen; None when it is not let in."""
    row = session.execute(
        select(Device, Person)
        .outerjoin(Person, Person.id == Device.person_id)
        .where(Device.token_hash == hash_of(token), Device.revoked_at.is_(None))
    ).one_or_none()
    if row is None:
        return None
    device, person = row
    if _outlived(device, now()) or (person is not None and not person.active):
        return None
    role = person.role if person is not None else ""
    return DeviceNow(device.id, device.kind, device.name, device.person_id, role), device.seen_at


def _outlived(device: Device, at: datetime) -> bool:
    life = LIVES[device.kind]
    return at - device.seen_at > life.unused or bool(
        life.whole and at - device.made_at > life.whole
    )


def seen(session: Session, device_id: int, address: str) -> None:
    """Notes that a device is in use, and from where."""
    session.execute(
        update(Device)
        .where(Device.id == device_id, Device.revoked_at.is_(None))
        .values(seen_at=now(), address=address)
    )


def let_in(session: Session) -> tuple[DeviceRow, ...]:
    """All devices that are let in, tablets first, the one seen last first."""
    rows = session.execute(
        select(Device, Person.name)
        .outerjoin(Person, Person.id == Device.person_id)
        .where(Device.revoked_at.is_(None), or_(Device.person_id.is_(None), Person.active))
        .order_by(Device.kind.desc(), Device.seen_at.desc(), Device.id)
    )
    at = now()
    return tuple(
        DeviceRow(
            d.id, d.kind, d.name, d.person_id, whose or "", d.address, d.made_at, d.seen_at
        )
        for d, whose in rows
        if not _outlived(d, at)
    )  # fmt: skip


def revoke(session: Session, device_id: int) -> str:
    """Lets a device in no more, from its next request on; returns its name.

    Raises:
        NotThere: no such device.
    """
    device = session.get(Device, device_id)
    if device is None:
        raise NotThere
    device.revoked_at = device.revoked_at or now()
    session.flush()
    return device.name


def log_out_everywhere(session: Session, person_id: int) -> int:
    """Ends all log-ins of a person; returns how many there were."""
    ended = session.execute(
        update(Device)
        .where(Device.person_id == person_id, Device.revoked_at.is_(None))
        .values(revoked_at=now())
        .returning(Device.id)
    )
    return len(ended.all())
