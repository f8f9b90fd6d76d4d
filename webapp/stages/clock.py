"""The day at the workshop."""

from datetime import date, datetime


def today() -> date:
    """Today by this machine's own clock and time zone."""
    return datetime.now().astimezone().date()


def local_day(moment: datetime) -> date:
    """The day of a kept moment, by this machine's time zone."""
    return moment.astimezone().date()
