"""Cut plans: a list that fits 100 mm pieces badly, reels with offcuts, and very many cuts."""

import random
from collections.abc import Iterator

from webapp.bench.stopwatch import best_s, shown
from webapp.sizing.cutting import Cut, CutPlan, Stock, cut_plan

TITLE = "Cut plans"
REELS_AND_OFFCUTS = 10
MANY = 5_000


def lines() -> Iterator[str]:
    """A line for each kind of task."""
    cut_plan([Stock(10)], [Cut(6), Cut(5), Cut(4), Cut(3), Cut(2)])
    yield _timed(
        "four lengths, 1227 cuts from 100 mm",
        [Stock(100)],
        [Cut(45, 97), Cut(36, 610), Cut(31, 395), Cut(14, 211)],
    )
    for seed in range(REELS_AND_OFFCUTS):
        yield _timed("40 lengths from 6 reels and 10 offcuts", *_reels_and_offcuts(seed))
    rng = random.Random(1)
    many = [Cut(rng.randint(300, 3_000)) for _cut in range(MANY)]
    yield _timed(f"{MANY} cuts from 100 m reels", [Stock(100_000)], many)
    yield _timed(f"{MANY} cuts from 6 m lengths", [Stock(6_000)], many)


def _reels_and_offcuts(seed: int) -> tuple[list[Stock], list[Cut]]:
    rng = random.Random(seed)
    longest_mm = rng.choice((3_000, 6_000))
    cuts = [Cut(rng.randint(300, longest_mm)) for _cut in range(40)]
    stock = [Stock(rng.choice((25_000, 50_000)), 1) for _reel in range(6)]
    stock += [Stock(rng.randint(400, 5_000), 1) for _offcut in range(10)]
    return stock, cuts


def _timed(title: str, stock: list[Stock], cuts: list[Cut]) -> str:
    plans: list[CutPlan] = []
    taken_s = best_s(lambda: plans.append(cut_plan(stock, cuts)), tries=1)
    (plan,) = plans
    proof = "proven" if plan.proven_optimal else f"gap {plan.gap:.2%}"
    return f"{title}: {shown(taken_s)}, {plan.stock_used} pieces, {proof}"
