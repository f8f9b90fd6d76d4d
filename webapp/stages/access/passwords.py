"""Passwords: which are taken, how they are kept, and whether one is right. None is ever logged.

Only people with a password can log in. An owner gives and takes passwords.
"""

import re
import secrets
import threading
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.people import Person
from webapp.records.workshop import Workshop
from webapp.stages.access import devices
from webapp.stages.access.common_passwords import COMMON
from webapp.stages.refusals import NotThere, Refused

LEAST_CHARACTERS = 8
MOST_CHARACTERS = 128
# Accents may come apart from their letters. More is not even composed: that takes time with the
# square of its length.
MOST_TYPED = 4 * MOST_CHARACTERS
# Words of a name that are shorter stand in any sentence.
LEAST_NAME_CHARACTERS = 3
# What has to be there besides names and figures.
LEAST_OF_ITS_OWN = 4

# Two at once at most: each takes the memory below, and many may knock at the same time.
_hashing = threading.BoundedSemaphore(2)


@dataclass(frozen=True)
class Cost:
    """What one try costs whoever guesses: argon2id's passes, memory, and lanes."""

    passes: int
    memory_kib: int
    lanes: int

    @property
    def hasher(self) -> PasswordHasher:
        return PasswordHasher(self.passes, self.memory_kib, self.lanes)


# RFC 9106, section 4, the second recommended option: for where 2 GiB a log-in are too much. It
# takes about a tenth of a second on a workshop's PC, and a log-in lasts for days.
COST = Cost(passes=3, memory_kib=64 * 1024, lanes=4)


@dataclass(frozen=True)
class MayLogIn:
    id: int
    name: str


@dataclass(frozen=True)
class Checked:
    """Whether a password is right. `renewed` is its hash at today's cost, where that changed."""

    right: bool
    renewed: str = ""


# --- who has one ------------------------------------------------------------------------------


def who_may_log_in(session: Session) -> tuple[MayLogIn, ...]:
    """The people who have a password, by name."""
    rows = session.execute(
        select(Person.id, Person.name)
        .where(Person.active, Person.password_hash != "")
        .order_by(Person.name)
    )
    return tuple(MayLogIn(*row) for row in rows)


def owners(session: Session) -> tuple[MayLogIn, ...]:
    """The owners, with a password or without, by name."""
    rows = session.execute(
        select(Person.id, Person.name)
        .where(Person.active, Person.role == "owner")
        .order_by(Person.name)
    )
    return tuple(MayLogIn(*row) for row in rows)


def has_one(session: Session, person_id: int) -> bool:
    """Whether this person can log in."""
    return bool(_person(session, person_id).password_hash)


def an_owner_has_one(session: Session) -> bool:
    """Whether an owner can log in."""
    owner = select(Person.id).where(
        Person.active, Person.role == "owner", Person.password_hash != ""
    )
    return session.scalar(owner.limit(1)) is not None


def keep_an_owner(session: Session, field: str = "") -> None:
    """Stands after a change that may lock the owners out; `field` is where it was made.

    Raises:
        Refused: over the network no owner could log in any more.
    """
    if not an_owner_has_one(session):
        raise Refused(field, "No owner could log in any more: give another owner a password first.")


def _person(session: Session, person_id: int) -> Person:
    person = session.get(Person, person_id)
    if person is None:
        raise NotThere
    return person


# --- which are taken --------------------------------------------------------------------------


def hash_new(session: Session, person_id: int, password: str, again: str, cost: Cost = COST) -> str:
    """The hash of a person's new password, typed twice. It only reads.

    Raises:
        NotThere: no such person.
        Refused: too short, too long, a common one, made of names, or typed differently.
    """
    person = _person(session, person_id)
    workshop = session.scalar(select(Workshop.name)) or ""
    if sentence := mistake(password, (person.name, workshop)):
        raise Refused("password", sentence)
    if _plain(password) != _plain(again):
        raise Refused("again", "The two passwords differ: type the same one twice.")
    with _hashing:
        return cost.hasher.hash(_plain(password))


def mistake(password: str, names: Iterable[str]) -> str:
    """Why a password is not taken; "" when it is."""
    plain = _plain(password)
    if len(plain) < LEAST_CHARACTERS:
        return f"A password has at least {LEAST_CHARACTERS} characters; a short sentence is good."
    if len(plain) > MOST_CHARACTERS:
        return f"A password has at most {MOST_CHARACTERS} characters."
    if _is_common(plain):
        return "This is one of the passwords that everybody tries first: choose another."
    if _is_made_of(plain, names):
        return "A name alone is easily guessed: choose something else than yours or the workshop's."
    return ""


def _plain(password: str) -> str:
    """The same characters from any keyboard (NIST SP 800-63B, 5.1.1.2; from memory)."""
    return unicodedata.normalize("NFKC", password) if len(password) <= MOST_TYPED else password


def _is_common(plain: str) -> bool:
    small = plain.casefold()
    bare = re.sub(r"[\W_]", "", small)
    return bool({small, bare, re.sub(r"\d+$", "", bare)} & COMMON)


def _is_made_of(plain: str, names: Iterable[str]) -> bool:
    """True when little is left of it without the names' words and all figures."""
    rest = re.sub(r"[\W\d_]", "", plain.casefold())
    words = {word for name in names for word in re.findall(r"[^\W\d_]+", name.casefold())}
    named = sorted((w for w in words if len(w) >= LEAST_NAME_CHARACTERS), key=len, reverse=True)
    own = rest
    for word in named:
        own = own.replace(word, "")
    return own != rest and len(own) < LEAST_OF_ITS_OWN


# --- kept and checked -------------------------------------------------------------------------


def give(session: Session, person_id: int, password_hash: str) -> None:
    """Gives a person a new password, and ends the log-ins that the old one opened.

    Raises:
        NotThere: no such person.
    """
    _person(session, person_id).password_hash = password_hash
    devices.log_out_everywhere(session, person_id)
    session.flush()


def take_away(session: Session, person_id: int) -> None:
    """Takes a person's password: no log-in any more.

    Raises:
        NotThere: no such person.
    """
    give(session, person_id, "")


def check(session: Session, person_id: int, password: str, cost: Cost = COST) -> Checked:
    """Whether this is the person's password. It takes its time for nobody's, too. It only reads."""
    if len(password) > MOST_TYPED:
        return Checked(right=False)
    person = session.get(Person, person_id)
    kept = person.password_hash if person is not None and person.active else ""
    hasher = cost.hasher
    with _hashing:
        try:
            hasher.verify(kept or _hash_of_nothing(cost), _plain(password))
        except (VerificationError, InvalidHashError):
            return Checked(right=False)
        renew = hasher.check_needs_rehash(kept)
        return Checked(right=True, renewed=hasher.hash(_plain(password)) if renew else "")


def renew(session: Session, person_id: int, password_hash: str) -> None:
    """Keeps the same password at another cost."""
    _person(session, person_id).password_hash = password_hash
    session.flush()


@lru_cache(maxsize=4)
def _hash_of_nothing(cost: Cost) -> str:
    return cost.hasher.hash(secrets.token_hex(32))
