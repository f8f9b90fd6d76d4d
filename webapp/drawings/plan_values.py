"""What a plan is drawn from."""

from dataclasses import dataclass


@dataclass(frozen=True)
class PlanPlace:
    """A place. mark is "plug", "splice", "load" or "" and chooses the sign drawn at the place."""

    uid: str
    name: str
    mark: str = ""
    fittings: tuple[str, ...] = ()


@dataclass(frozen=True)
class PlanRun:
    """A run between two places.

    wires is how many wires lie in it; through is what it passes (grommet, gland).
    """

    from_uid: str
    to_uid: str
    length_mm: int
    wires: int = 0
    covering: str = ""
    through: str = ""
    uid: str = ""
    # How far from its from-place splices lie in it.
    splices_mm: tuple[float, ...] = ()
    # Its length as the workshop writes it, where that is not in millimetres.
    length_words: str = ""

    @property
    def length(self) -> str:
        return self.length_words or f"{self.length_mm:,} mm"
