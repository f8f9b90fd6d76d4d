"""Proposals take switches and relays that are rated for what they switch."""

import pytest

from tests.stages.design.need_lists import CATALOGUE, design, lamp
from webapp.stages.design.findings import findings
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Design


def proposed(kind: str, control: str, amps: float) -> Design:
    need = lamp(kind=kind, control=control, rating=amps, rating_unit="A")
    return propose(design([need]), CATALOGUE).design


def part_of(after: Design, kind: str) -> str:
    return next(each.part_uid or "" for each in after.fitting.values() if each.kind == kind)


@pytest.mark.parametrize(
    ("kind", "amps", "switch"),
    [
        # 5 times the current of lamps, twice that of motors, that of heaters: AC 43.13-1B, 12 V.
        ("lamp", 6.0, "switch-heavy"),
        ("lamp", 3.0, "switch"),
        ("motor", 12.0, "switch-heavy"),
        ("motor", 9.0, "switch"),
        ("resistive", 14.0, "switch"),
        # Nothing in the catalogue is rated for it: then what carries it, and the finding says so.
        ("lamp", 15.0, "switch"),
    ],
)
def test_switches(kind: str, amps: float, switch: str) -> None:
    after = proposed(kind, "switch", amps)
    assert part_of(after, "switch") == switch
    rules = {each.rule for each in findings(after, CATALOGUE)}
    assert ("contact rating" in rules) is (amps == 15.0)


def test_the_relay_is_sized_by_its_lamps_and_its_switch_by_its_coil() -> None:
    after = proposed("lamp", "switch via relay", 10.0)
    relay = CATALOGUE.parts[part_of(after, "relay")]
    assert relay.number("max_a") >= 50
    assert part_of(after, "switch") == "switch"
    assert "contact rating" not in {each.rule for each in findings(after, CATALOGUE)}
