"""Changes to the catalogue: a part edited, a part added, a document entered for its facts."""

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from webapp.records.catalogue import PART_KINDS, Part
from webapp.stages import catalogue, part_facts
from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.editing import merged
from webapp.stages.part_facts import KIND_FACTS
from webapp.stages.refusals import NotThere

FACT = "fact_"
# What the addresses of the stores' own pages end in: no part is called so.
PAGES = frozenset(("new", "import"))
COLUMNS = ("name", "price_minor", "price_per", "price_unit", "source", "confirmed", "stocked")
PRICE = ("price_minor", "price_per", "price_unit")
PRICE_UNITS = ("each", "m")
# Such a source names no document that somebody could have seen.
NO_DOCUMENT = re.compile(r"from memory|common practice", re.I)


class PartRefused(Exception):
    """What is to be mended before the part can be kept: a sentence for each field."""

    def __init__(self, errors: Mapping[str, str]) -> None:
        super().__init__("; ".join(errors.values()))
        self.errors = dict(errors)


def values(part: CatalogPart) -> dict[str, Any]:
    """A part as it is edited: its columns, and its facts named fact_…"""
    facts = {FACT + fact.name: part.facts.get(fact.name, "") for fact in KIND_FACTS[part.kind]}
    return {name: getattr(part, name) for name in COLUMNS} | facts


def get(session: Session, uid: str) -> CatalogPart:
    """One part.

    Raises:
        NotThere: no such part.
    """
    part = catalogue.read(session).get(uid)
    if part is None:
        raise NotThere
    return part


def find(parts: Catalogue, *, text: str, kind: str | None, stocked: bool) -> list[CatalogPart]:
    """The parts whose name, facts or source hold every word; 2.5 stands before 10."""
    words = text.casefold().split()
    found = [
        part
        for part in parts.parts.values()
        if (not kind or part.kind == kind)
        and (part.stocked or not stocked)
        and all(word in _searched(part) for word in words)
    ]
    return sorted(found, key=_by_size)


def _by_size(part: CatalogPart) -> list[tuple[float, str]]:
    pieces = re.split(r"([0-9]+(?:\.[0-9]+)?)", part.name.casefold())
    return [(float(piece), "") if at % 2 else (-1.0, piece) for at, piece in enumerate(pieces)]


def _searched(part: CatalogPart) -> str:
    words = (part.name, part.kind, part.source, part.uid, part_facts.in_words(part))
    return " ".join(words).casefold()


def save(session: Session, uid: str, opened: Mapping[str, Any], typed: Mapping[str, Any]) -> None:
    """Changes a part. A price that was entered is no longer marked as invented.

    Raises:
        NotThere: no such part.
        ChangedMeanwhile: somebody else changed the same values.
        PartRefused: something is to be mended.
    """
    before = get(session, uid)
    now = values(before)
    result = merged(now=now, opened=opened, typed=typed)
    if result == now:
        return
    after = _with(before, result)
    if any(result[name] != now[name] for name in PRICE):
        after = replace(after, price_note="")
    _check(session, after)
    row = session.get_one(Part, uid)
    put(row, after)
    row.version += 1
    session.flush()


def add(session: Session, kind: str, typed: Mapping[str, Any]) -> str:
    """Adds a part of a kind. Returns its uid, made from its name.

    Raises:
        NotThere: no such kind.
        PartRefused: something is to be mended.
    """
    if kind not in PART_KINDS:
        raise NotThere
    blank = CatalogPart(uid="", kind=kind, name="", facts={})
    part = _with(blank, values(blank) | dict(typed))
    _check(session, part)
    part = replace(part, uid=free_uid(session, part.name))
    row = Part(uid=part.uid, kind=kind)
    put(row, part)
    session.add(row)
    session.flush()
    return part.uid


def _with(part: CatalogPart, new: Mapping[str, Any]) -> CatalogPart:
    facts = dict(part.facts)
    for fact in KIND_FACTS[part.kind]:
        value = new[FACT + fact.name]
        facts[fact.name] = "" if value is None else value
    return replace(part, facts=facts, **{name: new[name] for name in COLUMNS})


def put(row: Part, part: CatalogPart) -> None:
    """Writes what a part is into its row."""
    for name in (*COLUMNS, "price_note", "facts"):
        setattr(row, name, getattr(part, name))


def _check(session: Session, part: CatalogPart) -> None:
    namesake = session.scalar(select(Part.uid).where(func.lower(Part.name) == part.name.lower()))
    errors = errors_of(part, namesake)
    if errors:
        raise PartRefused(errors)


def errors_of(part: CatalogPart, namesake: str | None) -> dict[str, str]:
    """What is to be mended in a part, by field. `namesake` is the uid of who has its name."""
    errors: dict[str, str] = {}
    if not part.name:
        errors["name"] = "Enter a name."
    elif namesake is not None and namesake != part.uid:
        errors["name"] = f"The stores have a part named {part.name} already."
    if part.price_unit not in PRICE_UNITS:
        errors["price_unit"] = f"Choose one of {', '.join(PRICE_UNITS)}."
    if part.confirmed and (not part.source or NO_DOCUMENT.search(part.source)):
        errors["source"] = "Enter the document in which you have seen these facts."
    for fact, sentence in part_facts.problems(part):
        errors.setdefault(FACT + fact, sentence)
    return errors


def free_uid(session: Session, name: str) -> str:
    """A uid for a new part, made from its name."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    stem = re.sub(r"[^a-z0-9.]+", "-", plain).strip("-.")[:60] or "part"
    uid, number = stem, 1
    while uid in PAGES or session.get(Part, uid) is not None:
        number += 1
        uid = f"{stem}-{number}"
    return uid
