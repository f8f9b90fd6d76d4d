"""The stores as a list: every column and every kind's facts, out as CSV, and what comes back in."""

import hashlib
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.catalogue import Part
from webapp.stages import stores
from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design.csv_out import Cell, cell, table_text
from webapp.stages.design.imports import ListKind
from webapp.stages.design.names import key
from webapp.stages.part_facts import KIND_FACTS, NUMBER

LEADING = ("uid", "name", "kind", "price", "price_per", "price_unit", "price_note")
TRAILING = ("source", "confirmed", "stocked")
UID = re.compile(r"[A-Za-z0-9][A-Za-z0-9.+_-]{0,79}", re.ASCII)


def fact_names(parts: Iterable[CatalogPart]) -> list[str]:
    """Every fact that some kind of part has, in the order of the kinds."""
    names = dict.fromkeys(fact.name for facts in KIND_FACTS.values() for fact in facts)
    return list(names | dict.fromkeys(name for part in parts for name in part.facts))


def parts_csv(parts: Sequence[CatalogPart]) -> str:
    """The parts, a line each; a fact that a kind does not have stays empty."""
    facts = fact_names(parts)
    header = (*LEADING, *facts, *TRAILING)
    return table_text(header, (list(part_cells(part, facts).values()) for part in parts))


def part_cells(part: CatalogPart, facts: Iterable[str]) -> dict[str, Cell]:
    """The cells of a part, by column. Prices stand as the page shows them: 12.50."""
    return {
        "uid": cell(part.uid),
        "name": cell(part.name),
        "kind": cell(part.kind),
        "price": cell(f"{Decimal(part.price_minor) / 100:.2f}"),
        "price_per": cell(part.price_per),
        "price_unit": cell(part.price_unit),
        "price_note": cell(part.price_note),
        **{name: cell(part.facts.get(name, "")) for name in facts},
        "source": cell(part.source),
        "confirmed": cell("yes" if part.confirmed else "no"),
        "stocked": cell("yes" if part.stocked else "no"),
    }


def list_kind(parts: Iterable[CatalogPart]) -> ListKind:
    """What a list of parts may hold."""
    facts = fact_names(parts)
    numbers = {fact.name for each in KIND_FACTS.values() for fact in each if fact.sort == NUMBER}
    return ListKind(
        "parts",
        "Parts of the stores",
        {
            "uid": (),
            "name": ("part",),
            "kind": ("kind of part",),
            "price": (),
            "price_minor": ("price in pence", "price in cents"),
            "price_per": ("price is for",),
            "price_unit": ("counted in",),
            "price_note": (),
            **dict.fromkeys(facts, ()),
            "source": ("document",),
            "confirmed": ("seen",),
            "stocked": ("kept in stock",),
        },
        needed=("name",),
        numbers=frozenset(numbers | {"price"}),
        only_known="part of any kind",
    )


def stamp(session: Session) -> str:
    """Changes with every change to the stores: what was shown is still so, or not."""
    rows = session.execute(select(Part.uid, Part.version).order_by(Part.uid))
    text = "\n".join(f"{uid} {version}" for uid, version in rows)
    return hashlib.sha256(text.encode()).hexdigest()[:24]


@dataclass
class PartLine:
    """A line as it was read: the part that it means, and why it cannot be kept."""

    at: int
    part: CatalogPart
    before: CatalogPart | None
    refused: list[tuple[str, str]] = field(default_factory=list)

    @property
    def good(self) -> bool:
        return not self.refused

    @property
    def changed(self) -> bool:
        return self.before is None or self.part != self.before

    def refuse(self, name: str, sentence: str) -> None:
        self.refused.append((name, sentence))


def find(parts: Catalogue, uid: str, name: str) -> CatalogPart | None:
    """The part that a line speaks of: by its uid, in a list without by its name."""
    if uid:
        return parts.get(uid)
    return next((part for part in parts.parts.values() if key(part.name) == key(name)), None)


def weigh(parts: Catalogue, lines: Sequence[PartLine]) -> None:
    """Refuses what cannot stand in the stores, or not beside the other lines."""
    first: dict[str, int] = {}
    for line in lines:
        uid = line.part.uid
        if uid and uid in first:
            line.refuse("uid", f"Line {first[uid]} of the list has this part already.")
        elif uid:
            first[uid] = line.at
    refused = -1
    while refused < (now := sum(1 for line in lines if not line.good)):
        refused = now
        _weigh_names(parts, [line for line in lines if line.good])
    for line in lines:
        if line.good and line.changed:
            for name, sentence in stores.errors_of(line.part, None).items():
                line.refuse(name.removeprefix(stores.FACT), sentence)


def _weigh_names(parts: Catalogue, lines: Sequence[PartLine]) -> None:
    changed = {line.part.uid for line in lines if line.before is not None}
    holders = {
        part.name.lower(): part.uid for part in parts.parts.values() if part.uid not in changed
    }
    standing = [line for line in lines if line.before and line.before.name == line.part.name]
    others = [line for line in lines if line not in standing]
    for line in (*standing, *others):
        name = line.part.name.lower()
        if name in holders:
            line.refuse("name", f"The stores have a part named {line.part.name} already.")
        else:
            holders[name] = line.part.uid


def keep(session: Session, lines: Sequence[PartLine]) -> None:
    """Writes the good lines that change something."""
    kept = [line for line in lines if line.good and line.changed]
    renamed = [
        (session.get_one(Part, line.part.uid), line.part)
        for line in kept
        if line.before is not None and line.before.name != line.part.name
    ]
    for row, _ in renamed:
        # Two parts may change names: neither holds the other's while it does.
        row.name = f"renamed {row.uid}"
    session.flush()
    for line in kept:
        part = line.part
        if line.before is None:
            uid = part.uid or stores.free_uid(session, part.name)
            row = Part(uid=uid, kind=part.kind)
            stores.put(row, part)
            session.add(row)
            session.flush()
        else:
            row = session.get_one(Part, part.uid)
            stores.put(row, part)
            row.version += 1
    session.flush()


def known_facts(parts: Catalogue, kind: str) -> set[str]:
    """The facts that a kind of part has, or that some of its parts were given."""
    named = {fact.name for fact in KIND_FACTS.get(kind, ())}
    return named | {name for part in parts.kind(kind) for name in part.facts}


def blank(kind: str) -> CatalogPart:
    """A part of a kind of which nothing is said yet."""
    return CatalogPart(uid="", kind=kind, name="", facts={})


def with_values(
    part: CatalogPart, columns: Mapping[str, Any], facts: Mapping[str, Any]
) -> CatalogPart:
    """The part with these columns and facts."""
    return replace(part, facts={**part.facts, **facts}, **columns)
