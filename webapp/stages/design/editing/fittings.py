"""Edits of fittings: new ones, name, place, part, who supplies it, fuse-links, load currents."""

from dataclasses import replace
from typing import Any

from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design.commands import new_uid
from webapp.stages.design.editing.edit import (
    NOT_SEEN,
    Edit,
    Editing,
    by_hand,
    check_seen,
    get,
    mark_removed,
    next_position,
    put,
    released,
    take,
)
from webapp.stages.design.editing.settling import on_ways, settle
from webapp.stages.design.fit_out import bridges_of_part, ways_of_part
from webapp.stages.design.halves import used_ways
from webapp.stages.design.names import key, listed
from webapp.stages.design.proposal.plugs import plug_ways
from webapp.stages.design.rows import Bridge, Design, Fitting, Way
from webapp.stages.refusals import Refused

SUPPLIERS = ("workshop", "customer")


HALVES = ("plug", "socket")


def parts_on_offer(catalogue: Catalogue) -> list[CatalogPart]:
    """Parts that a fitting can be: those with ways, in the stores' order."""
    return [part for part in catalogue.parts.values() if part.text("ways") and part.text("what")]


def halves_on_offer(catalogue: Catalogue) -> list[tuple[CatalogPart, str]]:
    """Plug halves that may end a loom, to mate with what exists."""
    return [(part, half) for part in catalogue.kind("plug and socket") for half in HALVES]


def add(
    part_uid: str,
    name: str,
    place_uid: str,
    *,
    half: str = "",
    supplied_by: str = "workshop",
    note: str = "",
) -> Editing:
    """Fit a part of the stores at a place, with its ways and what joins them inside.

    `half` (plug or socket) takes one half of a plug and socket, for a loom that ends in it.
    """

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        part = _half(catalogue, part_uid) if half else _part(catalogue, part_uid)
        _refuse_name(design, name)
        if place_uid not in design.place:
            raise Refused("place_uid", "This place is no longer there: choose another.")
        fitting = Fitting(
            uid=new_uid(),
            position=next_position(design.fitting.values()),
            place_uid=place_uid,
            name=name,
            kind=half or part.text("what"),
            part_uid=part.uid,
            supplied_by=supplied_by,
            note=note,
        )
        if half:
            ways = plug_ways(part, fitting.uid, half, "")
            after = put(design, fitting, *ways)
        else:
            ways = ways_of_part(part, fitting.uid, origin="", uid_of=_fresh)
            labels = {way.label: way.uid for way in ways}
            bridges = bridges_of_part(part, fitting.uid, labels, origin="", uid_of=_fresh)
            after = put(design, fitting, *ways, *bridges)
        return Edit(after, f"Add {name} at {design.place[place_uid].name}")

    return edit


def _fresh(_origin: str) -> str:
    return new_uid()


def _part(catalogue: Catalogue, uid: str) -> CatalogPart:
    part = catalogue.get(uid)
    if part is None or part not in parts_on_offer(catalogue):
        raise Refused("part_uid", "This part is no longer in the stores: choose another.")
    return part


def _half(catalogue: Catalogue, uid: str) -> CatalogPart:
    part = catalogue.get(uid)
    if part is None or part.kind != "plug and socket":
        raise Refused("part_uid", "This part is no longer in the stores: choose another.")
    return part


def _refuse_name(design: Design, name: str, uid: str = "") -> None:
    if any(key(each.name) == key(name) for each in design.fitting.values() if each.uid != uid):
        raise Refused("name", f"There is a fitting called {name} already: give each its own name.")


def field(fitting_uid: str, name: str, wanted: str, seen: Any = NOT_SEEN) -> Editing:
    """Set a fitting's name, note or who supplies it."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        fitting: Fitting = get(design, "fitting", fitting_uid)
        check_seen(name, seen, getattr(fitting, name), wanted)
        if name == "name":
            _refuse_name(design, wanted, fitting_uid)
        if name == "supplied_by" and wanted not in SUPPLIERS:
            raise Refused(name, "Choose workshop or customer.")
        after = put(design, by_hand(fitting, **{name: wanted}))
        return Edit(after, f"{fitting.name}: {name.replace('_', ' ')} {wanted}".rstrip())

    return edit


def move(fitting_uid: str, place_uid: str, seen: Any = NOT_SEEN) -> Editing:
    """Move a fitting to another place: its wires are routed anew."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        fitting: Fitting = get(design, "fitting", fitting_uid)
        check_seen("place_uid", seen, fitting.place_uid, place_uid)
        if place_uid not in design.place:
            raise Refused("place_uid", "This place is no longer there: choose another.")
        if fitting.mate_uid is not None:
            raise Refused(
                "place_uid",
                "A plug stands in a run: take it out, and put one in at the other place.",
            )
        after = put(design, by_hand(fitting, place_uid=place_uid))
        links = on_ways(design, (way.uid for way in design.ways_of[fitting_uid]))
        after, said = settle(design, after, catalogue, links)
        place = design.place[place_uid].name
        if links:
            numbers = [f"wire {design.link[uid].number}" for uid in links]
            said = [f"Routed anew: {listed(numbers)}.", *said]
        return Edit(after, f"Move {fitting.name} to {place}", tuple(said))

    return edit


# Another part


def other_part(fitting_uid: str, part_uid: str, seen: Any = NOT_SEEN) -> Editing:
    """Take another part for a fitting: ways of the same label keep their wires."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        fitting: Fitting = get(design, "fitting", fitting_uid)
        check_seen("part_uid", seen, fitting.part_uid, part_uid)
        if fitting.kind in HALVES:
            raise Refused("part_uid", "Take the plug out, and put in one of another kind.")
        part = _part(catalogue, part_uid)
        after = _with_ways(design, fitting, part)
        after, said = _with_bridges(after, design, fitting, part, catalogue)
        new = by_hand(fitting, part_uid=part.uid, kind=part.text("what"))
        after = put(after, new)
        links = on_ways(after, (way.uid for way in after.ways_of[fitting_uid]))
        after, more = settle(design, after, catalogue, links)
        return Edit(after, f"{fitting.name}: {part.name}", (*said, *more))

    return edit


def _with_ways(design: Design, fitting: Fitting, part: CatalogPart) -> Design:
    old = {way.label: way for way in design.ways_of[fitting.uid]}
    known = {label: way.uid for label, way in old.items()}
    planned = ways_of_part(part, fitting.uid, origin="", uid_of=_fresh, known=known)
    lost = [way for label, way in old.items() if label not in {way.label for way in planned}]
    used = used_ways(design)
    if kept := [way for way in lost if way.uid in used]:
        numbers = [f"wire {design.link[uid].number}" for uid in on_ways(design, _uids(kept))]
        raise Refused(
            "part_uid",
            f"{part.name} has no way {listed([way.label for way in kept])}, where "
            f"{listed(numbers)} goes: lead that elsewhere first.",
        )
    rows: list[Way] = []
    for way in planned:
        before = old.get(way.label)
        if before is None:
            rows.append(way)
        else:
            new = {"contact": way.contact, "takes": way.takes, "max_a": way.max_a}
            different = {name: v for name, v in new.items() if getattr(before, name) != v}
            rows.append(replace(by_hand(before, **different), position=way.position))
    after = put(take(design, "way", _uids(lost)), *rows)
    return mark_removed(after, [(way, f"Way {way.label} of {fitting.name}") for way in lost])


def _with_bridges(
    after: Design, before: Design, fitting: Fitting, part: CatalogPart, catalogue: Catalogue
) -> tuple[Design, list[str]]:
    """What the part joins inside; needs, fuse-links and currents stay where they were."""
    old = [each for each in before.bridge.values() if each.fitting_uid == fitting.uid]
    need_uid = next((each.need_uid for each in old if each.need_uid), None)
    labels = {way.label: way.uid for way in after.ways_of[fitting.uid]}
    need = before.need.get(need_uid or "")
    planned = bridges_of_part(part, fitting.uid, labels, origin="", uid_of=_fresh, need=need)
    known = {(each.way_a_uid, each.way_b_uid, each.kind): each for each in old}
    said: list[str] = []
    rows: list[Bridge] = []
    for bridge in planned:
        same = known.pop((bridge.way_a_uid, bridge.way_b_uid, bridge.kind), None)
        rows.append(_carried_on(after, same, bridge, catalogue, said) if same else bridge)
    gone = list(known.values())
    after = put(take(after, "bridge", [each.uid for each in gone]), *rows)
    after = mark_removed(after, [(each, f"What is inside {fitting.name}") for each in gone])
    return after, said


def _carried_on(
    design: Design, same: Bridge, planned: Bridge, catalogue: Catalogue, said: list[str]
) -> Bridge:
    """The row that was there; a fuse-link of another family is looked up by its rating."""
    if same.kind != "fuse" or same.fuse_kind == planned.fuse_kind:
        return same
    new = by_hand(same, fuse_kind=planned.fuse_kind)
    if same.fuse_a is None:
        return new
    found = fuse_part(catalogue, planned.fuse_kind, same.fuse_a)
    if found is None:
        label = design.way[same.way_b_uid].label
        said.append(
            f"Way {label}: there is no {same.fuse_a:g} A fuse-link of the new family; "
            f"choose a rating."
        )
        return by_hand(new, fuse_a=None, fuse_part_uid=None)
    return by_hand(new, fuse_part_uid=found.uid)


def _uids(ways: list[Way]) -> list[str]:
    return [way.uid for way in ways]


# Inside


def fuse_part(catalogue: Catalogue, kind: str | None, rating_a: float) -> CatalogPart | None:
    """The fuse-link of a family and rating in the stores."""
    for part in catalogue.kind("fuse-link"):
        if part.text("fuse_kind") == kind and part.number("rating_a") == rating_a:
            return part
    return None


def fuse_ratings(catalogue: Catalogue, kind: str | None) -> list[float]:
    """The ratings of a family that the stores hold. [A]"""
    return sorted(
        {
            part.number("rating_a")
            for part in catalogue.kind("fuse-link")
            if part.text("fuse_kind") == kind
        }
    )


def fuse_name(design: Design, bridge: Bridge) -> str:
    """Fuse board · 3, by the way that it protects."""
    return design.way_name(bridge.way_b_uid)


def fuse(bridge_uid: str, rating_a: float | None, seen: Any = NOT_SEEN) -> Editing:
    """Choose the fuse-link of a fused way; without a rating the next proposal chooses it."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        bridge: Bridge = get(design, "bridge", bridge_uid)
        if bridge.kind != "fuse":
            raise Refused("fuse_a", "There is no fuse-link between these ways.")
        check_seen("fuse_a", seen, bridge.fuse_a, rating_a)
        name = fuse_name(design, bridge)
        if rating_a is None:
            new = released(bridge, fuse_a=None, fuse_part_uid=None)
            return Edit(put(design, new), f"{name}: no fuse-link chosen")
        part = fuse_part(catalogue, bridge.fuse_kind, rating_a)
        if part is None:
            offered = [f"{a:g}" for a in fuse_ratings(catalogue, bridge.fuse_kind)]
            raise Refused(
                "fuse_a",
                f"The stores have no {bridge.fuse_kind} fuse-link of {rating_a:g} A. "
                f"They have: {', '.join(offered) or 'none'} A.",
            )
        new = by_hand(bridge, fuse_a=rating_a, fuse_part_uid=part.uid)
        return Edit(put(design, new), f"{name}: fuse-link {rating_a:g} A")

    return edit


def load_current(bridge_uid: str, amps: float | None, seen: Any = NOT_SEEN) -> Editing:
    """Set a load's current by hand; without one its need says it."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        bridge: Bridge = get(design, "bridge", bridge_uid)
        if bridge.kind not in ("load", "coil", "source"):
            raise Refused("load_a", "Nothing between these ways takes or gives a current.")
        check_seen("load_a", seen, bridge.load_a, amps)
        name = design.fitting[bridge.fitting_uid].name
        if amps is None:
            new = released(bridge, load_a=None)
            return Edit(put(design, new), f"{name}: current as its need says")
        return Edit(put(design, by_hand(bridge, load_a=amps)), f"{name}: {amps:g} A")

    return edit
