"""The heat balance held against published values: one way to reckon, for tests and for show."""

from dataclasses import dataclass
from math import sqrt

from webapp.sizing.conductors import Conductor
from webapp.sizing.heat.ampacity import ampacity

# The wire that the published bundle and altitude curves are held against, and its conditions:
# those of the worked examples of AC 43.13-1B, par 11-69.
CURVE_AMBIENT_C = 60.0
CURVE_LIMIT_C = 200.0


@dataclass(frozen=True)
class Comparison:
    """A published value and what the model gives for it, in the same unit."""

    published: float
    computed: float

    @property
    def difference(self) -> float:
        """Computed less published."""
        return self.computed - self.published

    @property
    def difference_percent(self) -> float:
        """The difference in per cent of what is published; positive: the model allows more."""
        return 100 * self.difference / self.published


@dataclass(frozen=True)
class Spread:
    """How far a set of comparisons lies off."""

    rms: float
    worst: float
    mean: float


def current_against(
    wire: Conductor,
    published_a: float,
    *,
    ambient_c: float,
    limit_c: float,
    altitude_m: float = 0.0,
    bundle_wires: int = 1,
    bundle_loaded_percent: float = 100.0,
) -> Comparison:
    """A published current of a wire against the model's, in A.

    Args:
        wire: The conductor that stands for the published one.
        published_a: Its published current. [A]
        ambient_c, limit_c, altitude_m, bundle_wires, bundle_loaded_percent: its conditions, as
            for `ampacity`.

    Raises:
        SizingError: as `ampacity`.

    Source: `ampacity`.
    """
    found = ampacity(
        wire,
        limit_c=limit_c,
        ambient_c=ambient_c,
        altitude_m=altitude_m,
        bundle_wires=bundle_wires,
        bundle_loaded_percent=bundle_loaded_percent,
    )
    return Comparison(published_a, found.current_a)


def bundle_factor_against(
    wire: Conductor, published_factor: float, *, bundle_wires: int, bundle_loaded_percent: float
) -> Comparison:
    """A point of the published bundle derating curves against the model's factor.

    Args:
        wire: The conductor.
        published_factor: Share of its free-air current that a wire keeps.
        bundle_wires, bundle_loaded_percent: as for `ampacity`.

    Raises:
        SizingError: as `ampacity`.

    Source: `ampacity` at the conditions of AC 43.13-1B par 11-69.
    """
    found = ampacity(
        wire,
        limit_c=CURVE_LIMIT_C,
        ambient_c=CURVE_AMBIENT_C,
        bundle_wires=bundle_wires,
        bundle_loaded_percent=bundle_loaded_percent,
    )
    return Comparison(published_factor, found.bundle_factor)


def altitude_factor_against(
    wire: Conductor, published_factor: float, *, altitude_m: float
) -> Comparison:
    """A published altitude factor against the model's.

    Args:
        wire: The conductor.
        published_factor: Share of its sea-level current that a wire keeps.
        altitude_m: Altitude. [m]

    Raises:
        SizingError: as `ampacity`.

    Source: `ampacity` at the conditions of AC 43.13-1B par 11-69.
    """
    found = ampacity(wire, limit_c=CURVE_LIMIT_C, ambient_c=CURVE_AMBIENT_C, altitude_m=altitude_m)
    return Comparison(published_factor, found.altitude_factor)


def spread(differences: list[float]) -> Spread:
    """Root mean square, the one farthest off and mean of differences; all zero of none."""
    if not differences:
        return Spread(0.0, 0.0, 0.0)
    count = len(differences)
    return Spread(
        rms=sqrt(sum(each**2 for each in differences) / count),
        worst=max(differences, key=abs),
        mean=sum(differences) / count,
    )


def share_within(differences: list[float], limit: float) -> float:
    """Share of the differences that are no larger than `limit`, 0 to 1; 1 of none."""
    if not differences:
        return 1.0
    return sum(abs(each) <= limit for each in differences) / len(differences)
