"""What the other one of a pair is called."""

import re
from collections.abc import Collection

from webapp.stages.design.names import key

SIDES = (
    ("left", "right"),
    ("port", "starboard"),
    ("nearside", "offside"),
    ("near side", "off side"),
    ("lh", "rh"),
    ("l/h", "r/h"),
    ("fore", "aft"),
)
_OTHER = {one: other for pair in SIDES for one, other in (pair, pair[::-1])}
_WORDS = re.compile(
    r"(?<!\w)(" + "|".join(re.escape(word) for word in sorted(_OTHER, key=len, reverse=True))
    + r")(?!\w)",
    re.I,
)  # fmt: skip


def twin_name(name: str) -> str | None:
    """The name with its sides exchanged, or None where it names no side."""
    found = _WORDS.sub(lambda match: _as_written(match.group()), name)
    return found if found != name else None


def _as_written(word: str) -> str:
    other = _OTHER[word.lower()]
    if word.isupper():
        return other.upper()
    return other.capitalize() if word[0].isupper() else other


def like_it(name: str, known: Collection[str]) -> str:
    """What a copy is called: its other side where it has one, else the next number. `known` are
    the keys of the names that are taken."""
    other = twin_name(name)
    if other is not None and key(other) not in known:
        return other
    stem, _, last = name.rpartition(" ")
    number = int(last) + 1 if stem and last.isdecimal() else 2
    stem = stem if stem and last.isdecimal() else name
    while key(f"{stem} {number}") in known:
        number += 1
    return f"{stem} {number}"
