"""What the lines of one link are held against, and what they say of it as a whole."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise
from typing import Any

from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design.choices import cables
from webapp.stages.design.editing.wires import check_colours
from webapp.stages.design.names import key
from webapp.stages.design.rows import Crossing, Design, Link, Run, WireEnd
from webapp.stages.design.wire_list.lines import (
    Listed,
    WireLine,
    listed,
    read_route,
)
from webapp.stages.design.wire_list.named import CABLES, Named, find_part
from webapp.stages.refusals import Refused

WHOLE = (
    "number", "circuit_number", "circuit", "service", "section_mm2", "main", "tracer",
    "cable_part", "starter_cable", "own_lead", "cable", "cable_kind", "cable_of_part", "core",
    "note",
)  # fmt: skip
WHERE = ("place", "fitting", "way", "contact")


@dataclass(frozen=True)
class TakenLink:
    """A link as the lines have it, and what of it is still to be worked out."""

    link: Link
    is_new: bool = False
    crossings: tuple[Crossing, ...] = ()
    ends: tuple[WireEnd, ...] = ()
    places: tuple[str | None, str | None] = (None, None)
    # Routed and led through plugs, its ends made; or only its ends.
    settle: bool = False
    remake: bool = False
    choose_route: bool = False
    choose_colour: bool = False
    choose_section: bool = False


@dataclass
class Taker:
    """What the lines are held against."""

    design: Design
    catalogue: Catalogue
    names: Named
    cables: dict[float, CatalogPart] = field(init=False)
    run_between: dict[frozenset[str], Run] = field(init=False)

    def __post_init__(self) -> None:
        self.cables = cables(self.design, self.catalogue)
        self.run_between = {
            frozenset((run.from_place_uid, run.to_place_uid)): run
            for run in self.design.run.values()
        }

    @cached_property
    def wires(self) -> dict[str, Listed]:
        return {each.wire.uid: each for each in listed(self.design)}

    def columns(self, whole: Mapping[str, Any], link: Link) -> dict[str, Any]:
        """What the lines say of the link as a whole, as the row keeps it."""
        new: dict[str, Any] = {}
        if "number" in whole:
            number = whole["number"] and whole["number"][0]
            if not number and link.number:
                raise Refused("number", "The number is missing: fill it in.")
            new["number"] = number or 0
        if "circuit" in whole:
            new["circuit_uid"] = self.names.circuit(
                whole["circuit"] or "", whole.get("circuit_number"), whole.get("service")
            )
        else:
            for column, name in (("circuit_number", "number"), ("service", "service")):
                if whole.get(column) is not None:
                    self.names.change_circuit(link.circuit_uid, name, whole[column])
        colours = {name: whole[name] or "" for name in ("main", "tracer") if name in whole}
        if colours:
            check_colours(**{"main": link.main, "tracer": link.tracer} | colours)
        new |= colours
        new |= self._cable_of(whole, link)
        new |= {name: bool(whole[name]) for name in ("starter_cable", "own_lead") if name in whole}
        new |= {name: whole[name] or "" for name in ("core", "note") if name in whole}
        if whole.keys() & {"cable", "cable_kind", "cable_of_part"}:
            new |= self._laid_in(whole, link)
        return new

    def _cable_of(self, whole: Mapping[str, Any], link: Link) -> dict[str, Any]:
        """Section and cable go together: each alone brings the other."""
        is_new = not link.circuit_uid
        csa, named = whole.get("section_mm2"), whole.get("cable_part")
        if named:
            part = find_part(self.catalogue, named, CABLES, "cable_part")
            has = part.number("csa_mm2")
            if part.kind != "cable" and csa is not None:
                # A screen's section is not that of the cores.
                return {"cable_part_uid": part.uid, "csa_mm2": csa}
            if csa is not None and has != csa:
                raise Refused("cable_part", f"{part.name} has {has:g} mm², not {csa:g} mm².")
            return {"cable_part_uid": part.uid, "csa_mm2": has}
        if csa is None:
            return {}
        if "cable_part" in whole and is_new:
            return {"csa_mm2": csa, "cable_part_uid": None}
        found = self.cables.get(csa)
        return {"csa_mm2": csa, "cable_part_uid": found.uid if found else None}

    def lengths(self, link: Link, bysegment_of: Mapping[int, WireLine]) -> dict[str, int]:
        lengths = dict(link.lengths_mm)
        for segment, line in bysegment_of.items():
            if "length_by_hand_mm" in line.values:
                lengths.pop(str(segment), None)
                if line.values["length_by_hand_mm"] is not None:
                    lengths[str(segment)] = line.values["length_by_hand_mm"]
        return lengths

    def _laid_in(self, whole: Mapping[str, Any], link: Link) -> dict[str, Any]:
        standing = self.design.cable.get(link.cable_uid or "")
        name = whole.get("cable", standing and standing.name)
        if not name:
            return {"cable_uid": None} if link.cable_uid else {}
        part = whole.get("cable_of_part")
        if part:
            part = find_part(self.catalogue, part, CABLES[::-1], "cable_of_part").uid
        return {"cable_uid": self.names.cable(name, whole.get("cable_kind") or "", part)}

    def mates(self, a: str | None, b: str | None) -> tuple[str, str]:
        """The two ways, if they are those of one plug and socket.

        Raises:
            Refused: they do not mate.
        """
        if a is not None and b is not None:
            ways = (self.names.way_row(a), self.names.way_row(b))
            halves = [self.design.fitting.get(way.fitting_uid) for way in ways]
            mated = halves[0] and halves[1] and halves[0].mate_uid == halves[1].uid
            if mated and ways[0].label == ways[1].label:
                return a, b
        raise Refused(
            "from_way",
            "This part of the wire has to begin at the way of a plug and socket in which the part "
            "before it ends. Wires that are not joined so need numbers of their own.",
        )

    def route(self, texts: Sequence[str]) -> tuple[tuple[str, ...], str, str]:
        """The runs along the places of a link's parts, and the places where they begin and end."""
        places: list[str] = []
        for text in texts:
            passed = [self._known_place(name) for name in read_route(text)]
            if places and (not passed or passed[0] != places[-1]):
                raise Refused("route", "The route of this part begins where the one before ends.")
            places += passed[1:] if places else passed
        route = []
        for a, b in pairwise(places):
            run = self.run_between.get(frozenset((a, b)))
            if run is None:
                names = [self.design.place[uid].name for uid in (a, b)]
                raise Refused(
                    "route",
                    f"No run leads from {names[0]} to {names[1]}: add it under Runs, or leave the "
                    "route empty to take the shortest way.",
                )
            route.append(run.uid)
        return tuple(route), places[0], places[-1]

    def _known_place(self, name: str) -> str:
        uid = self.names.places.get(key(name))
        if uid is None or uid not in self.design.place:
            raise Refused(
                "route", f"No place with runs is called “{name}”: put > between the places."
            )
        return uid


class beside:  # noqa: N801 - used as a function is
    """Puts a refusal beside the line that speaks of its column, else beside the first."""

    def __init__(self, lines: Sequence[WireLine]) -> None:
        self.lines = lines

    def __enter__(self) -> None:
        pass

    def __exit__(self, kind: object, refused: BaseException | None, trace: object) -> bool:
        if not isinstance(refused, Refused):
            return False
        speaks = (each for each in self.lines if each.values.get(refused.field))
        next(speaks, self.lines[0]).refuse(refused.field, refused.sentence)
        return True


def segment_of(line: WireLine) -> int:
    """Which part of its link a line is."""
    if line.uid:
        return int(line.uid.rpartition(".")[2])
    number = line.values.get("number")
    return ord(number[1]) if number and number[1] else 0


def agreed(lines: Sequence[WireLine]) -> dict[str, Any]:
    """What the lines say of the link as a whole; a line that says otherwise is refused."""
    whole: dict[str, Any] = {}
    for line in lines:
        for name in WHOLE:
            if name not in line.values:
                continue
            value = line.values[name]
            before = whole.setdefault(name, value)
            if (before and before[0] if name == "number" else before) != (
                value and value[0] if name == "number" else value
            ):
                line.refuse(
                    name,
                    f"Line {lines[0].at} is a part of the same wire and says otherwise.",
                )
    return whole


def refuse_ends(start: str | None, end: str | None) -> None:
    if start is None and end is None:
        raise Refused("to_fitting", "One end at least must go to a way; both are left loose.")
    if start == end:
        raise Refused("to_way", "Both ends go to the same way.")
