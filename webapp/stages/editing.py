"""Two people at one form: edits of different values merge, edits of one value are both shown."""

from collections.abc import Mapping
from typing import Any

from webapp.stages.refusals import Both, ChangedMeanwhile


def merged(
    *, now: Mapping[str, Any], opened: Mapping[str, Any], typed: Mapping[str, Any]
) -> dict[str, Any]:
    """What the row holds after the edit.

    Args:
        now: The values as they stand.
        opened: The values that the form showed when it was opened.
        typed: The values that it came back with. Those it does not have stay as they are.

    Raises:
        ChangedMeanwhile: a value was changed to two different things.
    """
    result = dict(now)
    both = []
    for field, standing in now.items():
        before = opened.get(field, standing)
        mine = typed.get(field, before)
        if mine == before:
            continue
        result[field] = mine
        if standing not in (before, mine):
            both.append(Both(field, theirs=standing, yours=mine))
    if both:
        raise ChangedMeanwhile(tuple(both), now, result)
    return result
