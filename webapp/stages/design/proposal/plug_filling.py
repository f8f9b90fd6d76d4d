"""Which plug a link goes through, and beside which other: heaviest first, mates together."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design.rows import Design, Link

MATES = 2


@dataclass(frozen=True)
class Passing:
    """A link that passes a plug's place on one run. `forward`: from the run into the place."""

    link: Link
    forward: bool
    amps: float


@dataclass
class Filled:
    """A plug to be put in, or one that is there: its part, and what goes through its ways."""

    part: CatalogPart
    items: list[list[Passing]] = field(default_factory=list)

    @property
    def used(self) -> int:
        return sum(len(group) for group in self.items)


def takes(catalogue: Catalogue, part: CatalogPart, link: Link, amps: float) -> bool:
    """Whether a plug and its contacts take a link's conductor and current."""
    csa = link.csa_mm2 or 0.0
    fits = any(
        terminal.text("contact") == part.text("plug_contact")
        and terminal.number("csa_min_mm2") <= csa <= terminal.number("csa_max_mm2")
        and terminal.number("current_a") >= amps
        for terminal in catalogue.kind("terminal")
    )
    return fits and part.number("max_a") >= amps


# Side by side


def side_by_side(design: Design, passing: Iterable[Passing]) -> list[list[Passing]]:
    """Links that go into neighbouring ways, the heaviest first.

    Cores of one cable stay together; else a link goes beside its return or the other wire of its
    circuit.
    """
    left = sorted(passing, key=lambda item: (-item.amps, item.link.number))
    groups = []
    while left:
        group = [left.pop(0)]
        for item in _beside(design, group[0], left):
            left.remove(item)
            group.append(item)
        groups.append(group)
    return groups


def _beside(design: Design, first: Passing, others: Sequence[Passing]) -> list[Passing]:
    if first.link.cable_uid is not None:
        return [item for item in others if item.link.cable_uid == first.link.cable_uid]
    same = [
        item
        for item in others
        if item.link.circuit_uid == first.link.circuit_uid and item.link.cable_uid is None
    ]
    ends = _loads_at(design, first.link)
    mates = [item for item in same if ends & _loads_at(design, item.link)]
    return (mates or same)[: MATES - 1]


def _loads_at(design: Design, link: Link) -> set[str]:
    """The loads that a link goes to or comes from."""
    fittings = {design.way[uid].fitting_uid for uid in (link.from_way_uid, link.to_way_uid) if uid}
    return {
        bridge.fitting_uid
        for bridge in design.bridge.values()
        if bridge.kind in ("load", "coil", "source") and bridge.fitting_uid in fittings
    }


def neighbouring(free: Sequence[str], labels: Sequence[str], count: int) -> list[str]:
    """Free ways for a group: side by side where there is room, else the first ones."""
    for start in range(len(labels) - count + 1):
        some = list(labels[start : start + count])
        if set(some) <= set(free):
            return some
    return list(free[:count])


# Into plugs


def into_plugs(
    catalogue: Catalogue, pairs: Sequence[CatalogPart], groups: Iterable[list[Passing]]
) -> tuple[list[Filled], list[Passing]]:
    """New plugs with what goes through them, and what no plug takes.

    `pairs` are the plugs and sockets on offer. Each group goes by the least family that takes all
    of it, into the first plug of that family with room; each plug is then as large as it must be.
    """
    offered = sorted(pairs, key=lambda part: (part.number("max_a"), part.number("plug_ways")))
    plugs: list[Filled] = []
    uncut: list[Passing] = []
    for group in groups:
        family = _least_family(catalogue, offered, group)
        for some in [group] if family else [[item] for item in group]:
            sizes = family or _least_family(catalogue, offered, some)
            if sizes is None:
                uncut += some
            else:
                _fill(plugs, sizes[-1], some)
    for plug in plugs:
        plug.part = _as_small_as(offered, plug)
    return _share(catalogue, plugs), uncut


def _least_family(
    catalogue: Catalogue, offered: Sequence[CatalogPart], group: Sequence[Passing]
) -> list[CatalogPart] | None:
    """The sizes of the first family of which a plug takes every link of a group, smallest first."""
    for part in offered:
        if all(takes(catalogue, part, item.link, item.amps) for item in group):
            return [each for each in offered if _family(each) == _family(part)]
    return None


def _family(part: CatalogPart) -> tuple[str, float]:
    return part.text("plug_contact"), part.number("max_a")


def _ways(part: CatalogPart) -> int:
    return int(part.number("plug_ways"))


def _fill(plugs: list[Filled], largest: CatalogPart, group: list[Passing]) -> None:
    most = _ways(largest)
    for start in range(0, len(group), most):
        some = group[start : start + most]
        room = next(
            (
                plug
                for plug in plugs
                if _family(plug.part) == _family(largest) and plug.used + len(some) <= most
            ),
            None,
        )
        if room is None:
            room = Filled(largest)
            plugs.append(room)
        room.items.append(some)


def _as_small_as(offered: Sequence[CatalogPart], plug: Filled) -> CatalogPart:
    sizes = [part for part in offered if _family(part) == _family(plug.part)]
    return next(part for part in sizes if _ways(part) >= plug.used)


def _share(catalogue: Catalogue, plugs: list[Filled]) -> list[Filled]:
    """A link alone in its plug moves into a spare way of another, feed beside return."""
    kept = list(plugs)
    for lone in plugs:
        if lone.used > 1:
            continue
        (item,) = lone.items[0]
        for plug in kept:
            room = plug is not lone and plug.used < _ways(plug.part)
            if room and takes(catalogue, plug.part, item.link, item.amps):
                plug.items.append([item])
                kept.remove(lone)
                break
    return kept
