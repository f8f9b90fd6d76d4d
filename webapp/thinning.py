"""Which daily backups go: the further back, the fewer are wanted."""

from collections.abc import Iterable
from datetime import datetime, timedelta

ALL_FOR = timedelta(days=7)
ONE_A_WEEK_FOR = timedelta(days=62)
ONE_A_MONTH_FOR = timedelta(days=366)


def to_thin(made: Iterable[datetime], now: datetime) -> set[datetime]:
    """Of backups made at these moments, those that may be deleted now.

    All of the last seven days are kept, then the first of each week for two months, then the first
    of each month for a year. The last of all is kept however old it is, and so is one that bears a
    time to come: some clock was wrong.
    """
    every = sorted(made)
    kept = set(every[-1:])
    first_of: set[tuple[str, int, int]] = set()
    for moment in every:
        span = _span(moment, now - moment)
        if span is None or (span and span not in first_of):
            kept.add(moment)
        if span:
            first_of.add(span)
    return set(every) - kept


def _span(moment: datetime, age: timedelta) -> tuple[str, int, int] | tuple[()] | None:
    """The span of time of which one backup is kept; None keeps each, () keeps none."""
    if age <= ALL_FOR:
        return None
    if age <= ONE_A_WEEK_FOR:
        year, week, _day = moment.isocalendar()
        return "week", year, week
    if age <= ONE_A_MONTH_FOR:
        return "month", moment.year, moment.month
    return ()
