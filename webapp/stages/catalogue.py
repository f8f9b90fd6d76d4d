"""The catalogue as plain values, the seed that a fresh workshop starts with, and edits to it.

What only one kind of part has (its facts) is kept by name: a cable has csa_mm2, a terminal has
contact, a fitting has ways. KIND_FACTS lists them for each kind, as the seed files' columns do.
"""

import csv
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.folders import folder
from webapp.records.catalogue import Part
from webapp.stages.one_moment import once

# Seed file, the kind of its parts (a column where the file holds several), and its facts.
SEED_FILES = {
    "cable.csv": "cable",
    "cables-of-cores.csv": "cable of cores",
    "terminals.csv": "terminal",
    "plugs.csv": "plug and socket",
    "fuse-links.csv": "fuse-link",
    "fittings.csv": "",
    "heat-shrink.csv": "heat-shrink",
    "coverings.csv": "covering",
    "grommets.csv": "grommet",
    "glands.csv": "gland",
    "consumables.csv": "consumable",
}
COMMON = (
    "uid",
    "name",
    "kind",
    "price_minor",
    "price_per",
    "price_unit",
    "price_note",
    "source",
    "confirmed",
    "stocked",
)
# Facts that stay text even where they look like numbers.
TEXT_FACTS = frozenset(
    {"ways", "bridges", "what", "suits", "contact", "tool", "per", "use", "plating"}
)


@dataclass(frozen=True)
class WayPlan:
    label: str
    contact: str
    takes: int


@dataclass(frozen=True)
class CatalogPart:
    uid: str
    kind: str
    name: str
    facts: dict[str, Any]
    price_minor: int = 0
    price_per: int = 1
    price_unit: str = "each"
    price_note: str = ""
    source: str = ""
    confirmed: bool = False
    stocked: bool = True
    version: int = 1

    def number(self, fact: str) -> float:
        """A fact that must be a number."""
        value = self.facts.get(fact)
        if not isinstance(value, int | float):
            raise KeyError(f"{self.name} has no {fact}")
        return float(value)

    def maybe(self, fact: str) -> float | None:
        """A fact that may be missing."""
        return self.number(fact) if self.facts.get(fact) not in (None, "") else None

    def text(self, fact: str) -> str:
        return str(self.facts.get(fact) or "")

    @property
    def core_colours(self) -> tuple[str, ...]:
        """The colours of a cable's cores, from text such as `red;black`."""
        return tuple(filter(None, (each.strip() for each in self.text("core_colours").split(";"))))

    @property
    def way_plans(self) -> list[WayPlan]:
        """The ways of a fitting, from text such as `feed:stud M6:2;1:tab 6.3`."""
        plans = []
        for item in filter(None, self.text("ways").split(";")):
            label, contact, *takes = item.split(":")
            plans.append(WayPlan(label, contact, int(takes[0]) if takes else 1))
        return plans

    @property
    def bridge_plans(self) -> list[tuple[str, str, str]]:
        """What joins the ways inside, from text such as `30-87:contact;86-85:coil`."""
        labels = {plan.label for plan in self.way_plans}
        plans = []
        for item in filter(None, self.text("bridges").split(";")):
            pair, kind = item.rsplit(":", 1)
            a, b = next(
                (pair[:at], pair[at + 1 :])
                for at, sign in enumerate(pair)
                if sign == "-" and pair[:at] in labels and pair[at + 1 :] in labels
            )
            plans.append((a, b, kind))
        return plans


@dataclass(frozen=True)
class Catalogue:
    parts: dict[str, CatalogPart] = field(default_factory=dict)

    def kind(self, *kinds: str) -> list[CatalogPart]:
        if len(kinds) == 1:
            return list(self._by_kind.get(kinds[0], ()))
        return [part for part in self.parts.values() if part.kind in kinds]

    @cached_property
    def _by_kind(self) -> dict[str, list[CatalogPart]]:
        found: dict[str, list[CatalogPart]] = {}
        for part in self.parts.values():
            found.setdefault(part.kind, []).append(part)
        return found

    def what(self, what: str) -> list[CatalogPart]:
        """Fittings of one sort (fuse board, relay, splice), the smallest first."""
        found = self._by_what.get(what, ())
        return sorted(found, key=lambda part: (part.number("max_a"), len(part.way_plans), part.uid))

    @cached_property
    def _by_what(self) -> dict[str, list[CatalogPart]]:
        found: dict[str, list[CatalogPart]] = {}
        for part in self.parts.values():
            found.setdefault(part.text("what"), []).append(part)
        return found

    def get(self, uid: str | None) -> CatalogPart | None:
        return None if uid is None else self.parts.get(uid)


def read(session: Session) -> Catalogue:
    return once(session, "catalogue", lambda: _read(session))


def some(session: Session, uids: Iterable[str]) -> dict[str, CatalogPart]:
    """These parts alone, for a writer that needs a few of them."""
    rows = session.scalars(select(Part).where(Part.uid.in_(set(uids))))
    return {row.uid: _plain(row) for row in rows}


def _read(session: Session) -> Catalogue:
    rows = session.scalars(select(Part).order_by(Part.kind, Part.name))
    return Catalogue({row.uid: _plain(row) for row in rows})


def load_seed(session: Session) -> int:
    """Add the seed parts that the catalogue has not yet: all of them at first, later those that a
    newer version brings. Parts that are there keep what the workshop made of them, and get only
    the facts that were not known of any part when they came. Returns how many came.
    """
    there = {row.uid: row for row in session.scalars(select(Part))}
    seed = seed_parts()
    for part in seed:
        row = there.get(part.uid)
        if row is not None and not part.facts.keys() <= row.facts.keys():
            row.facts = {**part.facts, **row.facts}
    parts = [part for part in seed if part.uid not in there]
    session.add_all(
        Part(
            uid=part.uid,
            kind=part.kind,
            name=part.name,
            facts=part.facts,
            price_minor=part.price_minor,
            price_per=part.price_per,
            price_unit=part.price_unit,
            price_note=part.price_note,
            source=part.source,
            confirmed=part.confirmed,
            stocked=part.stocked,
        )
        for part in parts
    )
    session.flush()
    return len(parts)


def seed_parts() -> list[CatalogPart]:
    parts: list[CatalogPart] = []
    for name, kind in SEED_FILES.items():
        path = folder("seed_data") / "catalogue" / name
        with path.open(encoding="utf-8", newline="") as lines:
            parts.extend(_from_seed(row, kind or row["kind"]) for row in csv.DictReader(lines))
    return parts


def _from_seed(row: dict[str, str], kind: str) -> CatalogPart:
    return CatalogPart(
        uid=row["uid"],
        kind=kind,
        name=row["name"],
        facts={key: _fact(key, text) for key, text in row.items() if key not in COMMON},
        price_minor=int(row["price_minor"]),
        price_per=int(row["price_per"]),
        price_unit=row["price_unit"],
        price_note=row["price_note"],
        source=row["source"],
        confirmed=row["confirmed"] == "1",
        stocked=row["stocked"] == "1",
    )


def _fact(key: str, text: str) -> Any:
    if key in TEXT_FACTS or not text:
        return text
    try:
        number = float(text)
    except ValueError:
        return text
    return int(number) if number.is_integer() and "." not in text else number


def _plain(row: Part) -> CatalogPart:
    return CatalogPart(
        uid=row.uid,
        kind=row.kind,
        name=row.name,
        facts=row.facts,
        price_minor=row.price_minor,
        price_per=row.price_per,
        price_unit=row.price_unit,
        price_note=row.price_note,
        source=row.source,
        confirmed=row.confirmed,
        stocked=row.stocked,
        version=row.version,
    )
