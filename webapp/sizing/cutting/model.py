"""What is to be cut from what, and the plan for it."""

from dataclasses import dataclass

from webapp.sizing.reasons import Reason


@dataclass(frozen=True)
class Stock:
    """Reels or offcuts of one length; `count` None for as many as it takes. [mm]"""

    length_mm: int
    count: int | None = None


@dataclass(frozen=True)
class Cut:
    """Lengths that are wanted. [mm]"""

    length_mm: int
    count: int = 1


@dataclass(frozen=True)
class Piece:
    """One piece of stock, what is cut from it, longest first, and what is left. [mm]"""

    stock_length_mm: int
    cuts_mm: tuple[int, ...]
    left_mm: int


@dataclass(frozen=True)
class CutPlan:
    """The pieces to cut.

    stock_used: how many pieces.
    stock_used_mm: their length, less the remainders that count as returned. [mm]
    waste_mm: what of that goes into no cut: short remainders and the saw's own width. [mm]
    proven_optimal: whether no plan uses less.
    gap: the most that a better plan could save, as a share of stock_used_mm.
    """

    pieces: tuple[Piece, ...]
    stock_used: int
    stock_used_mm: int
    waste_mm: int
    proven_optimal: bool
    gap: float
    reasons: tuple[Reason, ...]
