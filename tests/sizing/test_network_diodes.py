"""Diodes in a network: by hand from Kirchhoff's laws, and against ngspice."""

from pathlib import Path

import pytest

from webapp.bench import ngspice
from webapp.sizing.network import Load, Network, Supply, Wire, solve, solve_warm
from webapp.sizing.reasons import SizingError

BATTERY = Supply("battery", "+", "0", 12.0, 0.0)


def shared_lamp(left_ohm: float, right_ohm: float) -> Network:
    """A lamp of 10 Ω, lit from two feeds through a diode each."""
    return Network(
        "0",
        (BATTERY,),
        (
            Wire("left", "+", "l", left_ohm),
            Wire("right", "+", "r", right_ohm),
            Wire("left diode", "l", "lamp", 0.01, 0.8),
            Wire("right diode", "r", "lamp", 0.01, 0.8),
        ),
        (
            Load("lamp", "lamp", "0", resistance_ohm=10.0),
            Load("left lamp", "l", "0", resistance_ohm=5.0),
            Load("right lamp", "r", "0", resistance_ohm=5.0),
        ),
    )


def test_a_conducting_diode_loses_its_volts() -> None:
    """By hand: (12 − 0.8) V over 0.2 + 0.1 + 10.9 Ω is 1 A."""
    network = Network(
        "0",
        (BATTERY,),
        (Wire("feed", "+", "a", 0.2), Wire("diode", "a", "k", 0.1, 0.8)),
        (Load("lamp", "k", "0", resistance_ohm=10.9),),
    )
    found = solve(network)
    assert found.loads["lamp"].current_a == pytest.approx(1.0)
    assert found.wires["diode"].drop_v == pytest.approx(0.9)
    assert found.wires["diode"].loss_w == pytest.approx(0.9)
    assert found.nodes["a"] - found.nodes["k"] == pytest.approx(0.9)
    assert found.reasons[-1].value == pytest.approx(0.0, abs=1e-9)


def test_two_diodes_share_by_their_resistance() -> None:
    """By hand: each of two like branches carries half of 11.2 V over 10 + 0.1 / 2 Ω."""
    network = Network(
        "0",
        (BATTERY,),
        (Wire("one", "+", "k", 0.1, 0.8), Wire("other", "+", "k", 0.1, 0.8)),
        (Load("lamp", "k", "0", resistance_ohm=10.0),),
    )
    found = solve(network)
    assert found.wires["one"].current_a == pytest.approx(11.2 / 10.05 / 2)
    assert found.wires["other"].current_a == pytest.approx(11.2 / 10.05 / 2)


def test_current_does_not_go_back_through_a_diode() -> None:
    """By hand: the side of 12 V alone feeds the lamp; the other's diode stays open."""
    found = solve(shared_lamp(0.1, 100.0))
    # 100 Ω before the right lamp's 5 Ω leave 0.57 V there, less than the shared lamp has.
    assert found.wires["right diode"].current_a == pytest.approx(0.0, abs=1e-5)
    assert found.wires["left diode"].current_a == pytest.approx(
        found.loads["lamp"].current_a, abs=1e-5
    )
    assert found.nodes["l"] - found.nodes["lamp"] == pytest.approx(
        0.8 + 0.01 * found.loads["lamp"].current_a, abs=1e-5
    )


def test_a_coil_diode_the_right_way_round_takes_nothing() -> None:
    """By hand: 12 V over 0.1 + 59.9 Ω is 0.2 A, all of it in the coil."""
    network = Network(
        "0",
        (BATTERY,),
        (Wire("feed", "+", "86", 0.1), Wire("diode", "0", "86", 0.01, 0.8)),
        (Load("coil", "86", "0", resistance_ohm=59.9),),
    )
    found = solve(network)
    assert found.wires["feed"].current_a == pytest.approx(0.2, abs=1e-5)
    assert found.wires["diode"].current_a == pytest.approx(0.0, abs=1e-5)


def test_a_coil_diode_the_wrong_way_round_shorts_the_battery() -> None:
    network = Network(
        "0",
        (Supply("battery", "+", "0", 12.0, 0.006),),
        (Wire("feed", "+", "86", 0.002), Wire("diode", "86", "0", 0.001, 0.8)),
        (Load("coil", "86", "0", resistance_ohm=59.9),),
    )
    with pytest.raises(SizingError, match="shorted"):
        solve(network)


def test_the_fuller_of_two_batteries_feeds_through_its_diode() -> None:
    """By hand: 12.6 V and 11 V through a diode each; the lower one's is open."""
    network = Network(
        "0",
        (Supply("full", "a", "0", 12.6, 0.02), Supply("low", "b", "0", 11.0, 0.02)),
        (Wire("first", "a", "k", 0.01, 0.8), Wire("second", "b", "k", 0.01, 0.8)),
        (Load("pump", "k", "0", current_a=10.0),),
    )
    found = solve(network)
    assert found.supplies["full"].current_a == pytest.approx(10.0, abs=1e-4)
    assert found.supplies["low"].current_a == pytest.approx(0.0, abs=1e-4)
    assert found.loads["pump"].voltage_v == pytest.approx(12.6 - 0.2 - 0.8 - 0.1, abs=1e-4)


def test_a_loss_that_is_no_diodes_is_refused() -> None:
    network = Network("0", (BATTERY,), (Wire("odd", "+", "0", 1.0, -0.8),), ())
    with pytest.raises(SizingError) as refused:
        solve(network)
    assert refused.value.field == "wires.0.forward_v"


def test_warm_wires_and_diodes_settle_together() -> None:
    network = shared_lamp(0.1, 100.0)
    cold = {wire.name: wire.resistance_ohm for wire in network.wires}
    warm = solve_warm(network, lambda name, amps: cold[name] * (1 + 0.01 * amps))
    right = warm.solution.wires["right diode"]
    assert right.current_a == pytest.approx(0.0, abs=1e-5)


@pytest.mark.skipif(not ngspice.available(), reason="ngspice is not on this machine")
@pytest.mark.parametrize(("left_ohm", "right_ohm"), [(0.1, 0.2), (0.1, 100.0), (3.0, 0.5)])
def test_shared_lamps_agree_with_ngspice(left_ohm: float, right_ohm: float, tmp_path: Path) -> None:
    """Source: ngspice, its diodes with next to no loss of their own behind 0.8 V."""
    network = shared_lamp(left_ohm, right_ohm)
    theirs, ours = ngspice.run(network, tmp_path), solve(network)
    for name, amps in theirs.wires.items():
        assert ours.wires[name].current_a == pytest.approx(amps, abs=2e-3), name


def test_a_blocking_diode_across_the_poles_is_no_short_however_deep_the_supply_sags() -> None:
    """A starter that takes 180 A of a battery of 40 mΩ, a suppression diode beside it."""
    solution = solve(
        Network(
            "minus",
            (Supply("battery", "plus", "minus", 12.0, 0.04),),
            (Wire("diode", "minus", "plus", 0.001, 0.8),),
            (Load("starter", "plus", "minus", current_a=180.0),),
        )
    )
    assert solution.supplies["battery"].terminal_v == pytest.approx(12.0 - 180 * 0.04, abs=1e-4)
    assert abs(solution.wires["diode"].current_a) < 1e-4
