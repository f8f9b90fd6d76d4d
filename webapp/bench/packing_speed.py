"""Bundles: mixed circles in the smallest circle, each bundle met for the first time."""

import random
from collections.abc import Iterator
from functools import partial

from webapp.bench.stopwatch import best_s, shown
from webapp.sizing.packing import pack

TITLE = "Circles in a bundle"
CIRCLES = (20, 60, 120)
BUNDLES = 5


def lines() -> Iterator[str]:
    """A line for each number of wires: the slowest of several bundles."""
    pack([1.0, 2.0, 3.0])
    for count in CIRCLES:
        rng = random.Random(count)
        bundles = [[rng.uniform(1.2, 6.0) for _wire in range(count)] for _bundle in range(BUNDLES)]
        # Once each: a layout is remembered.
        slowest_s = max(best_s(partial(pack, each), tries=1) for each in bundles)
        yield f"{count:4} mixed circles: {shown(slowest_s)}"
