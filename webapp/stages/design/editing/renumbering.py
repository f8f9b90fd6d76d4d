"""Wires numbered anew by a rule: which wire gets which number, and that as one command."""

import heapq
import math
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from itertools import count

from webapp.stages.catalogue import Catalogue
from webapp.stages.design.commands import Clash
from webapp.stages.design.editing.edit import Edit, Editing, by_hand, put
from webapp.stages.design.editing.routes import ends_at
from webapp.stages.design.editing.wires import MOST_NUMBER
from webapp.stages.design.rows import Design, Link
from webapp.stages.refusals import Refused

# In which order the wires get their numbers.
ORDERS = {
    "number": "as they are numbered now",
    "circuit": "circuit by circuit",
    "place": "by place, from the supply outwards",
}


@dataclass(frozen=True)
class Rule:
    """How to number. `only` are the links that take part, all where it is empty."""

    order: str = "circuit"
    start: int = 1
    keep_by_hand: bool = True
    only: frozenset[str] = frozenset()


def planned(design: Design, rule: Rule) -> dict[str, int]:
    """The number of each wire that takes part, by the link's uid, in the rule's order.

    Numbers of wires that do not take part, or that are kept, are passed over.

    Raises:
        Refused: the numbers would go beyond the largest that a wire can have.
    """
    moving = [link for link in design.link.values() if _moves(link, rule)]
    taken = {link.number for link in design.link.values() if not _moves(link, rule)}
    free: Iterator[int] = (number for number in count(rule.start) if number not in taken)
    found = {link.uid: next(free) for link in ordered(design, moving, rule.order)}
    if max(found.values(), default=0) > MOST_NUMBER:
        raise Refused("start", f"Numbers would go beyond {MOST_NUMBER:,}: start lower.")
    return found


def _moves(link: Link, rule: Rule) -> bool:
    if rule.only and link.uid not in rule.only:
        return False
    return not (rule.keep_by_hand and "number" in link.by_hand)


def ordered(design: Design, links: Collection[Link], order: str) -> list[Link]:
    """Links by number, by circuit, or by the place nearest to the supply that they touch."""
    if order == "circuit":
        circuit = design.circuit
        return sorted(links, key=lambda link: (circuit[link.circuit_uid].number, link.number))
    if order == "place":
        away_mm = from_supply_mm(design)
        return sorted(links, key=lambda link: (*_ends_mm(design, link, away_mm), link.number))
    return sorted(links, key=lambda link: link.number)


def _ends_mm(design: Design, link: Link, away_mm: Mapping[str, float]) -> tuple[float, float]:
    ends = [
        math.inf if uid is None else away_mm.get(uid, math.inf) for uid in ends_at(design, link)
    ]
    return min(ends), max(ends)


def from_supply_mm(design: Design) -> dict[str, float]:
    """How far each place lies from the supply, along the runs; a run not measured counts 1 m."""
    start = design.basis.supply_place_uid
    beside: dict[str, list[tuple[str, float]]] = {}
    for run in design.run.values():
        length_mm = float(run.length_mm or 1000)
        beside.setdefault(run.from_place_uid, []).append((run.to_place_uid, length_mm))
        beside.setdefault(run.to_place_uid, []).append((run.from_place_uid, length_mm))
    found: dict[str, float] = {}
    waiting = [(0.0, start)] if start else []
    while waiting:
        so_far_mm, place = heapq.heappop(waiting)
        if place in found:
            continue
        found[place] = so_far_mm
        for there, length_mm in beside.get(place, ()):
            if there not in found:
                heapq.heappush(waiting, (so_far_mm + length_mm, there))
    return found


def renumber(rule: Rule, seen: Mapping[str, int]) -> Editing:
    """Number wires by a rule, as it was shown: `seen` has the number of each wire of the preview.

    What is set so counts as set by hand: a proposal keeps it. The edit raises Clash where the
    wires have changed since, and Refused.
    """

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        numbers = planned(design, rule)
        if numbers != dict(seen):
            raise Clash("number", seen, numbers, seen)
        new = {uid: to for uid, to in numbers.items() if design.link[uid].number != to}
        after = put(design, *(by_hand(design.link[uid], number=to) for uid, to in new.items()))
        wires = "wire" if len(new) == 1 else "wires"
        return Edit(after, f"Renumber {len(new)} {wires}, {ORDERS[rule.order]}, from {rule.start}")

    return edit
