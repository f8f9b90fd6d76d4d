"""What was thrown away and cut again, and which joints were made again: with causes and lengths."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.bench import Tick, Unit
from webapp.records.people import Person
from webapp.stages import catalogue
from webapp.stages.building import wire_colours
from webapp.stages.building.parts import Parts, part
from webapp.stages.building.units import plan_with
from webapp.stages.design import rows
from webapp.stages.design.cables import pieces
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import wires

SCRAPPED, REWORK = "scrapped", "rework"


@dataclass(frozen=True)
class Again:
    """One piece that was scrapped, or one joint to make again; `open` until it is."""

    unit_id: int
    unit: int
    where: str
    step: str
    cause: str
    person: str
    at: datetime
    open: bool
    cable: str = ""
    length_mm: int | None = None


@dataclass(frozen=True)
class Scrap:
    """The newest first."""

    cut: tuple[Again, ...] = ()
    made: tuple[Again, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.cut or self.made)

    def of_unit(self, unit_id: int) -> "Scrap":
        return Scrap(
            tuple(each for each in self.cut if each.unit_id == unit_id),
            tuple(each for each in self.made if each.unit_id == unit_id),
        )

    @property
    def of_cables(self) -> dict[str, int]:
        """How much of each cable was thrown away, by its name. [mm]"""
        found: dict[str, int] = {}
        for each in self.cut:
            found[each.cable] = found.get(each.cable, 0) + (each.length_mm or 0)
        return found


def of_loom(session: Session, loom_id: int) -> Scrap:
    """Of all units of a loom, by the revision that each was built to when it happened."""
    found = session.execute(
        select(Tick, Unit.number, Unit.depth, Person.name)
        .join(Unit, Unit.id == Tick.unit_id)
        .join(Person, Person.id == Tick.person_id)
        .where(Unit.loom_id == loom_id, Tick.state.in_((SCRAPPED, REWORK)))
        .order_by(Tick.id.desc())
    ).all()
    still_open = _still_open(session, [tick for tick, *_ in found])
    cut: dict[int, Mapping[str, tuple[str, int | None]]] = {}
    lines: dict[str, list[Again]] = {SCRAPPED: [], REWORK: []}
    for tick, number, depth, person in found:
        if tick.revision_id not in cut:
            cut[tick.revision_id] = _cut(session, tick.revision_id)
        cable, length_mm = cut[tick.revision_id].get(tick.step_uid, ("", None))
        plan = plan_with(session, tick.revision_id, depth, tick.step_uid)
        step = plan.by_uid.get(tick.step_uid)
        lines[tick.state].append(
            Again(
                unit_id=tick.unit_id,
                unit=number,
                where=plan.place_of.get(tick.step_uid, "no longer in the design"),
                step=step.title if step else "",
                cause=tick.note,
                person=person,
                at=tick.at,
                open=tick.id in still_open,
                cable=cable,
                length_mm=length_mm,
            )
        )
    return Scrap(tuple(lines[SCRAPPED]), tuple(lines[REWORK]))


def _still_open(session: Session, ticks: Iterable[Tick]) -> set[int]:
    """Those of these that are the last word on their step."""
    keys = {(tick.unit_id, tick.step_uid): tick.id for tick in reversed(list(ticks))}
    if not keys:
        return set()
    rows_ = session.execute(
        select(Tick.unit_id, Tick.step_uid, Tick.id).where(
            Tick.unit_id.in_({unit_id for unit_id, _ in keys}),
            Tick.step_uid.in_({step_uid for _, step_uid in keys}),
        )
    )
    last: dict[tuple[int, str], int] = {}
    for unit_id, step_uid, tick_id in rows_:
        last[unit_id, step_uid] = max(tick_id, last.get((unit_id, step_uid), 0))
    return {tick_id for key, tick_id in keys.items() if last.get(key) == tick_id}


def _cut(session: Session, revision_id: int) -> dict[str, tuple[str, int | None]]:
    """By the uid of each step that cuts: from which cable, in words, and how long. [mm]"""
    design = rows.load(session, revision_id)
    parts = catalogue.read(session).parts
    found = {
        f"{wire.uid}:cut": (cable_words(design, parts, wire.link), wire.length_mm)
        for wire in wires(design)
    }
    for piece in pieces(design):
        if piece.sheathed:
            known = part(parts, piece.cable.part_uid)
            name = known.name if known else "no cable chosen"
            found[f"{piece.uid}:cut"] = (name, piece.length_mm)
    return found


def cable_words(design: Design, parts: Parts, link: rows.Link) -> str:
    """RD/BK boat cable 1.5 mm²."""
    size = "" if link.csa_mm2 is None else f"{link.csa_mm2:g} mm²"
    known = part(parts, link.cable_part_uid)
    return " ".join(
        filter(None, (wire_colours.letters(design, link), known.name if known else size))
    )
