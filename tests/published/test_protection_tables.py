"""Fuse-links against ISO 8820-3, SAE J554 and practice."""

import pytest

from tests.published.published import rows
from webapp.sizing.fuse_gates import fuse_ratings_a, longest_opening_s, shortest_opening_s
from webapp.sizing.fuses import CONTINUOUS_SHARE, choose_fuse

FAMILIES = {
    "blade, ISO 8820-3 type C (medium)": "blade-medium",
    "blade, ISO 8820-3 type F (miniature)": "blade-mini",
    "blade, ISO 8820-3 type E (high current)": "blade-high-current",
    "glass, SAE J554": "glass",
}
GATES = [row for row in rows("fuse_time_current_gates") if row["fuse"] in FAMILIES]


@pytest.mark.parametrize("row", GATES, ids=lambda row: f"{row['fuse'][-10:]}-{row['current_pct']}")
def test_gates(row: dict[str, str]) -> None:
    kind = FAMILIES[row["fuse"]]
    current_a = 10 * float(row["current_pct"]) / 100
    shortest = shortest_opening_s(kind, 10, current_a)
    longest = longest_opening_s(kind, 10, current_a)
    assert shortest.time_s == (float(row["t_min_s"]) if row["t_min_s"] else None)
    assert longest.time_s == (float(row["t_max_s"]) if row["t_max_s"] else None)
    for reason in (*shortest.reasons, *longest.reasons):
        assert reason.confirmed == (row["how"] == "read")


@pytest.mark.parametrize("row", rows("fuse_colours", fuse="blade standard and miniature"))
def test_blade_ratings_are_in_the_series(row: dict[str, str]) -> None:
    assert float(row["rating_a"]) in fuse_ratings_a("blade-medium")


@pytest.mark.parametrize("row", rows("fuse_colours", fuse="blade large"))
def test_large_blade_ratings_are_in_the_series(row: dict[str, str]) -> None:
    assert float(row["rating_a"]) in fuse_ratings_a("blade-high-current")


def test_no_blade_rating_is_beyond_the_standard() -> None:
    most_a = float(rows("fuse_rules", quantity="rated current, max")[0]["value"])
    for kind in ("blade-mini", "blade-medium", "blade-high-current"):
        assert max(fuse_ratings_a(kind)) <= most_a


def test_rated_voltage_and_breaking_capacity() -> None:
    capacity_a = float(rows("fuse_rules", quantity="breaking capacity")[0]["value"])
    rated_v = float(rows("fuse_rules", quantity="rated voltage")[0]["value"].split(" or ")[0])

    def choose(system_voltage_v: float, prospective_a: float) -> tuple[bool, bool | None]:
        chosen = choose_fuse(
            load_a=3,
            continuous=True,
            fuse_kind="blade-medium",
            system_voltage_v=system_voltage_v,
            prospective_a=prospective_a,
        )
        return chosen.voltage_ok, chosen.breaking_ok

    assert choose(rated_v, capacity_a) == (True, True)
    assert choose(rated_v + 0.1, capacity_a + 1) == (False, False)


def test_continuous_share() -> None:
    practice = rows("fuse_rules", quantity="continuous load")[0]
    assert float(practice["value"]) / 100 == CONTINUOUS_SHARE
