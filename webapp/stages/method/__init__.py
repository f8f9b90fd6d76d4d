"""The Method page's figures: what is published held against what is computed, and how far off.

Built from seed_data/published once in a process. Each module holds the subjects of one heading.
"""

from functools import lru_cache

from webapp.stages.method import bundles, currents, layouts, looked_up, small_craft
from webapp.stages.method.bundles import CURVE_AWG, Curve
from webapp.stages.method.currents import UNSTATED_AMBIENT_C, Reached
from webapp.stages.method.fitted import FITTED
from webapp.stages.method.subject import Chapter, Held, Subject


@lru_cache(maxsize=1)
def chapters() -> tuple[Chapter, ...]:
    """All but the circles."""
    return (
        Chapter(
            "Currents that the model was fitted to",
            [*currents.single_wires(), *small_craft.fitted_table()],
        ),
        Chapter(
            "Currents that nothing was fitted to",
            [*currents.other_lists(), *small_craft.other_tables()],
        ),
        Chapter("Bundles and altitude", bundles.bundles()),
        Chapter("Resistance and voltage drop", looked_up.conductors()),
        Chapter("Short circuits and crimps", looked_up.joints()),
        Chapter("Cut plans", [layouts.cutting()]),
    )


@lru_cache(maxsize=1)
def circles() -> Subject:
    """Equal circles; the search takes some seconds the first time."""
    return layouts.circles()


def circles_are_built() -> bool:
    return circles.cache_info().currsize > 0


@lru_cache(maxsize=1)
def bundle_curves() -> tuple[Curve, ...]:
    return tuple(bundles.bundle_curves())


@lru_cache(maxsize=1)
def unstated_currents() -> tuple[Reached, ...]:
    return tuple(currents.unstated())


__all__ = [
    "CURVE_AWG",
    "FITTED",
    "UNSTATED_AMBIENT_C",
    "Chapter",
    "Curve",
    "Held",
    "Reached",
    "Subject",
    "bundle_curves",
    "chapters",
    "circles",
    "circles_are_built",
    "unstated_currents",
]
