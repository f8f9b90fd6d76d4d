"""A transaction that cannot write sees one moment: what it has read it need not read again."""

from collections.abc import Callable, Hashable
from typing import TypeVar

from sqlalchemy.orm import Session

KEPT = "read at one moment"
T = TypeVar("T")


def once(session: Session, key: Hashable, read: Callable[[], T]) -> T:
    """What `read` gives, kept for the rest of a transaction that only reads.

    For frozen values: everybody who asks gets the same one.
    """
    if session.get_bind().get_execution_options().get("begin") == "IMMEDIATE":
        return read()
    moment, kept = session.info.get(KEPT, (None, {}))
    if moment is None or moment is not session.get_transaction():
        kept = {}
    if key not in kept:
        kept[key] = read()
        session.info[KEPT] = (session.get_transaction(), kept)
    found: T = kept[key]
    return found
