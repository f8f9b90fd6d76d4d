"""Case of the rule about changes after sign-off."""

from tests.stages.design.findings.case import Case, Seen
from tests.stages.design.findings.samples import SOUND, link

CASES = (
    Case(
        "changed since sign-off",
        lambda: Seen(link(csa_mm2=2.5, note="thicker"), signed=SOUND),
        lambda: Seen(SOUND, signed=SOUND),
    ),
)
