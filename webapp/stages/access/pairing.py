"""Pairing a tablet: an owner makes a code for it, and the tablet gives it back once, in time.

Of a code only a hash is kept, so it can be shown only when it is made.
"""

import math
import re
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from webapp.records.access import Device, PairingCode
from webapp.records.base import now
from webapp.records.people import Person
from webapp.stages.access import devices
from webapp.stages.codes import ALPHABET
from webapp.stages.refusals import NotThere, Refused
from webapp.stages.values import required

LIFE = timedelta(minutes=10)
# 60 random bits: nobody finds one by trying within its ten minutes.
CHARACTERS = 12
GROUP = 4
MOST_NAME_CHARACTERS = 40
# The same for every code that opens nothing, so that trying teaches nothing.
NO_SUCH_CODE = (
    "This code pairs nothing: it may be mistyped, used already, or older than ten minutes. "
    "Make a new one on the shop's PC, under Settings, Devices."
)


@dataclass(frozen=True)
class Made:
    """A new code. This is the only place where it can be read."""

    id: int
    code: str
    name: str
    expires_at: datetime

    @property
    def in_groups(self) -> str:
        """As it is typed: ABCD-EFGH-JKLM."""
        return "-".join(self.code[at : at + GROUP] for at in range(0, CHARACTERS, GROUP))


@dataclass(frozen=True)
class Standing:
    """How a code stands: still waiting for its tablet, used by it, or over.

    `in_place_of`: another tablet of this name is paired, which the code would put out.
    """

    name: str
    minutes_left: int
    used: bool
    in_place_of: bool


def make(session: Session, name: str, person_id: int) -> Made:
    """A code for a tablet of this name; codes made for it before open nothing any more.

    Raises:
        Refused: no name, or not made by an owner.
    """
    name = required("name", name, "a name for the tablet, such as where it hangs")
    if len(name) > MOST_NAME_CHARACTERS:
        raise Refused("name", f"Use at most {MOST_NAME_CHARACTERS} characters.")
    owner = session.get(Person, person_id)
    if owner is None or owner.role != "owner" or not owner.active:
        raise Refused("name", "Only an owner pairs tablets: choose an owner's name first.")
    at = now()
    session.execute(
        update(PairingCode)
        .where(PairingCode.name == name, PairingCode.used_at.is_(None))
        .where(PairingCode.expires_at > at)
        .values(expires_at=at)
    )
    code = "".join(secrets.choice(ALPHABET) for _ in range(CHARACTERS))
    row = PairingCode(
        code_hash=devices.hash_of(code),
        name=name,
        person_id=person_id,
        made_at=at,
        expires_at=at + LIFE,
    )
    session.add(row)
    session.flush()
    return Made(row.id, code, name, row.expires_at)


def standing(session: Session, code_id: int) -> Standing:
    """How a code stands now.

    Raises:
        NotThere: no such code.
    """
    row = session.get(PairingCode, code_id)
    if row is None:
        raise NotThere
    minutes = max(0, math.ceil((row.expires_at - now()) / timedelta(minutes=1)))
    used = row.used_at is not None
    in_place_of = not used and any(each.name == row.name for each in _tablets(session))
    return Standing(row.name, minutes, used, in_place_of)


def pair(session: Session, typed: str, address: str) -> tuple[str, str]:
    """Lets the tablet in that gives a code; returns its name and the token that it keeps.

    Raises:
        Refused: the code opens nothing.
    """
    code = re.sub(r"[\s-]", "", typed).upper()
    row = session.scalar(
        select(PairingCode).where(
            PairingCode.code_hash == devices.hash_of(code),
            PairingCode.used_at.is_(None),
            PairingCode.expires_at > now(),
        )
    )
    if row is None:
        raise Refused("code", NO_SUCH_CODE)
    for earlier in _tablets(session):
        if earlier.name == row.name:
            devices.revoke(session, earlier.id)
    row.device_id, token = devices.begin(
        session, kind=devices.TABLET, name=row.name, address=address
    )
    row.used_at = now()
    session.flush()
    return row.name, token


def _tablets(session: Session) -> list[Device]:
    return list(
        session.scalars(
            select(Device).where(Device.kind == devices.TABLET, Device.revoked_at.is_(None))
        )
    )
