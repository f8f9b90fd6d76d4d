"""A proposal and all its findings: against the bare network solution of the same loom, and how the
time grows with its wires."""

import math
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from webapp.bench.big_loom import needed
from webapp.bench.stopwatch import best_s, shown
from webapp.sizing.network import solve
from webapp.stages.catalogue import Catalogue, seed_parts
from webapp.stages.design.figures import Figures
from webapp.stages.design.findings import findings
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import wires

TITLE = "A proposal and its findings"
# They come to about 20, 60 and 300 wires.
NEEDS = (2, 10, 62)
GOAL_S = 1.0


@dataclass(frozen=True)
class Measured:
    """A loom met for the first time; the same again, when layouts and capacities are remembered;
    and its network solved beside it. Processor time: what takes a second may well be interrupted.
    [s]"""

    wires: int
    first_s: float
    again_s: float
    network_s: float


def lines() -> Iterator[str]:
    """A line for each size of loom, how the time grows, and whether the largest kept the goal."""
    catalogue = Catalogue({part.uid: part for part in seed_parts()})
    _measured(1, catalogue)
    sizes = []
    for needs in NEEDS:
        size = _measured(needs, catalogue)
        sizes.append(size)
        yield (
            f"{size.wires:4} wires: {shown(size.first_s)} of the processor, "
            f"{shown(size.again_s)} again, {size.again_s / size.network_s:.0f} times its network "
            "solved once"
        )
    yield f"the time grows as the wires to the power of {growth(sizes):.2f}"
    largest = sizes[-1]
    kept = "under" if largest.first_s < GOAL_S else "not under"
    yield f"{largest.wires} wires {kept} {shown(GOAL_S)}"


def growth(sizes: Sequence[Measured]) -> float:
    """The power of the number of wires that the time goes with, what is remembered left out:
    slope of the logarithms."""
    x = [math.log(each.wires) for each in sizes]
    y = [math.log(each.again_s) for each in sizes]
    mean_x, mean_y = math.fsum(x) / len(x), math.fsum(y) / len(y)
    along = math.fsum((a - mean_x) * (b - mean_y) for a, b in zip(x, y, strict=True))
    return along / math.fsum((a - mean_x) ** 2 for a in x)


def _measured(needs: int, catalogue: Catalogue) -> Measured:
    before = needed(needs)

    def work() -> Design:
        made = propose(before, catalogue).design
        findings(made, catalogue)
        return made

    first_s = best_s(work, tries=1, clock=time.process_time)
    again_s = best_s(work, tries=3, clock=time.process_time)
    made = work()
    operating = Figures(made).operating
    network = operating.network(before.basis.heat_at_v, operating.states[0])
    network_s = best_s(lambda: solve(network), clock=time.process_time)
    return Measured(len(wires(made)), first_s, again_s, network_s)
