"""Gives every fuse-link of a proposal its rating and its part, those nearest the loads first."""

from dataclasses import dataclass, replace

from webapp.sizing.fuse_gates import FUSE_KIND_IDS
from webapp.sizing.fuses import CannotFuse, choose_fuse
from webapp.sizing.reasons import SizingError
from webapp.stages.catalogue import Catalogue
from webapp.stages.design.currents import LoadFigures
from webapp.stages.design.figures import Figures
from webapp.stages.design.proposal.builder import Named
from webapp.stages.design.rows import Bridge, Design


def rate_fuses(figures: Figures, catalogue: Catalogue) -> tuple[Figures, list[Named]]:
    """The figures with a rating for each fuse-link that has a load, and what could not be done."""
    troubles: list[Named] = []
    design = figures.design
    rated = dict(design.bridge)
    for bridge in _outermost_first(figures):
        if "fuse_a" in bridge.by_hand:
            continue
        try:
            rating = _rating(figures, rated, bridge, catalogue)
        except SizingError as error:
            name = design.fitting[bridge.fitting_uid].name
            need = _need_uid(figures, bridge)
            troubles.append(Named(f"{name}: {error}", need))
            continue
        part = _part_uid(catalogue, bridge.fuse_kind or "", rating)
        rated[bridge.uid] = replace(bridge, fuse_a=rating, fuse_part_uid=part)
    return figures.of(replace(design, bridge=rated)), troubles


def _outermost_first(figures: Figures) -> list[Bridge]:
    """Fuse-links in the order in which their ratings rest on each other: from the loads inward."""
    depth = {
        uid: max((_fuses_outside(figures, load, uid) for load in loads), default=0)
        for uid, loads in figures.loads_through.items()
        if uid in figures.design.bridge
    }
    fuses = [bridge for bridge in figures.design.bridge.values() if bridge.kind == "fuse"]
    return sorted(fuses, key=lambda bridge: (depth.get(bridge.uid, 0), bridge.uid))


def _fuses_outside(figures: Figures, load: LoadFigures, uid: str) -> int:
    feed = load.path.feed or ()
    outside = feed[: feed.index(uid)] if uid in feed else ()
    return sum(1 for edge in outside if _is_fuse(figures.design, edge))


def _is_fuse(design: Design, uid: str) -> bool:
    return uid in design.bridge and design.bridge[uid].kind == "fuse"


@dataclass(frozen=True)
class _Asked:
    lasting_a: float
    most_a: float
    inrush_a: float
    inrush_s: float
    max_fuse_a: float | None
    above_a: float


def _rating(
    figures: Figures, rated: dict[str, Bridge], bridge: Bridge, catalogue: Catalogue
) -> float:
    asked = _asked(figures, rated, bridge)
    kind = bridge.fuse_kind or ""
    if kind not in FUSE_KIND_IDS:
        raise CannotFuse("fuse_kind", f"“{kind}” is not a family of fuse-links that is known here.")
    stocked = sorted(
        part.number("rating_a")
        for part in catalogue.kind("fuse-link")
        if part.text("fuse_kind") == kind
    )
    if asked.lasting_a == 0 and asked.most_a == 0:
        if not stocked:
            raise CannotFuse("fuse_kind", f"The catalogue has no fuse-link of the family {kind}.")
        return stocked[0]
    least = max(_chosen(asked, kind, figures), asked.above_a)
    for rating in stocked:
        if rating >= least:
            if asked.max_fuse_a is not None and rating > asked.max_fuse_a:
                break
            return rating
    raise CannotFuse(
        "fuse_kind", f"The catalogue has no {kind} fuse-link of {least:g} A or the next above."
    )


def _chosen(asked: _Asked, kind: str, figures: Figures) -> float:
    """The larger of what lasting loads ask and what those with a duty ask on top."""
    system_v = figures.design.basis.heat_at_v
    ratings = []
    if asked.lasting_a > 0:
        ratings.append(_choose(asked, asked.lasting_a, True, kind, system_v))
    if asked.most_a > asked.lasting_a:
        ratings.append(_choose(asked, asked.most_a, False, kind, system_v))
    return max(ratings)


def _choose(asked: _Asked, load_a: float, lasting: bool, kind: str, system_v: float) -> float:
    return choose_fuse(
        load_a=load_a,
        continuous=lasting,
        inrush_a=asked.inrush_a,
        inrush_s=asked.inrush_s,
        fuse_kind=kind,
        max_fuse_a=asked.max_fuse_a,
        system_voltage_v=system_v,
    ).rating_a


def _asked(figures: Figures, rated: dict[str, Bridge], bridge: Bridge) -> _Asked:
    loads = figures.loads_through.get(bridge.uid, [])
    nearest = [
        load for load in loads if figures.fuse_of_load(load) == figures.design.bridge[bridge.uid]
    ]
    lasting = sum(load.heat_a for load in loads if load.lasting)
    most = figures.heat_a(bridge.uid)
    if figures.is_charging(bridge.uid):
        lasting = most
    inrush_a, inrush_s = _inrush(loads, lasting)
    limits = [load.bridge.max_fuse_a for load in nearest if load.bridge.max_fuse_a is not None]
    return _Asked(
        lasting_a=lasting,
        most_a=most,
        inrush_a=inrush_a,
        inrush_s=inrush_s,
        max_fuse_a=min(limits, default=None),
        above_a=_largest_outside(figures, rated, bridge),
    )


def _inrush(loads: list[LoadFigures], lasting_a: float) -> tuple[float, float]:
    """The largest inrush of one load, on top of the others that are on."""
    most = (0.0, 0.0)
    for load in loads:
        if load.need and load.need.inrush_a and load.need.inrush_s:
            others = lasting_a - (load.heat_a if load.lasting else 0.0)
            most = max(most, (load.need.inrush_a + max(0.0, others), load.need.inrush_s))
    return most


def _largest_outside(figures: Figures, rated: dict[str, Bridge], bridge: Bridge) -> float:
    """The largest fuse-link between this one and its loads: a feeding fuse-link is no smaller."""
    largest = 0.0
    for load in figures.loads_through.get(bridge.uid, []):
        feed = load.path.feed or ()
        if bridge.uid not in feed:
            continue  # It lies in the return.
        for uid in feed[: feed.index(bridge.uid)]:
            if _is_fuse(figures.design, uid):
                largest = max(largest, rated[uid].fuse_a or 0.0)
    return largest


def _part_uid(catalogue: Catalogue, kind: str, rating_a: float) -> str | None:
    for part in catalogue.kind("fuse-link"):
        if part.text("fuse_kind") == kind and part.number("rating_a") == rating_a:
            return part.uid
    return None


def _need_uid(figures: Figures, bridge: Bridge) -> str | None:
    loads = figures.loads_through.get(bridge.uid, [])
    return loads[0].need.uid if len(loads) == 1 and loads[0].need else None
