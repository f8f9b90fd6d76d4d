"""Where a wire lies, as far as heat is concerned."""

from dataclasses import dataclass, replace

from webapp.sizing.reasons import SizingError, choice, number, temperature, whole_number
from webapp.sizing.tables.heat import COVERINGS

COVERING_NAMES = tuple(COVERINGS)
LOWEST_M = -500.0
HIGHEST_M = 20_000.0
MOST_WIRES = 2000
LONGEST_S = 1e7


@dataclass(frozen=True)
class Place:
    """Where a wire lies. Make it with `place()`, which checks it.

    ambient_c: air and walls around. [°C]
    altitude_m: above the sea. [m]
    bundle_wires: wires of its size in the bundle, itself counted.
    bundle_loaded_percent: share of the other wires that carry the same current. [%]
    covering: one of `COVERING_NAMES`.
    """

    ambient_c: float
    altitude_m: float = 0.0
    bundle_wires: int = 1
    bundle_loaded_percent: float = 100.0
    covering: str = "none"

    @property
    def loaded_wires(self) -> float:
        """Wires that carry the current, this one counted; fractions count."""
        return 1 + self.bundle_loaded_percent / 100 * (self.bundle_wires - 1)

    def alone(self) -> "Place":
        """The same surroundings without bundle, covering or altitude."""
        return Place(self.ambient_c)

    def at_altitude(self) -> "Place":
        """A wire alone and bare, at the altitude."""
        return Place(self.ambient_c, self.altitude_m)

    def uncovered(self) -> "Place":
        """The same without the covering."""
        return replace(self, covering="none")


def place(
    *,
    ambient_c: float,
    altitude_m: float = 0.0,
    bundle_wires: int = 1,
    bundle_loaded_percent: float = 100.0,
    covering: str = "none",
) -> Place:
    """A checked `Place`; its fields say what each value is.

    Raises:
        SizingError: a value out of range, or an unknown covering.
    """
    return Place(
        temperature(ambient_c, "ambient_c"),
        altitude(altitude_m),
        whole_number(bundle_wires, "bundle_wires", low=1, high=MOST_WIRES),
        number(bundle_loaded_percent, "bundle_loaded_percent", high=100, unit="%"),
        choice(covering, "covering", COVERING_NAMES),
    )


def altitude(value: object) -> float:
    """An altitude in m, from -500 to 20,000; else SizingError."""
    return number(value, "altitude_m", low=LOWEST_M, high=HIGHEST_M, unit="m")


@dataclass(frozen=True)
class Duty:
    """Current on for a time, off for a time, over and over."""

    on_s: float
    off_s: float


def duty(on_s: float | None, off_s: float | None) -> Duty | None:
    """A checked `Duty` of both times in s; None, when both are None or it is never off.

    Raises:
        SizingError: one time without the other, or a time out of range.
    """
    if on_s is None and off_s is None:
        return None
    if on_s is None:
        raise SizingError("on_s", "Give the time on as well as the time off.")
    if off_s is None:
        raise SizingError("off_s", "Give the time off as well as the time on.")
    on = number(on_s, "on_s", high=LONGEST_S, above_low=True, unit="s")
    off = number(off_s, "off_s", high=LONGEST_S, unit="s")
    return Duty(on, off) if off > 0 else None
