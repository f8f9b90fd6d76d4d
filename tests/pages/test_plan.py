"""The plan's page: branches turned by number, clashes told, laid out afresh."""

import re

import pytest
from starlette.testclient import TestClient

from tests.pages.designed import LOOM, designed_db, loom, now

__all__ = ["designed_db", "loom"]

PLAN = f"{LOOM}/plan"


def angles(loom: TestClient) -> dict[str, float]:
    found = re.findall(r'data-run="(\w+)"[^>]*data-angle="([-\d.]+)"', loom.get(PLAN).text)
    return {run: float(angle) for run, angle in found}


def test_a_branch_turns_with_all_that_hangs_on_it_and_nothing_else_moves(
    loom: TestClient,
) -> None:
    before = angles(loom)
    first, beyond, *_ = before
    answer = loom.post(
        f"{PLAN}/turn", data={"run": first, "angle": "30", "seen": str(before[first])}
    )
    assert answer.status_code == 200
    after = angles(loom)
    assert after[first] == 30
    assert after[beyond] == pytest.approx(before[beyond] + 30 - before[first])


def test_somebody_who_saw_another_angle_is_told_both(loom: TestClient) -> None:
    run, was = next(iter(angles(loom).items()))
    loom.post(f"{PLAN}/turn", data={"run": run, "angle": "30", "seen": str(was)})
    answer = loom.post(f"{PLAN}/turn", data={"run": run, "angle": "60", "seen": str(was)})
    assert answer.status_code == 409
    assert "to 30° meanwhile; you wanted 60°" in answer.text
    assert angles(loom)[run] == 30


@pytest.mark.parametrize("typed", ["", "up", "361", "-361", "nan", "1e9"])
def test_what_is_no_angle_is_refused_beside_its_field(loom: TestClient, typed: str) -> None:
    before = angles(loom)
    run, was = next(iter(before.items()))
    answer = loom.post(f"{PLAN}/turn", data={"run": run, "angle": typed, "seen": str(was)})
    assert answer.status_code == 422
    assert "Type an angle" in answer.text
    assert f'aria-describedby="angle-{run}-error"' in answer.text
    assert angles(loom) == before


def test_laid_out_afresh(loom: TestClient) -> None:
    before = angles(loom)
    run, was = next(iter(before.items()))
    loom.post(f"{PLAN}/turn", data={"run": run, "angle": "30", "seen": str(was)})
    loom.post(f"{PLAN}/forget")
    assert angles(loom) == before


def test_the_design_does_not_change_by_turning(loom: TestClient) -> None:
    before = now(loom)
    run, was = next(iter(angles(loom).items()))
    loom.post(f"{PLAN}/turn", data={"run": run, "angle": "30", "seen": str(was)})
    assert now(loom) == before


def test_a_run_that_is_not_there(loom: TestClient) -> None:
    answer = loom.post(f"{PLAN}/turn", data={"run": "none", "angle": "1", "seen": "0"})
    assert answer.status_code == 404
