"""Which daily backups are thinned: by their dates alone."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from webapp.thinning import to_thin

NOON = datetime(2026, 11, 30, 12, tzinfo=UTC)  # a Monday
MOMENTS = st.lists(
    st.integers(-3, 900).flatmap(
        lambda days: st.integers(0, 1439).map(
            lambda minutes: NOON - timedelta(days=days, minutes=minutes)
        )
    ),
    max_size=40,
)


def day(text: str) -> datetime:
    return datetime.fromisoformat(f"{text}T09:00+00:00")


def days(*texts: str) -> set[datetime]:
    return {day(text) for text in texts}


def test_all_of_the_last_seven_days_are_kept() -> None:
    assert to_thin([NOON - timedelta(hours=20 * each) for each in range(9)], NOON) == set()


def test_of_an_earlier_week_the_first_is_kept() -> None:
    made = days("2026-11-09", "2026-11-10", "2026-11-15", "2026-11-16", "2026-11-22", "2026-11-29")
    assert to_thin(made, NOON) == days("2026-11-10", "2026-11-15", "2026-11-22")


def test_of_a_month_more_than_two_months_ago_the_first_is_kept() -> None:
    made = days("2026-08-03", "2026-08-10", "2026-08-31", "2026-09-07", "2026-09-14", "2026-11-29")
    assert to_thin(made, NOON) == days("2026-08-10", "2026-08-31", "2026-09-14")


def test_what_is_older_than_a_year_goes() -> None:
    assert to_thin(days("2025-10-01", "2025-12-10", "2026-11-29"), NOON) == days("2025-10-01")


def test_the_last_one_stays_however_old() -> None:
    assert to_thin(days("2020-01-01", "2021-01-01"), NOON) == days("2020-01-01")
    assert to_thin([], NOON) == set()


def test_a_week_is_the_calendars_also_over_new_year() -> None:
    made = days("2025-12-29", "2026-01-02", "2026-01-05", "2026-01-20")
    assert to_thin(made, day("2026-01-25")) == days("2026-01-02")


def test_a_time_to_come_is_kept() -> None:
    assert to_thin(days("2027-03-01", "2027-03-02", "2026-11-29"), NOON) == set()


@given(MOMENTS)
def test_thinning_twice_is_thinning_once(made: list[datetime]) -> None:
    left = set(made) - to_thin(made, NOON)
    assert to_thin(left, NOON) == set()
    assert not made or max(made) in left
    assert {each for each in made if NOON - each <= timedelta(days=7)} <= left


def test_three_years_of_days_leave_a_chain_without_large_gaps() -> None:
    kept: set[datetime] = set()
    for number in range(3 * 365):
        now = NOON + timedelta(days=number)
        kept.add(now)
        kept -= to_thin(kept, now)
        assert len(kept) <= 8 + 10 + 13
    ages = sorted((now - each).days for each in kept)
    assert ages[:8] == list(range(8))
    gaps = {(near, far - near) for near, far in pairwise(ages)}
    assert max(gap for near, gap in gaps if near < 55) <= 7
    assert max(gap for near, gap in gaps) <= 31 + 7
    assert ages[-1] > 330
