"""The call for a cut plan."""

from typing import Annotated

from fastapi import APIRouter
from pydantic import BaseModel, Field

from webapp.sizing.cutting import Cut, Stock, cut_plan
from webapp.sizing.cutting.plan import LONGEST_MM, LONGEST_TIME_S, MOST_CUTS, MOST_STOCK

from .answers import Answer, told
from .fields import WHOLE, Strict
from .problems import RESPONSES, SizingRoute

router = APIRouter(
    prefix="/api/sizing", route_class=SizingRoute, responses=RESPONSES, tags=["sizing"]
)

WholeMm = Annotated[int, Field(ge=1, le=LONGEST_MM), WHOLE]


class StockFields(Strict):
    """Reels or offcuts of one length; `count` null: as many as it takes."""

    length_mm: WholeMm
    count: Annotated[int, Field(ge=0, le=MOST_STOCK), WHOLE] | None


class CutFields(Strict):
    """Lengths that are wanted."""

    length_mm: WholeMm
    count: Annotated[int, Field(ge=1, le=MOST_CUTS), WHOLE]


class CutPlanRequest(Strict):
    """What is wanted and what there is, in whole millimetres."""

    stock: Annotated[list[StockFields], Field(min_length=1, max_length=MOST_CUTS)]
    cuts: Annotated[list[CutFields], Field(min_length=1, max_length=MOST_CUTS)]
    kerf_mm: Annotated[int, Field(ge=0, le=LONGEST_MM), WHOLE] = 0
    keep_mm: Annotated[int, Field(ge=0, le=LONGEST_MM), WHOLE] = 0
    time_limit_s: Annotated[float, Field(gt=0, le=LONGEST_TIME_S)] = 5.0


class PieceAnswer(BaseModel):
    """One piece of stock and what is cut from it."""

    stock_length_mm: int
    cuts_mm: list[int]
    left_mm: int


class CutPlanAnswer(Answer):
    """The pieces to cut. `gap`: the most that a better plan could save, as a share."""

    pieces: list[PieceAnswer]
    stock_used: int
    stock_used_mm: int
    waste_mm: int
    proven_optimal: bool
    gap: float


@router.post("/cut-plan")
def plan(sent: CutPlanRequest) -> CutPlanAnswer:
    """The cuts from the least length of stock."""
    found = cut_plan(
        [Stock(each.length_mm, each.count) for each in sent.stock],
        [Cut(each.length_mm, each.count) for each in sent.cuts],
        kerf_mm=sent.kerf_mm,
        keep_mm=sent.keep_mm,
        time_limit_s=sent.time_limit_s,
    )
    return CutPlanAnswer(
        pieces=[
            PieceAnswer(
                stock_length_mm=piece.stock_length_mm,
                cuts_mm=list(piece.cuts_mm),
                left_mm=piece.left_mm,
            )
            for piece in found.pieces
        ],
        stock_used=found.stock_used,
        stock_used_mm=found.stock_used_mm,
        waste_mm=found.waste_mm,
        proven_optimal=found.proven_optimal,
        gap=found.gap,
        reasons=told(found.reasons),
    )
