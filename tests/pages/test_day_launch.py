"""The day launch's list, proposed: nothing that cannot be done, no error found, by any sharing."""

from dataclasses import replace

import pytest
from starlette.testclient import TestClient

from tests.pages.launch import day_launch_loom
from webapp.database import writing
from webapp.stages import catalogue
from webapp.stages.design import entry
from webapp.stages.design.findings import findings
from webapp.stages.design.proposal import propose


@pytest.mark.parametrize("sharing", ["own", "by place"])
def test_the_day_launch_is_proposed_without_an_error(office: TestClient, sharing: str) -> None:
    day_launch_loom(office)
    with writing(office.app.state.engine) as session:  # type: ignore[attr-defined]
        design = entry.latest(session, 1)
        parts = catalogue.read(session)
    asked = replace(design, basis=replace(design.basis, fuse_sharing=sharing))
    proposal = propose(asked, parts)
    assert [named.sentence for named in proposal.cannot] == []
    found = findings(proposal.design, parts)
    assert [each.sentence for each in found if each.severity == "error"] == []
    served = {bridge.need_uid for bridge in proposal.design.bridge.values()}
    assert design.need.keys() <= served
