"""Cases of the rules about colours."""

from dataclasses import replace

from tests.stages.design.findings.case import Case
from tests.stages.design.findings.samples import SOUND, link, with_rows
from webapp.stages.design.rows import Design


def alike() -> Design:
    """Two feeds through one plug in one colour."""
    feeds = [
        each
        for uid in dict.fromkeys(each.link_uid for each in SOUND.crossing.values())
        if (each := SOUND.link[uid]).main != "black"
    ]
    one, other = next(
        (one, other) for one in feeds for other in feeds
        if (one.main, one.tracer) != (other.main, other.tracer)
    )  # fmt: skip
    return with_rows("link", **{other.uid: replace(other, main=one.main, tracer=one.tracer)})


CASES = (
    Case("no colour", lambda: link(main="", tracer=""), mended=True),
    Case("colour off the code", lambda: link(main="black", tracer=""), mended=True),
    Case("colours alike", alike),
)
