"""How to cut a list of lengths from reels and offcuts."""

from collections import Counter
from collections.abc import Callable
from typing import TypeVar

from sqlalchemy.orm import Session

from webapp.pages.forms import Form, NotReadableError
from webapp.pages.wording import plural, whole
from webapp.sizing.cutting import Cut, CutPlan, Piece, Stock, cut_plan

from .answer import Answer, Calculator, Figure, Table, about
from .lists import Line, read_lines, read_mm

TIME_LIMIT_S = 2.0
T = TypeVar("T")


def work(form: Form, _session: Session) -> Answer | None:
    stock = _read(form, "stock", "Stock", lambda mm, count: Stock(mm, count))
    cuts = _read(form, "cuts", "Cuts", lambda mm, count: Cut(mm, count or 1))
    form.mm("keep_mm", "Shortest useful offcut")
    form.mm("kerf_mm", "Lost at each cut")
    if form.errors:
        return None
    plan = cut_plan(
        stock,
        cuts,
        keep_mm=form.values["keep_mm"],
        kerf_mm=form.values["kerf_mm"],
        time_limit_s=TIME_LIMIT_S,
    )
    return _answer(plan)


def _read(form: Form, field: str, label: str, make: Callable[[int, int | None], T]) -> list[T]:
    found = []
    for line in read_lines(form, field, label):
        try:
            found.append(make(_length_mm(line), line.count))
        except NotReadableError as why:
            form.refuse(field, f"Line {line.number}, “{line.what[:40]}”, {why}.")
    return found


def _length_mm(line: Line) -> int:
    length_mm = read_mm(line.what)
    if length_mm < 1:
        raise NotReadableError("must be at least 1 mm")
    return length_mm


def _answer(plan: CutPlan) -> Answer:
    proof = (
        "no plan uses less"
        if plan.proven_optimal
        else f"a better plan could save at most {about(100 * plan.gap, 2)} %"
    )
    return Answer(
        says=f"Take {plural(plan.stock_used, 'piece')}: {whole(plan.stock_used_mm)} mm used.",
        figures=(
            Figure("Pieces of stock", whole(plan.stock_used)),
            Figure("Used", f"{whole(plan.stock_used_mm)} mm", proof),
            Figure("Wasted", f"{whole(plan.waste_mm)} mm"),
        ),
        reasons=plan.reasons,
        table=_table(plan),
    )


def _table(plan: CutPlan) -> Table:
    alike: Counter[Piece] = Counter(plan.pieces)
    return Table(
        "What to cut from each piece",
        ("Pieces", "of mm", "Cut, mm", "Left, mm"),
        tuple(
            (whole(count), whole(piece.stock_length_mm), _cuts(piece), whole(piece.left_mm))
            for piece, count in alike.items()
        ),
    )


def _cuts(piece: Piece) -> str:
    counted = Counter(piece.cuts_mm)
    return ", ".join(
        f"{count} × {whole(mm)}" if count > 1 else whole(mm) for mm, count in counted.items()
    )


CALCULATOR = Calculator(
    slug="cut-plan",
    title="Cut plan",
    about="Lengths from reels and offcuts with the least stock used.",
    defaults={
        "stock": "2 × 25 m\n1 × 8.4 m\n3 × 5200",
        "cuts": "6 × 3520\n6 × 2750\n4 × 1180\n12 × 640",
        "keep_mm": "500",
        "kerf_mm": "0",
    },
    work=work,
    caution=("Cut ends fly.", "Wear eye protection."),
)
