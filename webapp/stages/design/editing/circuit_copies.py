"""A circuit that was typed by hand, once more: its own fittings, wires and ends at other places.

What only its wires go to is copied; what it shares with others (supply, fuse board, bars, plugs,
studs where they stay) gives the copy its next free way.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from webapp.sizing.colours import COMMON_PALETTE, Palette
from webapp.stages.catalogue import Catalogue
from webapp.stages.design.commands import new_uid
from webapp.stages.design.currents import LoadFigures
from webapp.stages.design.editing.adding import next_colour
from webapp.stages.design.editing.circuits import next_circuit_number, same_name
from webapp.stages.design.editing.edit import Edit, Editing, by_hand, get, next_position, put
from webapp.stages.design.editing.ends import LOOSE_MM
from webapp.stages.design.editing.routes import ends_at
from webapp.stages.design.editing.settling import on_ways, route_to, settle
from webapp.stages.design.editing.wires import next_number
from webapp.stages.design.figures import Figures
from webapp.stages.design.graph import SUPPLY, is_earth
from webapp.stages.design.halves import used_ways
from webapp.stages.design.names import key
from webapp.stages.design.rows import Bridge, Circuit, Design, Fitting, Link, Way, WireEnd
from webapp.stages.design.twin_names import like_it
from webapp.stages.refusals import Refused

ENDS = ("from", "to")
MADE_BY_HAND = ("terminal_part_uid", "shrink_part_uid", "shrink_mm", "strip_mm", "solder")


def links_of(design: Design, circuit_uid: str) -> list[Link]:
    """The circuit's links in the order of their numbers."""
    found = [link for link in design.link.values() if link.circuit_uid == circuit_uid]
    return sorted(found, key=lambda link: (link.number, link.uid))


def own_fittings(design: Design, circuit_uid: str) -> list[Fitting]:
    """The fittings that only this circuit's wires go to."""
    links = links_of(design, circuit_uid)
    ways = [uid for link in links for uid in (link.from_way_uid, link.to_way_uid) if uid]
    met = dict.fromkeys(design.way[uid].fitting_uid for uid in ways)
    own = {link.uid for link in links}
    return [
        design.fitting[uid]
        for uid in met
        if design.fitting[uid].kind != SUPPLY
        and design.fitting[uid].mate_uid is None
        and own.issuperset(on_ways(design, (way.uid for way in design.ways_of[uid])))
    ]


def copy(
    circuit_uid: str,
    name: str,
    places: Mapping[str, str],
    palette: Palette = COMMON_PALETTE,
) -> Editing:
    """Copy a circuit with new numbers and the next free colours.

    Args:
        name: Of the new circuit.
        places: The new place's uid by the old one's; what sits at other places is copied there.

    The edit raises Refused: the name is taken, a place is not there, or it has no wires.
    """

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        circuit: Circuit = get(design, "circuit", circuit_uid)
        if known := same_name(design, name):
            raise Refused("name", f"Circuit {known.number} is called {known.name} already.")
        if any(uid not in design.place for uid in places.values()):
            raise Refused("", "A place is no longer there: choose another.")
        if not links_of(design, circuit_uid):
            raise Refused("", f"Circuit {circuit.number} has no wires to copy.")
        return _Copying(design, circuit, places, palette).made(name, catalogue)

    return edit


@dataclass
class _Copying:
    before: Design
    circuit: Circuit
    places: Mapping[str, str]
    palette: Palette
    ways: dict[str, str] = field(default_factory=dict)  # the copy's way by the original's
    said: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.design = self.before
        self.loads: Mapping[str, LoadFigures] = Figures(self.before).loads

    def made(self, name: str, catalogue: Catalogue) -> Edit:
        new = replace(
            self.circuit,
            uid=new_uid(),
            position=next_position(self.before.circuit.values()),
            number=next_circuit_number(self.before),
            name=name,
            origin="",
            by_hand=(),
            version=1,
            need_uid=None,
        )
        self.design = put(self.design, new)
        for fitting in own_fittings(self.before, self.circuit.uid):
            if not is_earth(fitting) or fitting.place_uid in self.places:
                self._fitting(fitting)
        links = [self._link(each, new) for each in links_of(self.before, self.circuit.uid)]
        settled, more = settle(self.before, self.design, catalogue, links)
        sentence = f"Copy circuit {self.circuit.number}, {self.circuit.name}, as {name}"
        return Edit(settled, sentence, (*self.said, *more))

    # Fittings

    def _fitting(self, fitting: Fitting) -> None:
        place_uid = self.places.get(fitting.place_uid, fitting.place_uid)
        known = {key(each.name) for each in self.design.fitting.values()}
        new = replace(
            fitting,
            uid=new_uid(),
            position=next_position(self.design.fitting.values()),
            name=like_it(fitting.name, known),
            place_uid=place_uid,
            along_run_uid=None,
            along_mm=None,
            **_FRESH,
        )
        ways = [
            replace(way, uid=new_uid(), fitting_uid=new.uid, **_FRESH)
            for way in self.before.ways_of[fitting.uid]
        ]
        pairs = zip(self.before.ways_of[fitting.uid], ways, strict=True)
        self.ways |= {old.uid: way.uid for old, way in pairs}
        bridges = [
            self._bridge(bridge, new.uid)
            for bridge in self.before.bridge.values()
            if bridge.fitting_uid == fitting.uid
        ]
        self.design = put(self.design, new, *ways, *bridges)

    def _bridge(self, bridge: Bridge, fitting_uid: str) -> Bridge:
        """A load takes what the first one takes, without its need: that has its own load."""
        load = self.loads.get(bridge.uid)
        load_a = bridge.load_a
        if bridge.need_uid is not None and load is not None:
            load_a = load.heat_a
        return replace(
            bridge,
            uid=new_uid(),
            fitting_uid=fitting_uid,
            way_a_uid=self.ways[bridge.way_a_uid],
            way_b_uid=self.ways[bridge.way_b_uid],
            need_uid=None,
            load_a=load_a,
            **_FRESH,
        )

    # Wires

    def _link(self, link: Link, circuit: Circuit) -> str:
        number = next_number(self.design)
        starts = ends_at(self.before, link)
        ends = [self._end(link, side, number) for side in ENDS]
        at = [
            self.design.place_of_way(way_uid)
            if way_uid is not None
            else self.places.get(place or "", place or "")
            for way_uid, place in zip(ends, starts, strict=True)
        ]
        new = replace(
            link,
            uid=new_uid(),
            position=next_position(self.design.link.values()),
            number=number,
            circuit_uid=circuit.uid,
            from_way_uid=ends[0],
            to_way_uid=ends[1],
            route=route_to(self.design, at[0], at[1], number, self.said) if all(at) else None,
            lengths_mm={},
            cable_uid=None,
            core="",
            **_FRESH,
        )
        main, tracer = next_colour(self.design, new, circuit, self.palette)
        held = [name for name in ("csa_mm2", "cable_part_uid") if getattr(new, name) is not None]
        new = by_hand(new, main=main, tracer=tracer, **{n: getattr(new, n) for n in held})
        if link.cable_uid is not None:
            self.said.append(f"Wire {number} is a single wire, not a core: lay it under Cables.")
        self.design = put(self.design, new, *self._wire_ends(link, new))
        return new.uid

    def _wire_ends(self, link: Link, new: Link) -> Iterable[WireEnd]:
        for side, way_uid in zip(ENDS, (new.from_way_uid, new.to_way_uid), strict=True):
            old = self.before.wire_end.get(f"{link.uid}:{side}")
            end = WireEnd(uid=f"{new.uid}:{side}", link_uid=new.uid)
            if way_uid is None:
                yield by_hand(end, loose_mm=(old.loose_mm if old else None) or LOOSE_MM)
            elif old is not None:
                kept = {name: getattr(old, name) for name in MADE_BY_HAND if name in old.by_hand}
                yield by_hand(end, **kept) if kept else end

    def _end(self, link: Link, side: str, number: int) -> str | None:
        """The way that an end of the copy goes to; None where it is left loose."""
        old_uid: str | None = getattr(link, f"{side}_way_uid")
        if old_uid is None or old_uid in self.ways:
            return self.ways.get(old_uid or "")
        way = self.before.way[old_uid]
        found = self._free_like(way)
        fitting = self.before.fitting[way.fitting_uid]
        if found is None:
            self.said.append(
                f"Wire {number} is left loose at {fitting.name}: it has no free way like "
                f"{way.label}."
            )
        elif found.uid != way.uid:
            self.said.append(f"Wire {number} goes to {fitting.name} · {found.label}.")
        return found.uid if found else None

    def _free_like(self, way: Way) -> Way | None:
        """A way of a shared fitting: the same where it takes another wire, else one like it."""
        used = used_ways(self.design)
        inside = self._inside(way.uid)
        on_it = len(on_ways(self.design, [way.uid]))
        if on_it < way.takes and not any(each.kind == "fuse" for each in inside):
            return way
        kinds = sorted(each.kind for each in inside)
        for other in self.design.ways_of[way.fitting_uid]:
            if other.uid in used or other.contact != way.contact:
                continue
            theirs = self._inside(other.uid)
            if sorted(each.kind for each in theirs) == kinds:
                self._same_fuse(inside, theirs)
                return other
        return None

    def _inside(self, way_uid: str) -> list[Bridge]:
        return [
            bridge
            for bridge in self.design.bridge.values()
            if way_uid in (bridge.way_a_uid, bridge.way_b_uid)
        ]

    def _same_fuse(self, like: list[Bridge], bridges: list[Bridge]) -> None:
        for bridge in bridges:
            first = next((each for each in like if each.kind == bridge.kind == "fuse"), None)
            if first is None:
                continue
            new = by_hand(bridge, fuse_a=first.fuse_a, fuse_part_uid=first.fuse_part_uid)
            self.design = put(self.design, new)


_FRESH: dict[str, Any] = {"origin": "", "by_hand": (), "version": 1}
