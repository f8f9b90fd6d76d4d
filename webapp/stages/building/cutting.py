"""The cut list: what is cut from each cable, and how much cable that takes."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from webapp.stages.building.parts import Parts, part
from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.cables import Piece, is_sheathed, pieces
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import Wire, wires


def with_scrap_mm(length_mm: int, unit_count: int, scrap_percent: float) -> int:
    """To the next 100 mm."""
    wanted_mm = length_mm * unit_count * (1 + scrap_percent / 100)
    # Rounded before it is rounded up: 0.1 % of a millimetre too much is no millimetre.
    return math.ceil(round(wanted_mm / 100, 6)) * 100


@dataclass(frozen=True)
class CableGroup:
    """All that is cut from one cable of one colour, the longest first."""

    cable: str
    main: str
    tracer: str
    csa_mm2: float | None
    wires: tuple[Wire, ...]

    @property
    def length_mm(self) -> int:
        """Of one unit, without scrap."""
        return sum(wire.length_mm or 0 for wire in self.wires)

    def reel_mm(self, unit_count: int, scrap_percent: float) -> int:
        """Cable to have at hand for so many units, scrap included, to the next 100 mm."""
        return with_scrap_mm(self.length_mm, unit_count, scrap_percent)


def cable_groups(design: Design, parts: Parts) -> list[CableGroup]:
    """The wires of one unit by cable and colour, the thickest cable first.

    The customer's own leads are not cut and not in it; what lies in a cable is cut with it, see
    `core_cables`.
    """
    found: dict[tuple[float, str, str, str], list[Wire]] = {}
    for wire in wires(design):
        if not wire.link.own_lead and not is_sheathed(design, wire.link):
            link = wire.link
            cable = part(parts, link.cable_part_uid)
            key = (-(link.csa_mm2 or 0), cable.name if cable else "", link.main, link.tracer)
            found.setdefault(key, []).append(wire)
    return [
        CableGroup(name, main, tracer, -size or None, _longest_first(group))
        for (size, name, main, tracer), group in sorted(found.items())
    ]


@dataclass(frozen=True)
class CoreCable:
    """All that is cut from one cable of several cores, the longest piece first."""

    part: CatalogPart | None
    pieces: tuple[Piece, ...]

    @property
    def name(self) -> str:
        return self.part.name if self.part else "no cable chosen"

    @property
    def length_mm(self) -> int:
        """Of one unit, without scrap."""
        return sum(piece.length_mm or 0 for piece in self.pieces)

    def reel_mm(self, unit_count: int, scrap_percent: float) -> int:
        """Cable to have at hand for so many units, scrap included, to the next 100 mm."""
        return with_scrap_mm(self.length_mm, unit_count, scrap_percent)


def core_cables(design: Design, parts: Parts) -> list[CoreCable]:
    """The pieces of cables of several cores of one unit, by what they are cut from."""
    found: dict[str, list[Piece]] = {}
    for piece in pieces(design):
        if piece.sheathed:
            found.setdefault(piece.cable.part_uid or "", []).append(piece)
    cables = [
        CoreCable(part(parts, uid), tuple(sorted(group, key=lambda one: -(one.length_mm or 0))))
        for uid, group in found.items()
    ]
    return sorted(cables, key=lambda cable: cable.name)


def _longest_first(group: Sequence[Wire]) -> tuple[Wire, ...]:
    return tuple(sorted(group, key=lambda wire: -(wire.length_mm or 0)))
