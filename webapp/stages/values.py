"""Checks that every stage shares."""

from webapp.stages.refusals import Refused


def required(field: str, text: str, what: str) -> str:
    """`text` without blanks around.

    Raises:
        Refused: nothing is left.
    """
    text = text.strip()
    if not text:
        raise Refused(field, f"Enter {what}.")
    return text
