"""Contacts against AC 43.13-1B (1998) Table 11-4, read at page 11-17."""

import pytest

from webapp.sizing.contacts import CONTACT_LOADS, contact_rating_a
from webapp.sizing.load_current import LOAD_KINDS
from webapp.sizing.reasons import SizingError

# Nominal voltage, kind of load, factor over the lasting current, and factor of the resistive row.
TABLE_11_4 = [
    (28, "lamp", 8, 2),
    (28, "coil", 4, 2),
    (28, "resistive", 2, 2),
    (28, "motor", 3, 2),
    (12, "lamp", 5, 1),
    (12, "coil", 2, 1),
    (12, "resistive", 1, 1),
    (12, "motor", 2, 1),
]


@pytest.mark.parametrize(("volts", "kind", "factor", "resistive"), TABLE_11_4)
def test_the_table(volts: float, kind: str, factor: float, resistive: float) -> None:
    found = contact_rating_a(kind, load_a=3.0, system_voltage_v=volts)
    assert found.value == pytest.approx(3.0 * factor / resistive)
    assert found.confirmed


def test_every_kind_of_load_has_its_row() -> None:
    assert set(CONTACT_LOADS) == {*LOAD_KINDS, "coil"}
    for kind in CONTACT_LOADS:
        assert contact_rating_a(kind, load_a=1.0, system_voltage_v=24.0).value >= 1.0


def test_what_makes_no_sense_is_refused() -> None:
    with pytest.raises(SizingError, match="Choose one of"):
        contact_rating_a("kettle", load_a=1.0, system_voltage_v=12.0)
    with pytest.raises(SizingError):
        contact_rating_a("lamp", load_a=-1.0, system_voltage_v=12.0)
