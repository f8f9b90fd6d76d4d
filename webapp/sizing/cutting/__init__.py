"""How to cut a list of lengths from reels and offcuts with the least stock."""

from webapp.sizing.cutting.model import Cut, CutPlan, Piece, Stock
from webapp.sizing.cutting.plan import cut_plan

__all__ = ["Cut", "CutPlan", "Piece", "Stock", "cut_plan"]
