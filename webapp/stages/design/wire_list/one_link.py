"""One link of a list of wires: its row, its ways through plugs and its ends, as the lines say."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise
from typing import Any

from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design.choices import cables
from webapp.stages.design.commands import new_uid
from webapp.stages.design.editing.edit import by_hand, released
from webapp.stages.design.editing.settling import crossings_of
from webapp.stages.design.editing.wires import check_colours
from webapp.stages.design.names import key
from webapp.stages.design.rows import Crossing, Design, Link, Run, WireEnd
from webapp.stages.design.wire_list.ends import made_end
from webapp.stages.design.wire_list.lines import (
    SIDES,
    Listed,
    WireLine,
    line_values,
    listed,
    read_route,
)
from webapp.stages.design.wire_list.named import CABLES, EndAt, Named, find_part
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

    def take(self, link: Link | None, lines: Sequence[WireLine]) -> TakenLink | None:
        """The link of these lines; None when one of them is refused."""
        if link is None:
            return self._new(sorted(lines, key=_segment))
        return self._known(link, sorted(lines, key=_segment))

    # --- a wire that is there -------------------------------------------------------------------

    def _known(self, link: Link, lines: Sequence[WireLine]) -> TakenLink | None:
        crossings = crossings_of(self.design, link.uid)
        if not any(line.values for line in lines):
            return TakenLink(link, crossings=tuple(crossings))
        now = [each for each in self.wires.values() if each.wire.link.uid == link.uid]
        by_segment = {_segment(line): line for line in lines}
        whole = _agreed(lines)
        with beside(lines):
            new = self._columns(whole, link)
            after = by_hand(link, **new)
            if "section_mm2" in whole and whole["section_mm2"] is None and "csa_mm2" not in new:
                after = released(after, csa_mm2=None, cable_part_uid=None)
            elif "cable_part" in whole and "cable_part_uid" not in new:
                found = self.cables.get(link.csa_mm2 or 0.0)
                after = released(after, cable_part_uid=found.uid if found else None)
            pairs = [self._places_now(each, by_segment.get(at)) for at, each in enumerate(now)]
            after = self._led(after, link, pairs)
            after, rerouted = self._rerouted(after, now, by_segment)
            lengths = self._lengths(link, by_segment)
            if lengths != link.lengths_mm:
                after = (by_hand if lengths else released)(after, lengths_mm=lengths)
            kept = self._crossings_now(link, now, pairs, lines)
            ends = [
                made_end(
                    self.design, self.catalogue, link.uid, end.uid, at, side,
                    by_segment.get(number),
                )
                for number, (each, ends_at) in enumerate(zip(now, pairs, strict=True))
                for side, end, at in zip(SIDES, each.wire.ends, ends_at, strict=True)
            ]  # fmt: skip
            moved = (link.from_way_uid, link.to_way_uid) != (after.from_way_uid, after.to_way_uid)
            return TakenLink(
                link=after,
                crossings=tuple(kept),
                ends=tuple(end for end in ends if end is not None),
                places=(pairs[0][0].place_uid, pairs[-1][1].place_uid),
                settle=moved or rerouted or bool(new.keys() & {"starter_cable", "own_lead"}),
                remake=True,
                choose_route=(moved or rerouted) and "route" not in after.by_hand,
            )
        return None

    def _places_now(self, each: Listed, line: WireLine | None) -> tuple[EndAt, EndAt]:
        """Where both ends of a wire go, with what its line changes."""
        ends = []
        for side, end in zip(SIDES, each.wire.ends, strict=True):
            at = EndAt(end.way_uid, None if end.way_uid is None else end.place_uid)
            if at.way_uid is None and each.places:
                at = EndAt(None, each.places[0 if side == "from" else -1])
            if line is not None and any(f"{side}_{name}" in line.values for name in WHERE):
                with beside([line]):
                    at = self._end_changed(each, line, side)
            ends.append(at)
        return ends[0], ends[1]

    def _end_changed(self, each: Listed, line: WireLine, side: str) -> EndAt:
        now = line_values(self.design, each)
        said = {name: line.values.get(f"{side}_{name}", now[f"{side}_{name}"]) for name in WHERE}
        if f"{side}_fitting" in line.values and f"{side}_place" not in line.values:
            # The place in the list is still that of the fitting before, unless it is left loose.
            said["place"] = "" if said["fitting"] else said["place"]
        if not said["fitting"] and f"{side}_way" not in line.values:
            said["way"] = ""
        return self.names.end(line, side, said["fitting"], said["way"], said["place"])

    def _led(self, after: Link, link: Link, pairs: Sequence[tuple[EndAt, EndAt]]) -> Link:
        ends = {"from_way_uid": pairs[0][0].way_uid, "to_way_uid": pairs[-1][1].way_uid}
        different = {name: way for name, way in ends.items() if way != getattr(link, name)}
        if different:
            _refuse_ends(ends["from_way_uid"], ends["to_way_uid"])
        return by_hand(after, **different)

    def _rerouted(
        self, after: Link, now: Sequence[Listed], by_segment: Mapping[int, WireLine]
    ) -> tuple[Link, bool]:
        if not any("route" in line.values for line in by_segment.values()):
            return after, False
        texts = [
            by_segment[at].values.get("route", line_values(self.design, each)["route"])
            if at in by_segment
            else line_values(self.design, each)["route"]
            for at, each in enumerate(now)
        ]
        if not any(texts):
            return released(after, route=None), True
        route, _, _ = self._route(texts)
        return by_hand(after, route=route), True

    def _lengths(self, link: Link, by_segment: Mapping[int, WireLine]) -> dict[str, int]:
        lengths = dict(link.lengths_mm)
        for segment, line in by_segment.items():
            if "length_by_hand_mm" in line.values:
                lengths.pop(str(segment), None)
                if line.values["length_by_hand_mm"] is not None:
                    lengths[str(segment)] = line.values["length_by_hand_mm"]
        return lengths

    def _crossings_now(
        self,
        link: Link,
        now: Sequence[Listed],
        pairs: Sequence[tuple[EndAt, EndAt]],
        lines: Sequence[WireLine],
    ) -> list[Crossing]:
        there = {each.uid: each for each in crossings_of(self.design, link.uid)}
        for at in range(len(now) - 1):
            uid = now[at].wire.right.uid.removeprefix(f"{link.uid}:").removesuffix(".a")
            ways = (pairs[at][1].way_uid, pairs[at + 1][0].way_uid)
            if ways != (there[uid].way_a_uid, there[uid].way_b_uid):
                a, b = self._mates(*ways)
                there[uid] = by_hand(there[uid], way_a_uid=a, way_b_uid=b)
        return list(there.values())

    # --- a new wire -----------------------------------------------------------------------------

    def _new(self, lines: Sequence[WireLine]) -> TakenLink | None:
        as_it_stands = bool(lines[0].uid)
        whole = _agreed(lines)
        uid = new_uid()
        with beside(lines):
            given = whole if as_it_stands else {k: v for k, v in whole.items() if v is not None}
            pairs = [self._both_ends(line) for line in lines]
            if not all(line.good for line in lines):
                return None
            start, end = pairs[0][0], pairs[-1][1]
            _refuse_ends(start.way_uid, end.way_uid)
            _refuse_nowhere(start, end, as_it_stands)
            base = Link(
                uid=uid, number=0, circuit_uid="",
                from_way_uid=start.way_uid, to_way_uid=end.way_uid,
            )  # fmt: skip
            columns = self._columns({"circuit": None} | given, base)
            link = by_hand(base, **{n: v for n, v in columns.items() if v not in (None, "", False)})
            texts = [line.given("route") or "" for line in lines]
            if any(texts):
                route, first, last = self._route(texts)
                _refuse_other_places(start, end, first, last)
                link = by_hand(link, route=route)
            lengths = self._lengths(link, dict(enumerate(lines)))
            if lengths:
                link = by_hand(link, lengths_mm=lengths)
            crossings = self._crossings(uid, pairs, lines)
            ends = [
                made_end(self.design, self.catalogue, uid, end_uid, at, side, line)
                for line, end_uids, ends_at in zip(
                    lines, _end_uids(uid, crossings), pairs, strict=True
                )
                for side, end_uid, at in zip(SIDES, end_uids, ends_at, strict=True)
            ]
            known = "route" in lines[0].values
            return TakenLink(
                link=link,
                is_new=True,
                crossings=tuple(crossings),
                ends=tuple(row for row in ends if row is not None),
                places=(start.place_uid, end.place_uid),
                settle=not as_it_stands,
                remake=True,
                choose_route=link.route is None and not (as_it_stands and known),
                choose_colour=not link.main and not (as_it_stands and "main" in whole),
                choose_section=link.csa_mm2 is None
                and not (as_it_stands and "section_mm2" in whole),
            )
        return None

    def _both_ends(self, line: WireLine) -> tuple[EndAt, EndAt]:
        found = []
        for side in SIDES:
            at = EndAt(None, None)
            with beside([line]):
                fitting, way, place = (
                    str(line.given(f"{side}_{name}") or "") for name in ("fitting", "way", "place")
                )
                at = self.names.end(line, side, fitting, way, place)
            found.append(at)
        return found[0], found[1]

    def _crossings(
        self, link_uid: str, pairs: Sequence[tuple[EndAt, EndAt]], lines: Sequence[WireLine]
    ) -> list[Crossing]:
        ways = []
        for before, after, line in zip(pairs, pairs[1:], lines[1:], strict=False):
            with beside([line]):
                ways.append(self._mates(before[1].way_uid, after[0].way_uid))
        # Where plugs stand together, the order of their uids is that along the link.
        uids = sorted(new_uid() for _ in ways)
        return [
            Crossing(uid=uid, link_uid=link_uid, way_a_uid=a, way_b_uid=b)
            for uid, (a, b) in zip(uids, ways, strict=True)
        ]

    # --- both -----------------------------------------------------------------------------------

    def _columns(self, whole: Mapping[str, Any], link: Link) -> dict[str, Any]:
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
            if csa is not None and has != csa:
                raise Refused("cable_part", f"{part.name} has {has:g} mm², not {csa:g} mm².")
            return {"cable_part_uid": part.uid, "csa_mm2": has}
        if csa is None:
            return {}
        if "cable_part" in whole and is_new:
            return {"csa_mm2": csa, "cable_part_uid": None}
        found = self.cables.get(csa)
        return {"csa_mm2": csa, "cable_part_uid": found.uid if found else None}

    def _laid_in(self, whole: Mapping[str, Any], link: Link) -> dict[str, Any]:
        standing = self.design.cable.get(link.cable_uid or "")
        name = whole.get("cable", standing and standing.name)
        if not name:
            return {"cable_uid": None} if link.cable_uid else {}
        part = whole.get("cable_of_part")
        if part:
            part = find_part(self.catalogue, part, CABLES[::-1], "cable_of_part").uid
        return {"cable_uid": self.names.cable(name, whole.get("cable_kind") or "", part)}

    def _mates(self, a: str | None, b: str | None) -> tuple[str, str]:
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

    def _route(self, texts: Sequence[str]) -> tuple[tuple[str, ...], str, str]:
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


def _segment(line: WireLine) -> int:
    """Which part of its link a line is."""
    if line.uid:
        return int(line.uid.rpartition(".")[2])
    number = line.values.get("number")
    return ord(number[1]) if number and number[1] else 0


def _agreed(lines: Sequence[WireLine]) -> dict[str, Any]:
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


def _end_uids(link_uid: str, crossings: Sequence[Crossing]) -> list[tuple[str, str]]:
    marks = ["from", *(f"{each.uid}.{half}" for each in crossings for half in "ab"), "to"]
    uids = [f"{link_uid}:{mark}" for mark in marks]
    return list(zip(uids[::2], uids[1::2], strict=True))


def _refuse_ends(start: str | None, end: str | None) -> None:
    if start is None and end is None:
        raise Refused("to_fitting", "One end at least must go to a way; both are left loose.")
    if start == end:
        raise Refused("to_way", "Both ends go to the same way.")


def _refuse_nowhere(start: EndAt, end: EndAt, as_it_stands: bool) -> None:
    for side, at in zip(SIDES, (start, end), strict=True):
        if at.way_uid is None and at.place_uid is None and not as_it_stands:
            raise Refused(
                f"{side}_fitting",
                "Say to which fitting and way this end goes, or at which place it is left loose.",
            )


def _refuse_other_places(start: EndAt, end: EndAt, first: str, last: str) -> None:
    if start.place_uid not in (None, first) or end.place_uid not in (None, last):
        raise Refused("route", "This route does not lead from one end to the other.")
