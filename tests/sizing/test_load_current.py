"""Load currents at the voltage that the load really gets."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.sizing.evaluation import assert_reasons_hold
from webapp.sizing.load_current import LOAD_KINDS, load_current_a
from webapp.sizing.reasons import SizingError


def amps(kind: str, rating: float, unit: str, rated_at_v: float, voltage_v: float) -> float:
    result = load_current_a(
        kind, rating=rating, rating_unit=unit, rated_at_v=rated_at_v, voltage_v=voltage_v
    )
    assert_reasons_hold(result.reasons)
    assert result.reasons[-1].value == result.value
    return result.value


@given(st.sampled_from(LOAD_KINDS), st.floats(0.1, 100), st.floats(6, 60))
@settings(max_examples=60)
def test_at_its_rated_voltage_a_load_takes_what_is_marked(
    kind: str, rating: float, rated_at_v: float
) -> None:
    assert amps(kind, rating, "A", rated_at_v, rated_at_v) == rating
    assert amps(kind, rating, "W", rated_at_v, rated_at_v) == pytest.approx(rating / rated_at_v)
    assert amps(kind, rating, "ohm", rated_at_v, rated_at_v) == pytest.approx(rated_at_v / rating)


def test_voltage_moves_each_kind_its_own_way() -> None:
    at_14_4 = {kind: amps(kind, 10, "A", 12, 14.4) for kind in LOAD_KINDS}
    assert at_14_4["resistive"] == at_14_4["sender"] == pytest.approx(12)
    assert at_14_4["electronics"] == at_14_4["led"] == pytest.approx(10 / 1.2)
    assert at_14_4["motor"] == at_14_4["source"] == 10
    assert at_14_4["lamp"] == pytest.approx(11.055, abs=0.001)  # 1.2 ** 0.55


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"kind": "toaster"}, "kind"),
        ({"rating_unit": "hp"}, "rating_unit"),
        ({"rating": 0}, "rating"),
        ({"rating": float("nan")}, "rating"),
        ({"rating": 1e12}, "rating"),
        ({"rating": 1e-9, "rating_unit": "ohm"}, "rating"),
        ({"rated_at_v": 0}, "rated_at_v"),
        ({"voltage_v": 61}, "voltage_v"),
    ],
)
def test_values_that_make_no_sense_are_refused(changed: dict[str, object], field: str) -> None:
    values: dict[str, object] = {
        "kind": "motor",
        "rating": 4,
        "rating_unit": "A",
        "rated_at_v": 12,
        "voltage_v": 14.4,
    }
    values |= changed
    with pytest.raises(SizingError) as refused:
        load_current_a(values.pop("kind"), **values)  # type: ignore[arg-type]
    assert refused.value.field == field
