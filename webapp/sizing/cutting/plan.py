"""The cut plan: by hand first, then better, then proven."""

import time
from collections.abc import Sequence

from webapp.sizing.cutting import arc_flow, patterns, reels
from webapp.sizing.cutting.choices import Choices
from webapp.sizing.cutting.filling import fill_in_order
from webapp.sizing.cutting.first_fit import first_fit_decreasing
from webapp.sizing.cutting.model import Cut, CutPlan, Piece, Stock
from webapp.sizing.cutting.task import Outcome, Packing, Task, better, is_valid, make_task, score
from webapp.sizing.reasons import LONGEST_M, Reason, SizingError, number, whole_number

LONGEST_MM = int(LONGEST_M) * 1000
MOST_CUTS = 5000
MOST_STOCK = 1_000_000
LONGEST_TIME_S = 60.0
# Fillings of more pieces take long, and first fit is close to the optimum by then.
MOST_FILLED = 400
# So few arcs are solved in no time; with more, choosing the stock first is often quicker.
FEW_ARCS = 600
SHARE_FOR_CHOICES = 0.5
# Once the length is proven, so long is a plan of fewer pieces looked for.
LONGEST_FOR_PIECES_S = 1.0


def cut_plan(
    stock: Sequence[Stock],
    cuts: Sequence[Cut],
    *,
    kerf_mm: int = 0,
    keep_mm: int = 0,
    time_limit_s: float = 5.0,
) -> CutPlan:
    """The cuts from the least length of stock, and of such plans one of few pieces.

    Args:
        stock: Reels and offcuts by length [mm], with how many there are.
        cuts: Lengths wanted [mm]; up to 5,000.
        kerf_mm: Width that the saw takes away between two cuts; 0 for wire. [mm]
        keep_mm: A remainder this long counts as returned and not as used; 0: none does. [mm]
        time_limit_s: After this the best plan so far is given, with its gap. [s]

    Returns:
        The pieces with their cuts and remainders [mm], the length used and wasted [mm], and
        whether it is proven that no plan uses less. Never more than first-fit decreasing uses.

    Raises:
        SizingError: a value out of range, a cut longer than any stock, too little stock.

    Source: arc flow (Valério de Carvalho 1999, from memory) and choice of stock by subset sums,
    proven by HiGHS.
    """
    task = _checked(stock, cuts, kerf_mm, keep_mm)
    limit_s = number(time_limit_s, "time_limit_s", above_low=True, high=LONGEST_TIME_S, unit="s")
    found = _solve(task, time.monotonic() + limit_s)
    if found.packing is None or not is_valid(task, found.packing):
        raise SizingError(
            "stock",
            "The cuts do not go into this stock."
            if found.impossible
            else "No plan was found in the time given; allow more time or more stock.",
        )
    return _plan(task, found.packing, found.least_mm)


def _solve(task: Task, deadline: float) -> Outcome:
    best = first_fit_decreasing(task)
    if best is None or len(best) <= MOST_FILLED:
        best = better(task, best, _longest_first(task, deadline))
    found = Outcome(best, _least_mm(task, best))
    if _is_done(task, found):
        return found
    arcs = arc_flow.arcs_of(task)
    if arcs is None or len(arcs) > FEW_ARCS:
        found = _searched(task, found, deadline)
    if arcs is None or _is_done(task, found):
        return found
    left_s = deadline - time.monotonic()
    if _is_proven(task, found) and len(arcs) > FEW_ARCS:
        left_s = min(left_s, LONGEST_FOR_PIECES_S)
    return _joined(task, found, arc_flow.solve(task, arcs, left_s))


def _searched(task: Task, found: Outcome, deadline: float) -> Outcome:
    """By choosing the stock first, and then by patterns; remainders to keep leave it as it is."""
    if task.keep_mm:
        return found
    begun = time.monotonic()
    by_patterns = patterns.suits(task)
    until = begun + (deadline - begun) * SHARE_FOR_CHOICES if by_patterns else deadline
    best = score(task, found.packing) if found.packing else None
    found = _joined(task, found, reels.search(task, best, until))
    if found.packing is None or _is_proven(task, found) or not by_patterns:
        return found
    return _joined(task, found, patterns.solve(task, found.packing, deadline))


def _joined(task: Task, one: Outcome, other: Outcome) -> Outcome:
    """The better packing and the nearer bound of two."""
    packing = better(task, one.packing, other.packing)
    least_mm = _least_mm(task, packing, max(one.least_mm, other.least_mm))
    return Outcome(packing, least_mm, one.impossible or other.impossible)


def _is_proven(task: Task, found: Outcome) -> bool:
    return found.packing is not None and score(task, found.packing).used_mm <= found.least_mm


def _is_done(task: Task, found: Outcome) -> bool:
    """Whether no plan uses less length, nor as much in fewer pieces."""
    return _is_proven(task, found) and _fewest_pieces(task, found.packing or ())


def _longest_first(task: Task, deadline: float) -> Packing | None:
    pieces = [stock for stock, count in enumerate(task.stock_count) for _piece in range(count)]
    return fill_in_order(task, pieces[:MOST_FILLED], deadline)


def _least_mm(task: Task, packing: Packing | None, from_mm: int = 0) -> int:
    """What no plan uses less than, by another bound and by what lengths add up to at all."""
    if task.keep_mm:
        # Only a piece that ends with a cut saves its last kerf.
        pieces = min(task.cuts, sum(task.stock_count))
        return max(from_mm, task.wanted_size - task.kerf_mm * pieces)
    most_mm = score(task, packing).used_mm if packing else task.all_stock_mm
    choices = Choices(task, most_mm)
    could_do = (
        mm for mm in choices.used_mm(from_mm) if not choices.countable or any(choices.at(mm))
    )
    return next(could_do, from_mm)


def _fewest_pieces(task: Task, packing: Packing) -> bool:
    """Whether the longest pieces of stock, one fewer than these, have too little room."""
    if not task.keep_mm and len(task.stock_mm) == 1:
        return True
    room, left = 0, len(packing) - 1
    for stock, count in enumerate(task.stock_count):
        taken = min(count, left)
        room += taken * task.room(stock)
        left -= taken
    return room < task.wanted_size


def _checked(stock: Sequence[Stock], cuts: Sequence[Cut], kerf_mm: int, keep_mm: int) -> Task:
    if not stock:
        raise SizingError("stock", "Give at least one length of stock.")
    if not cuts:
        raise SizingError("cuts", "Give at least one cut.")
    if len(stock) > MOST_CUTS:
        raise SizingError("stock", f"More than {MOST_CUTS} lengths of stock cannot be reckoned.")
    for place, each in enumerate(stock):
        whole_number(each.length_mm, f"stock.{place}.length_mm", low=1, high=LONGEST_MM)
        if each.count is not None:
            whole_number(each.count, f"stock.{place}.count", high=MOST_STOCK)
    longest_mm = max((each.length_mm for each in stock if each.count != 0), default=0)
    for place, cut in enumerate(cuts):
        whole_number(cut.length_mm, f"cuts.{place}.length_mm", low=1, high=LONGEST_MM)
        whole_number(cut.count, f"cuts.{place}.count", low=1, high=MOST_STOCK)
        if cut.length_mm > longest_mm:
            raise SizingError(
                f"cuts.{place}.length_mm",
                f"A cut of {cut.length_mm} mm is longer than any stock ({longest_mm} mm).",
            )
    if sum(cut.count for cut in cuts) > MOST_CUTS:
        raise SizingError("cuts", f"More than {MOST_CUTS} cuts cannot be planned at once.")
    task = make_task(
        ((each.length_mm, each.count) for each in stock),
        ((cut.length_mm, cut.count) for cut in cuts),
        kerf_mm=whole_number(kerf_mm, "kerf_mm", high=LONGEST_MM),
        keep_mm=whole_number(keep_mm, "keep_mm", high=LONGEST_MM),
    )
    room = sum(task.room(at) * count for at, count in enumerate(task.stock_count))
    if room < task.wanted_size:
        raise SizingError(
            "stock",
            f"The cuts add up to {sum(cut.length_mm * cut.count for cut in cuts)} mm, and the "
            "stock that they fit does not hold so much.",
        )
    return task


def _plan(task: Task, packing: Packing, least_mm: int) -> CutPlan:
    used = score(task, packing)
    pieces = [
        Piece(
            task.stock_mm[piece.stock],
            tuple(sorted((task.sizes[size] - task.kerf_mm for size in piece.holds), reverse=True)),
            task.left_mm(piece.stock, sum(task.sizes[size] for size in piece.holds)),
        )
        for piece in packing
    ]
    pieces.sort(key=lambda piece: (-piece.stock_length_mm, [-cut for cut in piece.cuts_mm]))
    wanted_mm = task.wanted_size - task.kerf_mm * task.cuts
    return CutPlan(
        pieces=tuple(pieces),
        stock_used=used.pieces,
        stock_used_mm=used.used_mm,
        waste_mm=used.used_mm - wanted_mm,
        proven_optimal=used.used_mm <= least_mm,
        gap=max(0.0, (used.used_mm - least_mm) / used.used_mm),
        reasons=_reasons(task, used.used_mm, wanted_mm, least_mm),
    )


def _reasons(task: Task, used_mm: int, wanted_mm: int, least_mm: int) -> tuple[Reason, ...]:
    keep = f" Remainders of {task.keep_mm} mm or more are returned." if task.keep_mm else ""
    return (
        Reason(
            text=f"Stock used for {task.cuts} cuts.{keep}",
            name="stock_used_mm",
            value=used_mm,
            unit="mm",
            source="sum of the pieces",
        ),
        Reason(
            text="Used and in no cut: remainders too short to keep, and the saw's width.",
            name="waste_mm",
            value=used_mm - wanted_mm,
            unit="mm",
            formula="stock_used_mm - wanted_mm",
            inputs={"stock_used_mm": used_mm, "wanted_mm": wanted_mm},
            source="sum of the pieces",
        ),
        Reason(
            text="No plan can use less than the least length, so no more than this share could "
            "still be saved.",
            name="gap",
            value=max(0.0, (used_mm - least_mm) / used_mm),
            unit="",
            formula="max(0, (stock_used_mm - least_mm) / stock_used_mm)",
            inputs={"stock_used_mm": used_mm, "least_mm": least_mm},
            source="bound by HiGHS and by sums of the stock's lengths",
        ),
    )
