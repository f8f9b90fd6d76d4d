"""The time of each step by the ticks: pauses left out, one tap shared, a late outbox told apart."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

import pytest

from webapp.stages.building.times import Ticked, operation_of, spans

GAP_S = 600.0
START = datetime(2026, 11, 24, 8, 0, tzinfo=UTC)


def ticked(number: int, at_s: float, **more: object) -> Ticked:
    values: dict[str, object] = {
        "tick_id": number,
        "key": f"key-{number}",
        "unit_id": 1,
        "revision_id": 1,
        "step_uid": f"w{number}:cut",
        "state": "done",
        "person_id": 1,
        "person": "Jo",
        "device": "tablet 1",
        "client_at": None,
        "at": START + timedelta(seconds=at_s),
    }
    return Ticked(**(values | more))  # type: ignore[arg-type]


def seconds(ticks: Sequence[Ticked]) -> list[float | None]:
    return [span.seconds for span in spans(ticks, GAP_S)]


def test_a_step_takes_from_the_tick_before_to_its_own() -> None:
    assert seconds([ticked(1, 0), ticked(2, 25), ticked(3, 55)]) == [None, 25.0, 30.0]


def test_a_pause_is_not_counted_and_the_gap_itself_is_none() -> None:
    assert seconds([ticked(1, 0), ticked(2, 600), ticked(3, 1200.5)]) == [None, 600.0, None]


def test_each_person_has_times_of_their_own() -> None:
    jo, bo = {"person_id": 1}, {"person_id": 2, "person": "Bo"}
    ticks = [ticked(1, 0, **jo), ticked(2, 10, **bo), ticked(3, 20, **jo), ticked(4, 50, **bo)]
    assert seconds(ticks) == [None, None, 20.0, 40.0]


def test_the_tick_before_may_be_of_another_unit() -> None:
    assert seconds([ticked(1, 0, unit_id=7), ticked(2, 30, unit_id=8)]) == [None, 30.0]


def test_one_tap_on_three_units_is_shared_by_them() -> None:
    batch = [ticked(n, 60 + n / 100, unit_id=n, step_uid="w1:cut") for n in (2, 3, 4)]
    found = seconds([ticked(1, 0), *batch, ticked(5, 90)])
    assert found[1:4] == pytest.approx([20.0067, 20.0067, 20.0067], abs=1e-3)
    assert found[4] == pytest.approx(29.96)


def test_ticks_that_came_late_together_are_told_by_the_tablets_clock() -> None:
    """Its clock is an hour wrong: by the same for both."""
    wrong = START + timedelta(hours=1)
    sent = [ticked(n, 900, client_at=wrong + timedelta(seconds=40 * n)) for n in (1, 2, 3)]
    assert seconds(sent) == [None, 40.0, 40.0]
    # A clock that was set back says nothing; nor does another tablet's.
    back = [ticked(1, 0, client_at=wrong), ticked(2, 35, client_at=START)]
    other = [ticked(1, 0, client_at=START), ticked(2, 35, client_at=wrong, device="tablet 2")]
    assert seconds(back) == seconds(other) == [None, 35.0]


def test_a_morning_worked_by_hand() -> None:
    """A tablet a day behind, offline for three ticks, its clock set right in the middle; a pause of
    a quarter of an hour; one tap on six units; a joint undone and made again."""
    slow = timedelta(days=-1)

    def tick(number: int, at_s: float, tapped_s: float | None = None, **more: object) -> Ticked:
        """Taken by the server at one moment, tapped at another."""
        tapped = START + timedelta(seconds=at_s if tapped_s is None else tapped_s)
        return ticked(number, at_s, client_at=tapped + slow, **more)

    ticks = [
        tick(1, 0),
        tick(2, 30),  # 30 s
        # Offline: tapped at 70, 130 and 160 s, taken together at 400 s.
        tick(3, 400, 70),  # 40 s
        tick(4, 400.01, 130),  # 60 s
        tick(5, 400.02, 160),  # 30 s
        tick(6, 460),  # 300 s by the tablet: nothing was tapped since 160 s
        tick(7, 1360),  # a quarter of an hour: a pause
        *(tick(10 + n, 1480 + n / 50, 1480, unit_id=n, step_uid="w9:cut") for n in range(6)),
        tick(20, 1500, state="undone", step_uid="w9:cut"),  # 20 s, though it takes work back
        tick(21, 1560, step_uid="w9:cut"),  # 60 s for the second time
    ]
    expected = [None, 30, 40, 60, 30, 300, None, *[20] * 6, 20, 60]
    assert seconds(ticks) == [None if s is None else pytest.approx(s) for s in expected]


def test_a_clock_that_is_set_in_the_middle_does_not_tell_that_step() -> None:
    day = timedelta(days=1)
    for jump in (day, -day, -timedelta(seconds=50)):
        ticks = [
            ticked(1, 0, client_at=START),
            ticked(2, 30, client_at=START + timedelta(seconds=30)),
            ticked(3, 75, client_at=START + timedelta(seconds=75) + jump),
            ticked(4, 95, client_at=START + timedelta(seconds=95) + jump),
        ]
        assert seconds(ticks) == [None, 30.0, 45.0, 20.0]


def test_the_operation_is_read_from_the_step() -> None:
    uids = ("l1:from:crimp", "l1.0:inserted", "l1:to:made", "l1:to:loose", "k1:sheath-1")
    assert [operation_of(uid) for uid in uids] == ["crimp", "insert", "make", "tag", "sheath"]
