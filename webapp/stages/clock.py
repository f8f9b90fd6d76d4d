"""The day at the workshop."""

from datetime import date, datetime

from webapp.convention import now


def today() -> date:
    """Today by this machine's own clock and time zone."""
    return datetime.now().astimezone().date()


def local_day(moment: datetime) -> date:
    """The day of a kept moment, by this machine's time zone."""
    return moment.astimezone().date()


def local_time(moment: datetime) -> str:
    """10:14, by this machine's time zone."""
    return f"{moment.astimezone():%H:%M}"


def local_moment(moment: datetime) -> str:
    """10:14, and the day with it unless it is today."""
    day = local_day(moment)
    return local_time(moment) + ("" if day == today() else f" on {now().day(day)}")
