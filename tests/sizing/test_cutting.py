"""Cut plans: by hand, against every plan there is, and never worse than a careful person's."""

from collections import Counter
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.sizing.evaluation import assert_reasons_hold
from webapp.sizing.cutting import Cut, CutPlan, Stock, arc_flow, cut_plan
from webapp.sizing.reasons import SizingError


def assert_can_be_cut(
    plan: CutPlan, stock: list[Stock], cuts: list[Cut], kerf_mm: int = 0, keep_mm: int = 0
) -> None:
    """Every cut is there, no stock is used that is not, and the figures add up."""
    wanted: Counter[int] = Counter()
    for cut in cuts:
        wanted[cut.length_mm] += cut.count
    assert Counter(mm for piece in plan.pieces for mm in piece.cuts_mm) == wanted
    for length_mm, count in Counter(piece.stock_length_mm for piece in plan.pieces).items():
        counts = [each.count for each in stock if each.length_mm == length_mm]
        assert counts
        assert None in counts or count <= sum(each or 0 for each in counts)
    returned_mm = 0
    for piece in plan.pieces:
        assert piece.cuts_mm
        assert sum(piece.cuts_mm) + kerf_mm * (len(piece.cuts_mm) - 1) <= piece.stock_length_mm
        left_mm = piece.stock_length_mm - sum(piece.cuts_mm) - kerf_mm * len(piece.cuts_mm)
        assert piece.left_mm == max(0, left_mm)
        returned_mm += piece.left_mm if keep_mm and piece.left_mm >= keep_mm else 0
    assert plan.stock_used == len(plan.pieces)
    whole_mm = sum(piece.stock_length_mm for piece in plan.pieces)
    assert plan.stock_used_mm == whole_mm - returned_mm
    assert plan.waste_mm == plan.stock_used_mm - sum(
        length_mm * count for length_mm, count in wanted.items()
    )
    assert plan.proven_optimal == (plan.gap == 0)
    assert_reasons_hold(plan.reasons)


def refused_field(stock: list[Stock], cuts: list[Cut], **more: object) -> str:
    with pytest.raises(SizingError) as refused:
        cut_plan(stock, cuts, **more)  # type: ignore[arg-type]
    return refused.value.field


# --- by hand ----------------------------------------------------------------------------------


def test_offcuts_are_used_before_a_reel_is_begun() -> None:
    stock = [Stock(10_000), Stock(2_000, 1), Stock(1_500, 1)]
    plan = cut_plan(stock, [Cut(900, 2), Cut(1_400)])
    assert [(piece.stock_length_mm, piece.cuts_mm) for piece in plan.pieces] == [
        (2_000, (900, 900)),
        (1_500, (1_400,)),
    ]
    assert (plan.stock_used_mm, plan.waste_mm, plan.proven_optimal) == (3_500, 300, True)


def test_first_fit_is_bettered() -> None:
    # First fit puts 6 and 3 together and needs three; 6 + 4 and 5 + 3 + 2 fill two.
    plan = cut_plan([Stock(10)], [Cut(each) for each in (6, 5, 4, 3, 2)])
    assert plan.stock_used == 2
    assert plan.proven_optimal


def test_a_kerf_stands_between_two_cuts_and_not_after_the_last() -> None:
    assert cut_plan([Stock(1_003)], [Cut(500, 2)], kerf_mm=3).stock_used == 1
    apart = cut_plan([Stock(1_002)], [Cut(500, 2)], kerf_mm=3)
    assert apart.stock_used == 2
    assert apart.pieces[0].left_mm == 1_002 - 500 - 3


def test_a_long_remainder_counts_as_returned() -> None:
    # From the reel everything comes back but the cut; the offcut would lose 400 mm.
    stock = [Stock(20_000, 1), Stock(1_400, 1)]
    kept = cut_plan(stock, [Cut(1_000)], keep_mm=500)
    assert (kept.pieces[0].stock_length_mm, kept.stock_used_mm, kept.waste_mm) == (20_000, 1_000, 0)
    assert cut_plan(stock, [Cut(1_000)]).pieces[0].stock_length_mm == 1_400


def test_ties_go_to_fewer_pieces() -> None:
    plan = cut_plan([Stock(2_000), Stock(4_000)], [Cut(1_000, 4)])
    assert [piece.stock_length_mm for piece in plan.pieces] == [4_000]
    kept = cut_plan([Stock(2_000), Stock(9_000)], [Cut(1_000, 4)], keep_mm=1_000)
    assert [piece.stock_length_mm for piece in kept.pieces] == [9_000]


def test_equal_lines_are_one() -> None:
    stock = [Stock(1_000, 1), Stock(1_000, 1)]
    plan = cut_plan(stock, [Cut(600), Cut(600)])
    assert plan.stock_used == 2
    assert_can_be_cut(plan, stock, [Cut(600, 2)])


# --- refused ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("stock", "cuts", "more", "field"),
    [
        ([], [Cut(1)], {}, "stock"),
        ([Stock(10)], [], {}, "cuts"),
        ([Stock(0)], [Cut(1)], {}, "stock.0.length_mm"),
        ([Stock(10), Stock(-5)], [Cut(1)], {}, "stock.1.length_mm"),
        ([Stock(1_000_001)], [Cut(1)], {}, "stock.0.length_mm"),
        ([Stock(10, -1)], [Cut(1)], {}, "stock.0.count"),
        ([Stock(10, 0)], [Cut(1)], {}, "cuts.0.length_mm"),
        ([Stock(10)], [Cut(5), Cut(11)], {}, "cuts.1.length_mm"),
        ([Stock(10)], [Cut(0)], {}, "cuts.0.length_mm"),
        ([Stock(10)], [Cut(True)], {}, "cuts.0.length_mm"),
        ([Stock(10)], [Cut(2.5)], {}, "cuts.0.length_mm"),
        ([Stock(10)], [Cut("5")], {}, "cuts.0.length_mm"),
        ([Stock(10)], [Cut(5, 0)], {}, "cuts.0.count"),
        ([Stock(10)], [Cut(5, 5_001)], {}, "cuts"),
        ([Stock(10)], [Cut(5)], {"kerf_mm": -1}, "kerf_mm"),
        ([Stock(10)], [Cut(5)], {"keep_mm": float("nan")}, "keep_mm"),
        ([Stock(10)], [Cut(5)], {"time_limit_s": 0}, "time_limit_s"),
        ([Stock(10)], [Cut(5)], {"time_limit_s": float("inf")}, "time_limit_s"),
        ([Stock(10, 1)], [Cut(6), Cut(5)], {}, "stock"),
        ([Stock(10, 2)], [Cut(6, 3)], {}, "stock"),
        ([Stock(10, 2)], [Cut(7), Cut(5, 2)], {"kerf_mm": 1}, "stock"),
    ],
)
def test_nonsense_is_refused_beside_its_field(
    stock: list[Stock], cuts: list[Cut], more: dict[str, object], field: str
) -> None:
    assert refused_field(stock, cuts, **more) == field


# --- against every plan there is --------------------------------------------------------------


def least_by_trying_all(
    stock: list[Stock], cuts: list[Cut], kerf_mm: int, keep_mm: int
) -> tuple[int, int] | None:
    """Least length used and fewest pieces for it, over all ways to share the cuts out."""
    lengths = [each.length_mm for each in stock for _one in range(each.count or 0)]
    sizes = tuple(cut.length_mm + kerf_mm for cut in cuts for _one in range(cut.count))
    everything = (1 << len(sizes)) - 1
    filled = [
        sum(size for at, size in enumerate(sizes) if chosen >> at & 1)
        for chosen in range(everything + 1)
    ]

    @cache
    def least(piece: int, left: int) -> tuple[int, int] | None:
        if not left:
            return (0, 0)
        if piece == len(lengths):
            return None
        best = least(piece + 1, left)
        chosen = left
        while chosen:
            if filled[chosen] <= lengths[piece] + kerf_mm:
                rest = least(piece + 1, left & ~chosen)
                remains = lengths[piece] - filled[chosen]
                returned = remains if 0 < keep_mm <= remains else 0
                if rest is not None:
                    total = (rest[0] + lengths[piece] - returned, rest[1] + 1)
                    best = total if best is None else min(best, total)
            chosen = (chosen - 1) & left
        return best

    return least(0, everything)


@settings(max_examples=120, deadline=None)
@given(
    st.lists(st.builds(Stock, st.integers(5, 40), st.integers(1, 2)), min_size=1, max_size=3),
    st.lists(st.builds(Cut, st.integers(2, 20), st.integers(1, 2)), min_size=1, max_size=4),
    st.integers(0, 2),
    st.sampled_from([0, 0, 3, 8]),
)
def test_no_plan_is_better(stock: list[Stock], cuts: list[Cut], kerf_mm: int, keep_mm: int) -> None:
    least = least_by_trying_all(stock, cuts, kerf_mm, keep_mm)
    if least is None:
        refused_field(stock, cuts, kerf_mm=kerf_mm, keep_mm=keep_mm)
        return
    plan = cut_plan(stock, cuts, kerf_mm=kerf_mm, keep_mm=keep_mm)
    assert_can_be_cut(plan, stock, cuts, kerf_mm, keep_mm)
    assert (plan.stock_used_mm, plan.stock_used) == least
    assert plan.proven_optimal


@settings(max_examples=120, deadline=None)
@given(
    st.lists(st.builds(Stock, st.integers(5, 60), st.integers(1, 2)), min_size=1, max_size=4),
    st.lists(st.builds(Cut, st.integers(2, 30), st.integers(1, 2)), min_size=1, max_size=4),
    st.integers(0, 2),
)
def test_what_is_proven_without_arc_flow_is_so(
    stock: list[Stock], cuts: list[Cut], kerf_mm: int
) -> None:
    """As larger tasks are solved: by choosing the stock, and by patterns."""
    least = least_by_trying_all(stock, cuts, kerf_mm, 0)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(arc_flow, "MOST_ARCS", 0)
        if least is None:
            refused_field(stock, cuts, kerf_mm=kerf_mm)
            return
        plan = cut_plan(stock, cuts, kerf_mm=kerf_mm)
    assert_can_be_cut(plan, stock, cuts, kerf_mm)
    assert plan.stock_used_mm >= least[0]
    assert not plan.proven_optimal or plan.stock_used_mm == least[0]
    assert plan.stock_used_mm * (1 - plan.gap) <= least[0] + 1e-6


# --- larger -----------------------------------------------------------------------------------


def first_fit_decreasing_mm(stock: list[Stock], cuts: list[Cut], kerf_mm: int) -> int | None:
    """What first fit uses, opening the longest piece there is: written anew for this test."""
    there = sorted(
        (each.length_mm for each in stock for _one in range(each.count or 0)), reverse=True
    )
    rooms: list[int] = []
    used_mm = 0
    for size in sorted((cut.length_mm for cut in cuts for _one in range(cut.count)), reverse=True):
        for at, room in enumerate(rooms):
            if room >= size + kerf_mm:
                rooms[at] -= size + kerf_mm
                break
        else:
            if not there or there[0] < size:
                return None
            used_mm += there[0]
            rooms.append(there.pop(0) - size)
    return used_mm


@settings(max_examples=25, deadline=None)
@given(st.randoms(use_true_random=False), st.integers(0, 3))
def test_reels_and_offcuts(rng: object, kerf_mm: int) -> None:
    """Six reels and ten offcuts: a valid plan that first fit does not better."""
    draw = rng.randint  # type: ignore[attr-defined]
    longest_mm = draw(600, 6_000)
    cuts = [Cut(draw(300, longest_mm)) for _cut in range(40)]
    stock = [Stock(draw(25, 50) * 1_000, 1) for _reel in range(6)]
    stock += [Stock(draw(400, 5_000), 1) for _offcut in range(10)]
    plan = cut_plan(stock, cuts, kerf_mm=kerf_mm, time_limit_s=0.5)
    assert_can_be_cut(plan, stock, cuts, kerf_mm)
    by_hand_mm = first_fit_decreasing_mm(stock, cuts, kerf_mm)
    assert by_hand_mm is None or plan.stock_used_mm <= by_hand_mm


@pytest.mark.parametrize("keep_mm", [0, 500])
@pytest.mark.parametrize("stock_mm", [6_000, 100_000])
def test_five_thousand_cuts_come_to_an_end(stock_mm: int, keep_mm: int) -> None:
    cuts = [Cut(300 + at * 7919 % 3_000) for at in range(5_000)]
    stock = [Stock(stock_mm)]
    plan = cut_plan(stock, cuts, keep_mm=keep_mm, time_limit_s=1.0)
    assert_can_be_cut(plan, stock, cuts, keep_mm=keep_mm)
    assert plan.gap < 0.02
