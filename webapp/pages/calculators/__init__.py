"""Calculators that need no job: each a form in the address, an answer and its reasons."""

from .routes import router

__all__ = ["router"]
