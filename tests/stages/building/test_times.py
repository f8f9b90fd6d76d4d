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


def test_the_operation_is_read_from_the_step() -> None:
    uids = ("l1:from:crimp", "l1.0:inserted", "l1:to:made", "l1:to:loose", "k1:sheath-1")
    assert [operation_of(uid) for uid in uids] == ["crimp", "insert", "make", "tag", "sheath"]
