"""Platings that may touch: contacts of unlike metals wear and corrode where they meet."""

from webapp.sizing.reasons import COMMON_PRACTICE

PLATINGS = ("tin", "silver", "gold", "nickel", "bare brass")
SOURCE = COMMON_PRACTICE
_UNLIKE = {
    frozenset(("gold", "tin")): "tin wears through gold and its oxide breaks the contact",
    frozenset(("gold", "bare brass")): "brass corrodes against gold",
    frozenset(("silver", "bare brass")): "brass corrodes against silver",
    frozenset(("silver", "tin")): "tin corrodes against silver in the damp",
}


def mating_problem(first: str, second: str) -> str | None:
    """What is wrong with two platings that mate.

    Args:
        first, second: Of `PLATINGS`; any other word counts as not known.

    Returns:
        A plain sentence; None for a good pair, and where one is not known.

    Errors: none.

    Source: common practice.
    """
    why = _UNLIKE.get(frozenset((first, second)))
    if why is None:
        return None
    return f"{first.capitalize()} meets {second}: {why}. Use like platings."
