"""What is found about wires does not wait for bundles to be packed; nothing else is left out."""

from dataclasses import replace

import pytest

from tests.stages.design.need_lists import CATALOGUE, design, lamp
from webapp.stages.design.findings import RULES, View, findings_of
from webapp.stages.design.proposal import propose

MADE = propose(design([lamp(f"l{n}") for n in range(3)]), CATALOGUE).design
BARE = {uid: replace(run, covering_part_uid=None) for uid, run in MADE.run.items()}
PROPOSED = replace(MADE, run=BARE)
OF_BUNDLES = {rule.name for rule in RULES if rule.of_bundles}


class Unpacked(View):
    """A view whose bundles must not be asked for."""

    @property
    def bundles_mm(self) -> dict[str, float]:  # type: ignore[override]
        raise AssertionError("packed")


def test_only_rules_about_runs_wait_for_bundles() -> None:
    soon = findings_of(Unpacked(PROPOSED, CATALOGUE), bundles=False)
    every = findings_of(View(PROPOSED, CATALOGUE))
    assert soon == [finding for finding in every if finding.rule not in OF_BUNDLES]
    late = [finding for finding in every if finding.rule in OF_BUNDLES]
    assert late
    assert {finding.table for finding in late} == {"run"}
    with pytest.raises(AssertionError, match="packed"):
        findings_of(Unpacked(PROPOSED, CATALOGUE))
