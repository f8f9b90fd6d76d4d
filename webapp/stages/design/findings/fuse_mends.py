"""The fuse-link rating that puts a finding right: the least in the stores that suits everything."""

import math

from webapp.sizing.fuse_gates import FUSE_KIND_IDS, family, shortest_opening_s
from webapp.sizing.fuses import required_wire_current_a
from webapp.sizing.reasons import LARGEST_CURRENT_A
from webapp.stages.design.currents import LoadFigures
from webapp.stages.design.findings.finding import Mend, View, change
from webapp.stages.design.rows import Bridge

LASTING_SHARE = 0.75


def fuse_mend(view: View, bridge: Bridge) -> Mend | None:
    """A fuse-link of the holder's family, other than the one there, that suits all it must."""
    rating = suiting_a(view, bridge)
    if rating is None or rating == bridge.fuse_a:
        return None
    return change(f"Use a fuse-link of {rating:g} A", "bridge", bridge.uid, "fuse_a", rating)


def suiting_a(view: View, bridge: Bridge) -> float | None:
    """The least stocked rating that carries the loads, lets their inrush pass, is no more than they
    allow and no more than the wires behind stand. [A]"""
    kind = bridge.fuse_kind or ""
    if kind not in FUSE_KIND_IDS:
        return None
    for rating in _stocked(view, kind):
        if _carries(view, bridge, rating) and _allowed(view, bridge, rating):
            return rating
    return None


def _stocked(view: View, kind: str) -> list[float]:
    return sorted(
        {
            part.number("rating_a")
            for part in view.catalogue.kind("fuse-link")
            if part.text("fuse_kind") == kind and part.stocked
        }
    )


def _carries(view: View, bridge: Bridge, rating: float) -> bool:
    figures = view.figures
    if figures.heat_a(bridge.uid) > rating:
        return False
    if figures.lasting_a(bridge.uid) > rating * LASTING_SHARE:
        return False
    largest_outside = max((each.fuse_a or 0.0 for each in _outside(view, bridge)), default=0.0)
    if rating < largest_outside:
        return False
    return all(_passes(view, bridge, load, rating) for load in _served(view, bridge))


def _passes(view: View, bridge: Bridge, load: LoadFigures, rating: float) -> bool:
    need = load.need
    if need is None or not need.inrush_a or not need.inrush_s:
        return True
    others = view.figures.lasting_a(bridge.uid) - (load.heat_a if load.lasting else 0.0)
    rush = min(need.inrush_a + max(0.0, others), LARGEST_CURRENT_A)
    opens = shortest_opening_s(bridge.fuse_kind or "", rating, rush)
    return opens.time_s is None or opens.time_s > need.inrush_s


def _allowed(view: View, bridge: Bridge, rating: float) -> bool:
    kind = family(bridge.fuse_kind or "")
    if view.prospective_a.get(bridge.uid, 0.0) > kind.breaking_capacity_a:
        return False
    nearest = [load for load in _served(view, bridge) if view.figures.fuse_of_load(load) == bridge]
    limits = [load.bridge.max_fuse_a for load in nearest if load.bridge.max_fuse_a is not None]
    if rating > min(limits, default=math.inf):
        return False
    return all(_stands(view, bridge, uid, rating) for uid in _behind(view, bridge))


def _stands(view: View, bridge: Bridge, link_uid: str, rating: float) -> bool:
    """Whether a wire stands the fuse-links before it once this one has another rating."""
    figures = view.figures.wire(link_uid)
    if figures.link.own_lead:
        return True
    if figures.capacity is None:
        return False
    before = figures.fuse_a
    known = before is not None and math.isfinite(before) and bridge.fuse_a is not None
    total = (before or 0.0) - (bridge.fuse_a or 0.0) + rating if known else rating
    needed = required_wire_current_a(max(total, rating), bridge.fuse_kind or "").value
    return figures.capacity.current_a >= needed


def _served(view: View, bridge: Bridge) -> list[LoadFigures]:
    return view.figures.loads_through.get(bridge.uid, [])


def _outside(view: View, bridge: Bridge) -> list[Bridge]:
    """Fuse-links between this one and its loads: it is no smaller than they."""
    found: dict[str, Bridge] = {}
    for load in _served(view, bridge):
        feed = load.path.feed or ()
        if bridge.uid in feed:
            for uid in feed[: feed.index(bridge.uid)]:
                if view.figures.is_fuse(uid):
                    found[uid] = view.design.bridge[uid]
    return list(found.values())


def _behind(view: View, bridge: Bridge) -> list[str]:
    """The wires for which this is the nearest fuse-link: out to its loads, and back."""
    found: dict[str, None] = {}
    for load in _served(view, bridge):
        feed = load.path.feed or ()
        if view.figures.fuse_of_load(load) != bridge or bridge.uid not in feed:
            continue
        for uid in (*feed[: feed.index(bridge.uid)], *(load.path.back or ())):
            if uid in view.design.link:
                found[uid] = None
    return list(found)
