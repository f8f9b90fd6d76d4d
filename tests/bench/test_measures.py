"""The `bench` command prints what it measured, and says what it could not compare with."""

import re

import pytest

from webapp.bench import (
    browser_speed,
    cutting_speed,
    design_speed,
    measures,
    network_speed,
    ngspice,
    packing_speed,
    page_speed,
    stopwatch,
    tick_speed,
)
from webapp.launcher.command_line import main


def test_every_measure_is_printed_under_its_title(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(design_speed, "NEEDS", (1, 3))
    monkeypatch.setattr(network_speed, "WIRES", (20,))
    monkeypatch.setattr(network_speed, "TURNS", 1)
    monkeypatch.setattr(cutting_speed, "REELS_AND_OFFCUTS", 1)
    monkeypatch.setattr(cutting_speed, "MANY", 50)
    monkeypatch.setattr(packing_speed, "CIRCLES", (5,))
    monkeypatch.setattr(page_speed, "NEEDS", 2)
    monkeypatch.setattr(page_speed, "addresses", lambda *_pages: ())  # test_page_speed has them
    monkeypatch.setattr(browser_speed, "BROWSER", "no-such-browser")
    monkeypatch.setattr(tick_speed, "NEEDS", 1)
    monkeypatch.setattr(tick_speed, "TURNS", 10)
    monkeypatch.setattr(tick_speed, "CLIENTS", 2)
    monkeypatch.setattr(tick_speed, "TICKS_A_CLIENT", 3)
    assert main(["bench"]) == 0
    printed = capsys.readouterr().out
    for measure in measures.MEASURES:
        assert measure.TITLE in printed
    assert "20 wires" in printed
    assert "453 pieces, proven" in printed
    assert "5 mixed circles" in printed
    assert "2 needs" in printed
    assert "no browser is here" in printed
    for against in ("by the stage", "over HTTP"):
        assert re.search(rf"{against}: +p50 .* [\d.]+ times; p99 .* [\d.]+ times", printed)
    assert re.search(r"2 clients at once: \d+ ticks/s, [\d.]+ of the bare inserts", printed)


def test_a_proposal_is_measured_against_its_network_and_against_other_sizes(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(design_speed, "NEEDS", (1, 3))
    monkeypatch.setattr(design_speed, "GOAL_S", 0.0)
    small, large, grows, goal = design_speed.lines()
    assert int(small.split(" wires")[0]) < int(large.split(" wires")[0])
    assert "times its network" in small
    assert "to the power of" in grows
    assert "not under" in goal


@pytest.mark.parametrize("power", [0.5, 1.0, 2.0])
def test_growth_is_the_power_of_the_wires(power: float) -> None:
    sizes = [
        design_speed.Measured(wires, 0.5, 0.003 * wires**power, 0.001) for wires in (20, 60, 300)
    ]
    assert design_speed.growth(sizes) == pytest.approx(power)


def test_a_missing_ngspice_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ngspice, "PROGRAM", "no-such-program")
    monkeypatch.setattr(network_speed, "WIRES", (20,))
    first, second = network_speed.lines()
    assert "ngspice is missing" in first
    assert "faster" not in second


@pytest.mark.skipif(not ngspice.available(), reason="ngspice is not on this machine")
def test_the_ratio_is_of_one_run(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(network_speed, "WIRES", (20,))
    (line,) = network_speed.lines()
    assert "times faster" in line


def test_times_are_shown_with_their_unit() -> None:
    assert stopwatch.shown(0.00123) == "1.23 ms"
    assert stopwatch.shown(2.5) == "2.50 s"
