"""Duty in words: continuous, or so long on and so long off."""

import re

CONTINUOUS = "continuous"
MOST_S = 86_400
_FIGURE = r"([0-9]+(?:\.[0-9]+)?)"
_ON_OFF = re.compile(
    rf"(?:intermittent\W*)?{_FIGURE}\s*s(?:ec(?:onds?)?)?\s*on\W+{_FIGURE}\s*s(?:ec(?:onds?)?)?\s*off"
)
_SHORT = re.compile(rf"{_FIGURE}\s*/\s*{_FIGURE}")


class NotADuty(ValueError):
    """Says what is wrong with what was typed, as the end of a sentence about the duty."""


def read_duty(text: str) -> tuple[float | None, float | None]:
    """Seconds on and off of text such as `10 s on 60 s off` or `10/60`; none when continuous.

    Raises:
        NotADuty: it says something else.
    """
    plain = " ".join(text.split()).casefold()
    if plain in ("", CONTINUOUS):
        return None, None
    found = _SHORT.fullmatch(plain) or _ON_OFF.fullmatch(plain)
    if found is None:
        raise NotADuty("must be “continuous”, or such as “10 s on 60 s off”")
    on_s, off_s = (float(figure) for figure in found.groups())
    if not (0 < on_s <= MOST_S and 0 < off_s <= MOST_S):
        raise NotADuty("must be on and off for more than 0 s and at most a day")
    return on_s, off_s


def duty_text(on_s: float | None, off_s: float | None) -> str:
    """The duty as it is typed."""
    if on_s is None or off_s is None:
        return CONTINUOUS
    return f"intermittent {_plain(on_s)} s on {_plain(off_s)} s off"


def _plain(seconds: float) -> str:
    return f"{seconds:.6f}".rstrip("0").rstrip(".")
