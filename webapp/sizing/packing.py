"""The smallest circle around given circles: how thin a bundle of wires can be.

Nobody knows a formula for it. Layouts are relaxed from several starts, the best is tightened until
it no longer gives, and what comes out is a real layout: the true least is never larger.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from webapp.sizing.reasons import Reason, SizingError, number
from webapp.sizing.tables.circles import BEST_KNOWN_RATIOS, CLOSE_ENOUGH

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

MOST_CIRCLES = 200
LARGEST_MM = 1000.0
SMALLEST_MM = 0.001

STARTS_OF_EQUAL = 24
MOST_CHANGES, CHANGES_OF_ONE, CHANGED_UP_TO = 36, 360, 50
INSIDE = 0.7
# From loose to tight: how hard the surrounding circle presses against overlaps.
PRESSURES = (0.3, 0.03, 0.003)
RELAXING_STEPS = 60
TIGHTENING_STEPS = 12
FIRST_STEP = 0.2
LAST_STEP = 1e-9
NO_GAIN = 1e-9
SMALL_GAIN = 1e-3
# A circle may move by its step along both axes, and so may its neighbour: 2 × sqrt(2) steps.
REACH_STEPS = 3.0
# Of the first seeds tried, the one with which equal circles are laid well soonest.
LUCKY = 5000
TOUCHING = 1e-9
AT_ONCE = 64
NOT_ZERO = 1e-12


@dataclass(frozen=True)
class Packing:
    """A layout in which no circles overlap. Centres are about the middle, in the order given."""

    diameter_mm: float
    centres_mm: tuple[tuple[float, float], ...]
    reasons: tuple[Reason, ...]


def pack(diameters_mm: Sequence[float]) -> Packing:
    """The smallest circle found around circles that do not overlap.

    Args:
        diameters_mm: Diameter of each circle. [mm]

    Returns:
        Diameter and centres; the same circles in any order give the same diameter. [mm]

    Raises:
        SizingError: no circles, more than 200, or a diameter out of range.

    Source: computed; equal circles are held against the best-known packings.
    """
    if not diameters_mm:
        raise SizingError("diameters_mm", "Give at least one circle.")
    if len(diameters_mm) > MOST_CIRCLES:
        raise SizingError("diameters_mm", f"At most {MOST_CIRCLES} circles can be packed.")
    given = [_diameter(each, index) for index, each in enumerate(diameters_mm)]
    order = sorted(range(len(given)), key=lambda index: -given[index])
    layout = _pack_sorted(tuple(given[index] for index in order))
    centres_mm = [(0.0, 0.0)] * len(given)
    for index, centre in zip(order, layout.centres_mm, strict=True):
        centres_mm[index] = centre
    return Packing(layout.diameter_mm, tuple(centres_mm), layout.reasons)


def _diameter(value: object, index: int) -> float:
    return number(value, f"diameters_mm.{index}", low=SMALLEST_MM, high=LARGEST_MM, unit="mm")


@lru_cache(maxsize=512)
def _pack_sorted(diameters_mm: tuple[float, ...]) -> Packing:
    """The packing of circles given largest first."""
    import numpy as np

    radii_mm = np.array(diameters_mm) / 2
    scale_mm = math.sqrt(float(np.sum(radii_mm**2)))
    centres_mm = _layout(radii_mm / scale_mm) * scale_mm
    return _packing(centres_mm, radii_mm)


def _layout(radii: "Floats") -> "Floats":
    """Centres for radii whose squares add up to 1."""
    import numpy as np

    if len(radii) == 1:
        return np.zeros((1, 2))
    if len(radii) == 2:
        return np.array([[-radii[1], 0.0], [radii[0], 0.0]])
    touching = radii[:, None] + radii[None, :]
    target = _target(radii)
    if target is not None:
        return _layout_of_equal(radii, touching, target)
    best = _relax(_laid_one_by_one(radii), radii, touching)
    changed = [_changed(best, radii, turn) for turn in range(_changes(len(radii)))]
    if changed:
        found = [best, *_relax_all(changed, radii, touching)]
        best = min(found, key=lambda centres: _reach(centres, radii))
    return _tighten(best, radii, touching)


def _changes(count: int) -> int:
    """How often a layout of circles of several sizes is changed in the hope of a better one."""
    return min(MOST_CHANGES, CHANGES_OF_ONE // count) if count <= CHANGED_UP_TO else 0


def _changed(centres: "Floats", radii: "Floats", turn: int) -> "Floats":
    """Two circles in each other's place; every other turn one from the rim somewhere inside."""
    import numpy as np

    chance = np.random.default_rng(LUCKY + turn)
    changed = centres.copy()
    if turn % 2 == 0:
        pair = chance.choice(len(radii), 2, replace=False)
        changed[pair] = changed[pair[::-1]]
        return changed
    reaches = _lengths(centres) + radii
    at_the_rim = np.argsort(-reaches)[: max(3, len(radii) // 3)]
    angle = chance.uniform(0, 2 * np.pi)
    distance = INSIDE * reaches.max() * math.sqrt(chance.uniform())
    changed[chance.choice(at_the_rim)] = distance * np.cos(angle), distance * np.sin(angle)
    return changed


def _layout_of_equal(radii: "Floats", touching: "Floats", target: float) -> "Floats":
    """Equal circles have many layouts that are nearly as good: every start is tightened."""
    best: Floats | None = None
    for start in (_ringed(radii, target), *_starts(radii)):
        found = _tighten(_relax(start, radii, touching), radii, touching)
        if best is None or _reach(found, radii) < _reach(best, radii):
            best = found
        if _reach(best, radii) <= target:
            break
    assert best is not None
    return best


def _target(radii: "Floats") -> float | None:
    """For equal circles of a known count, a radius that is as good as the best known."""
    if radii[0] > radii[-1] * (1 + NO_GAIN) or len(radii) > len(BEST_KNOWN_RATIOS):
        return None
    return float(BEST_KNOWN_RATIOS[len(radii) - 1] * radii[0]) * (1 + CLOSE_ENOUGH)


def _starts(radii: "Floats") -> Iterator["Floats"]:
    """Layouts to begin from: one laid circle by circle, the others strewn, always the same."""
    import numpy as np

    yield _laid_one_by_one(radii)
    count = len(radii)
    chance = np.random.default_rng(LUCKY + count)
    for _ in range(STARTS_OF_EQUAL):
        angle = chance.uniform(0, 2 * np.pi, count)
        distance = np.sqrt(chance.uniform(0, 1, count))
        yield np.column_stack([distance * np.cos(angle), distance * np.sin(angle)])


def _ringed(radii: "Floats", target: float) -> "Floats":
    """As many equal circles as go round at the rim, the others in a heap: seldom met by chance."""
    import numpy as np

    rim = target - float(radii[0])
    round_the_rim = min(len(radii), int(np.pi / math.asin(min(1.0, float(radii[0]) / rim))))
    angle = np.arange(round_the_rim) * 2 * np.pi / round_the_rim
    ring = rim * np.column_stack([np.cos(angle), np.sin(angle)])
    heap = _laid_one_by_one(radii)[: len(radii) - round_the_rim]
    return np.concatenate([ring, heap])


def _laid_one_by_one(radii: "Floats") -> "Floats":
    """Largest first, each against two others and as near to the middle of the heap as it goes."""
    import numpy as np

    centres = np.zeros((len(radii), 2))
    centres[1, 0] = radii[0] + radii[1]
    for laid in range(2, len(radii)):
        heap = centres[:laid]
        places = _places_against_two(heap, radii[:laid], radii[laid])
        order = np.argsort(_lengths(places - _middle(heap, radii[:laid])))
        centres[laid] = _first_free(places[order], heap, radii[:laid] + radii[laid])
    laid_out: Floats = centres - _middle(centres, radii)
    return laid_out


def _first_free(places: "Floats", heap: "Floats", apart: "Floats") -> "Floats":
    """The first place that keeps its distance from the whole heap; at the heap's rim one does."""
    import numpy as np

    for first in range(0, len(places), AT_ONCE):
        some = places[first : first + AT_ONCE]
        x = some[:, 0][:, None] - heap[:, 0]
        y = some[:, 1][:, None] - heap[:, 1]
        free = np.flatnonzero((np.hypot(x, y) - apart).min(axis=1) > -TOUCHING)
        if len(free):
            return np.array(some[free[0]])
    return np.array(places[-1])


def _places_against_two(heap: "Floats", radii: "Floats", radius: float) -> "Floats":
    """Where a further circle touches two of the heap at once, on either side of them."""
    import numpy as np

    one, other = np.triu_indices(len(heap), 1)
    across = heap[other] - heap[one]
    apart = _lengths(across)
    to_one, to_other = radii[one] + radius, radii[other] + radius
    near = apart < to_one + to_other
    one, across, apart = one[near], across[near], apart[near]
    to_one, to_other = to_one[near], to_other[near]
    along = (to_one**2 - to_other**2 + apart**2) / (2 * apart)
    aside = np.sqrt(np.maximum(to_one**2 - along**2, 0.0))
    unit = across / apart[:, None]
    foot = heap[one] + along[:, None] * unit
    offset = aside[:, None] * np.column_stack([-unit[:, 1], unit[:, 0]])
    return np.concatenate([foot + offset, foot - offset])


def _middle(centres: "Floats", radii: "Floats") -> "Floats":
    weights = radii**2
    middle: Floats = (centres * weights[:, None]).sum(axis=0) / weights.sum()
    return middle


def _lengths(vectors: "Floats") -> "Floats":
    import numpy as np

    lengths: Floats = np.hypot(vectors[:, 0], vectors[:, 1])
    return lengths


def _reach(centres: "Floats", radii: "Floats") -> float:
    return float((_lengths(centres) + radii).max())


def _apart(centres: "Floats", touching: "Floats") -> "Floats":
    """The layout spread until no circles overlap, or drawn in until two touch."""
    import numpy as np

    distances = _distances(centres)
    return centres * float((touching / np.maximum(distances, NOT_ZERO)).max())


def _distances(centres: "Floats") -> "Floats":
    import numpy as np

    x, y = centres[:, 0], centres[:, 1]
    distances: Floats = np.hypot(x[:, None] - x, y[:, None] - y)
    np.fill_diagonal(distances, np.inf)
    return distances


def _relax(centres: "Floats", radii: "Floats", touching: "Floats") -> "Floats":
    """Soft circles in a surrounding circle that draws in, pressing less and less; then apart."""
    (relaxed,) = _relax_all([centres], radii, touching)
    return relaxed


def _relax_all(layouts: Sequence["Floats"], radii: "Floats", touching: "Floats") -> list["Floats"]:
    """Several layouts of the same circles relaxed at once, none knowing of the others: a step
    takes about as long for a dozen as for one."""
    import numpy as np
    from scipy.optimize import minimize

    # Its published types know no gradient that comes with the value.
    least: Any = minimize
    count = len(radii)
    shape = (len(layouts), 2 * count + 1)
    state = np.array([[*each.T.ravel(), _reach(each, radii)] for each in layouts])
    for pressure in PRESSURES:
        found = least(
            lambda state, pressure=pressure: _strain(
                state.reshape(shape), radii, touching, pressure
            ),
            state.ravel(),
            jac=True,
            # Calls no threaded library: its threads would only wait for each other here.
            method="CG",
            options={"maxiter": RELAXING_STEPS},
        )
        state = found.x.reshape(shape)
    return [
        _apart(np.column_stack([each[:count], each[count : 2 * count]]), touching) for each in state
    ]


def _strain(
    states: "Floats", radii: "Floats", touching: "Floats", pressure: float
) -> tuple[float, "Floats"]:
    """Squares of all overlaps and of what stands out, plus pressure × radius; and its gradient.

    Each row of `states` is a layout: all x, all y, and the radius of the circle around it.
    """
    import numpy as np

    count = len(radii)
    x, y, around = states[:, :count], states[:, count : 2 * count], states[:, -1]
    dx, dy = x[:, :, None] - x[:, None, :], y[:, :, None] - y[:, None, :]
    distances = np.sqrt(dx * dx + dy * dy)
    np.einsum("kii->ki", distances)[...] = np.inf
    overlap = np.maximum(touching - distances, 0.0)
    from_middle = np.sqrt(x * x + y * y)
    out = np.maximum(from_middle + radii - around[:, None], 0.0)
    push = 2 * overlap / np.maximum(distances, NOT_ZERO)
    pull = 2 * out / np.maximum(from_middle, NOT_ZERO)
    slope = np.empty_like(states)
    slope[:, :count] = pull * x - (push * dx).sum(axis=2)
    slope[:, count : 2 * count] = pull * y - (push * dy).sum(axis=2)
    slope[:, -1] = pressure - 2 * out.sum(axis=1)
    strain = 0.5 * (overlap**2).sum() + (out**2).sum() + pressure * around.sum()
    return float(strain), slope.ravel()


def _tighten(centres: "Floats", radii: "Floats", touching: "Floats") -> "Floats":
    """Moves all circles at once, each time as a linear program, until nothing is gained.

    The straight-line form of a distance is never more than the distance: a step that keeps the
    circles apart on paper keeps them apart.
    """
    import numpy as np

    best, reach = centres, _reach(centres, radii)
    step = FIRST_STEP * float(np.median(radii))
    for _ in range(TIGHTENING_STEPS):
        moved = _moved(best, radii, touching, step)
        candidate = None if moved is None else _apart(moved, touching)
        new_reach = math.inf if candidate is None else _reach(candidate, radii)
        gain = (reach - new_reach) / reach
        if candidate is not None and gain > 0:
            best, reach = candidate, new_reach
            if gain < NO_GAIN:
                break
            step *= 0.5 if gain < SMALL_GAIN else 1.0
        else:
            step *= 0.25
        if step < LAST_STEP:
            break
    return best


def _moved(centres: "Floats", radii: "Floats", touching: "Floats", step: float) -> "Floats | None":
    import numpy as np
    from scipy.optimize import linprog
    from scipy.sparse import coo_array

    count = len(radii)
    distances = _distances(centres)
    one, other = np.nonzero(np.triu(distances < touching + REACH_STEPS * step, 1))
    apart = (centres[one] - centres[other]) / distances[one, other][:, None]
    from_middle = _lengths(centres)
    outer = np.flatnonzero(from_middle + radii > _reach(centres, radii) - REACH_STEPS * step)
    outward = centres[outer] / np.maximum(from_middle[outer], NOT_ZERO)[:, None]
    pair_rows = np.arange(len(one))
    outer_rows = len(one) + np.arange(len(outer))
    rows = np.concatenate([*[pair_rows] * 4, *[outer_rows] * 3])
    columns = np.concatenate(
        [one, other, count + one, count + other, outer, count + outer, [2 * count] * len(outer)]
    )
    values = np.concatenate(
        [-apart[:, 0], apart[:, 0], -apart[:, 1], apart[:, 1], *outward.T, [-1.0] * len(outer)]
    )
    size = (len(one) + len(outer), 2 * count + 1)
    room = np.concatenate(
        [distances[one, other] - touching[one, other], -(from_middle + radii)[outer]]
    )
    goal = np.zeros(2 * count + 1)
    goal[-1] = 1.0
    limits = [(-step, step)] * (2 * count) + [(0.0, None)]
    sides: Any = coo_array((values, (rows, columns)), shape=size).tocsr()
    found = linprog(goal, A_ub=sides, b_ub=room, bounds=limits, method="highs-ds")
    if found.x is None:
        return None
    moved: Floats = centres + np.column_stack([found.x[:count], found.x[count : 2 * count]])
    return moved


def _packing(centres_mm: "Floats", radii_mm: "Floats") -> Packing:
    reaches_mm = _lengths(centres_mm) + radii_mm
    outermost = int(reaches_mm.argmax())
    diameter_mm = 2 * float(reaches_mm[outermost])
    squares_mm2 = math.fsum(4 * float(radius) ** 2 for radius in radii_mm)
    least = Reason(
        text="Without any gaps the areas alone would ask for this much.",
        name="least_mm",
        value=math.sqrt(squares_mm2),
        unit="mm",
        formula="sqrt(sum_of_squares_mm2)",
        inputs={"sum_of_squares_mm2": squares_mm2},
        source="circle geometry",
    )
    found = Reason(
        text=f"{_counted(len(radii_mm))} laid as closely as was found, none overlapping; "
        f"{100 * squares_mm2 / diameter_mm**2:.0f} % of the circle around is filled.",
        name="diameter_mm",
        value=diameter_mm,
        unit="mm",
        formula="2 * (centre_from_middle_mm + radius_mm)",
        inputs={
            "centre_from_middle_mm": diameter_mm / 2 - float(radii_mm[outermost]),
            "radius_mm": float(radii_mm[outermost]),
        },
        source="computed layout, held against the best-known packings of equal circles",
    )
    centres = tuple((float(x), float(y)) for x, y in centres_mm)
    return Packing(diameter_mm, centres, (least, found))


def _counted(count: int) -> str:
    return "1 circle" if count == 1 else f"{count} circles"
