"""How many terminals a stud carries, and how many wires one crimp."""

from collections.abc import Sequence

from webapp.sizing.reasons import SizingError, from_memory, number

MOST_ON_STUD = 4
STUD_SMALL_CRAFT = from_memory("ABYC E-11, four terminals on a stud")
STUD_ELSEWHERE = from_memory("FAA AC 43.13-1B, terminal strip paragraphs, four lugs on a stud")
MOST_IN_CRIMP = 2
# Sections of several wires in one contact are added, and the contact chosen by their sum.
CRIMP_SOURCE = "NASA-STD-8739.4 par 19.11: sections added; two wires a crimp: common practice"


def crimp_problem(
    sections_mm2: Sequence[float], *, takes_max_mm2: float, most_wires: int = MOST_IN_CRIMP
) -> str:
    """What is wrong with several wires in one crimp.

    Args:
        sections_mm2: Section of each conductor. [mm²]
        takes_max_mm2: The most that the barrel takes. [mm²]
        most_wires: How many wires it is made for.

    Returns:
        A plain sentence; empty when they fit.

    Raises:
        SizingError: no wire; a value out of range.

    Source: `CRIMP_SOURCE`.
    """
    if not sections_mm2:
        raise SizingError("sections_mm2", "Give at least one wire.")
    most = number(takes_max_mm2, "takes_max_mm2", above_low=True, unit="mm²")
    together = sum(
        number(each, f"sections_mm2.{n}", above_low=True, unit="mm²")
        for n, each in enumerate(sections_mm2)
    )
    if len(sections_mm2) > most_wires:
        return f"{len(sections_mm2)} wires go into one crimp that takes {most_wires}."
    if together > most * (1 + 1e-9):
        return f"Its wires add up to {together:g} mm²; it takes {most:g} mm² in all."
    return ""
