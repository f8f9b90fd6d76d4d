"""One test to make, as a plain value, and how a reading of it is judged."""

from dataclasses import dataclass

KINDS = {
    "continuity": "Continuity",
    "isolation": "Isolation",
    "resistance": "End-to-end resistance",
    "polarity": "Polarity",
    "crimp height": "First-off crimp heights",
    "crimp pull": "First-off pulls",
    "function": "Function",
}
# What a person sees rather than reads from a scale.
SEEN = ("continuity", "polarity", "function")
FIRST_OFF = ("crimp height", "crimp pull")
FOUR_WIRE, LOADED_DROP = "four-wire", "loaded drop"


@dataclass(frozen=True)
class Item:
    """`wires` are the uids of the wires that it proves; empty where it is about the whole loom.

    An item without a limit is judged by the person. `confirmed` is false where the limit rests on
    a figure that nobody has seen in print yet.
    """

    uid: str
    kind: str
    group: str
    what: str
    between: str = ""
    unit: str = ""
    low: float | None = None
    high: float | None = None
    limit_note: str = ""
    test_current_a: float | None = None
    confirmed: bool = True
    wires: tuple[str, ...] = ()
    # Of a crimp sample: what the tool is set up for.
    setup: str = ""

    @property
    def short(self) -> str:
        """What is tested, for a table whose heading names the group."""
        return self.what.removeprefix(f"{self.group}: ")

    @property
    def measured(self) -> bool:
        return self.kind not in SEEN

    @property
    def judged(self) -> bool:
        """True where the limit decides, false where the person does."""
        return self.low is not None or self.high is not None

    @property
    def methods(self) -> tuple[str, ...]:
        return (FOUR_WIRE, LOADED_DROP) if self.kind == "resistance" else ()

    def limit_text(self, method: str = "", current_a: float | None = None) -> str:
        """The limit in words, for the way in which it is read."""
        if not self.judged:
            return self.limit_note
        if method == LOADED_DROP and self.high is not None:
            current = current_a or self.test_current_a or 1.0
            return f"at most {self.high * current:.4g} mV at {current:g} A"
        words = {
            (True, True): f"{self.low} to {self.high} {self.unit}",
            (True, False): f"at least {_figure(self.low)} {self.unit}",
            (False, True): f"at most {_figure(self.high)} {self.unit}",
        }[self.low is not None, self.high is not None]
        return f"{words}, {self.limit_note}" if self.limit_note else words

    def passes(self, value: float, method: str = "", current_a: float | None = None) -> bool:
        """Whether a value read that way is within the limits."""
        if method == LOADED_DROP:
            value /= current_a or self.test_current_a or 1.0
        return (self.low is None or value >= self.low) and (self.high is None or value <= self.high)


def _figure(value: float | None) -> str:
    return "" if value is None else f"{value:.4g}"
