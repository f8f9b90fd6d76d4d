"""The task as flow through positions along the stock, solved to the optimum by HiGHS.

Every piece is a path from position 0; a cut is an arc as long as itself, and the path ends in a
piece of stock that is long enough. Only positions that cuts in falling order can reach are kept.

Source: J. M. Valério de Carvalho, "Exact solution of bin-packing problems using column generation
and branch-and-bound", Annals of Operations Research 86 (1999) 629, from memory; HiGHS by way of
`scipy.optimize.milp`.
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass
from itertools import pairwise

from webapp.sizing.cutting.task import Filled, Outcome, Packing, Task

# With more, HiGHS may go far beyond the time that it is given.
MOST_ARCS = 10_000
NO_CUT = -1


@dataclass(frozen=True)
class Arc:
    """A cut of one size, or none, from one position to another; or the end of a piece of stock."""

    tail: int
    head: int | None
    size: int = NO_CUT
    stock: int = NO_CUT
    cost: int = 0


def arcs_of(task: Task) -> list[Arc] | None:
    """The arcs of the task, or None when there are too many to be solved in time."""
    longest = max(task.room(stock) for stock in range(len(task.stock_mm)))
    reached = {0}
    arcs: list[Arc] = []
    for size, (size_mm, wanted) in enumerate(zip(task.sizes, task.wanted, strict=True)):
        tails = reached
        drawn: set[int] = set()
        for _copy in range(wanted):
            tails = {tail for tail in tails if tail + size_mm <= longest} - drawn
            if not tails:
                break
            drawn |= tails
            if len(arcs) + len(drawn) > MOST_ARCS:
                return None
            tails = {tail + size_mm for tail in tails}
            reached = reached | tails
        arcs += [Arc(tail, tail + size_mm, size=size) for tail in drawn]
    ends = _ends(task, sorted(reached))
    return arcs + ends if len(arcs) + len(ends) <= MOST_ARCS else None


def _ends(task: Task, positions: list[int]) -> list[Arc]:
    """From each position on to the next, and out of the last that a piece of stock reaches."""
    arcs = [Arc(one, other) for one, other in pairwise(positions[1:])]
    for stock, length_mm in enumerate(task.stock_mm):
        within = [at for at in positions if 0 < at <= task.room(stock)]
        if within:
            arcs.append(Arc(within[-1], None, stock=stock, cost=length_mm))
        if task.keep_mm:
            charged = ((at, task.charged_mm(stock, at)) for at in within)
            arcs += [
                Arc(at, None, stock=stock, cost=cost) for at, cost in charged if cost < length_mm
            ]
    return arcs


def solve(task: Task, arcs: list[Arc], time_limit_s: float) -> Outcome:
    """The packing of least length, and of those of fewest pieces, as far as time allows."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    # Length counts before pieces, both in whole numbers as small as can be.
    pieces = min(task.cuts, sum(task.stock_count))
    measure = math.gcd(*(arc.cost for arc in arcs))
    weight = 1 if len({arc.cost for arc in arcs if arc.cost}) == 1 else pieces + 1
    cost = np.array(
        [arc.cost // measure * weight + (weight > 1) * (arc.head is None) for arc in arcs]
    )
    positions = {at: row for row, at in enumerate({arc.tail for arc in arcs} | _heads(arcs))}
    balance = [
        (positions[node], column, sign)
        for column, arc in enumerate(arcs)
        for node, sign in ((arc.tail, -1), (arc.head, 1))
        if node
    ]
    cuts = [(arc.size, column, 1) for column, arc in enumerate(arcs) if arc.size != NO_CUT]
    ends = [(arc.stock, column, 1) for column, arc in enumerate(arcs) if arc.stock != NO_CUT]

    def matrix(entries: list[tuple[int, int, int]], rows: int) -> csr_array:
        places = np.array(entries).T
        return csr_array((places[2], (places[0], places[1])), shape=(rows, len(arcs)))

    found = milp(
        cost,
        integrality=np.ones(len(arcs), dtype=np.int8),
        bounds=Bounds(0, [_most(task, arc, pieces) for arc in arcs]),
        constraints=[
            LinearConstraint(matrix(balance, len(positions)), 0, 0),
            LinearConstraint(matrix(cuts, len(task.sizes)), task.wanted, task.wanted),
            LinearConstraint(matrix(ends, len(task.stock_mm)), 0, task.stock_count),
        ],
        options={"time_limit": max(0.1, time_limit_s), "mip_rel_gap": 0.0},
    )
    if found.status == 2:
        return Outcome(None, 0, impossible=True)
    packing = None if found.x is None else _paths(task, arcs, np.rint(found.x).astype(int).tolist())
    bound = found.mip_dual_bound
    if bound is None or not math.isfinite(bound):
        return Outcome(packing, 0)
    # The count of pieces is in the bound too, and is at most one short of the weight.
    least = math.ceil(bound / weight - (weight - 1) / weight - 1e-6)
    return Outcome(packing, max(0, least) * measure)


def _heads(arcs: list[Arc]) -> set[int]:
    return {arc.head for arc in arcs if arc.head is not None}


def _most(task: Task, arc: Arc, pieces: int) -> int:
    if arc.size != NO_CUT:
        return task.wanted[arc.size]
    return pieces if arc.stock == NO_CUT else task.stock_count[arc.stock]


def _paths(task: Task, arcs: list[Arc], flow: list[int]) -> Packing:
    """The pieces that a flow is made of."""
    out: dict[int, list[Arc]] = defaultdict(list)
    for arc, times in zip(arcs, flow, strict=True):
        out[arc.tail] += [arc] * times
    packing = []
    while out[0]:
        at: int | None = 0
        holds, stock = [], NO_CUT
        while at is not None:
            arc = out[at].pop()
            at = arc.head
            stock = arc.stock
            if arc.size != NO_CUT:
                holds.append(arc.size)
        packing.append(Filled(stock, tuple(holds)))
    return tuple(packing)
