"""Cases of the rules about supply, fuse-links and loads."""

from dataclasses import replace

from tests.stages.design.findings import samples
from tests.stages.design.findings.case import Case
from tests.stages.design.findings.samples import SOUND, basis, fed, fuse, link, loads, with_rows
from tests.stages.design.need_lists import lamp

CASES = (
    Case("supply", samples.no_supply),
    Case("source unprotected", samples.bare_source),
    Case("starter cable", lambda: link(starter_cable=True), mended=True),
    Case("fuse rating", lambda: fuse(fuse_a=None), mended=True),
    Case("fuse family unknown", lambda: fuse(fuse_kind="rewirable")),
    Case("fuse too small", lambda: loads(load_a=38.0), mended=True),
    Case("fuse near its rating", lambda: fuse(fuse_a=1.0), mended=True),
    Case("breaking capacity", lambda: basis(supply_mohm_new=0.02)),
    Case(
        "fuse voltage",
        lambda: replace(fuse(fuse_kind="blade-medium"), basis=replace(SOUND.basis, heat_at_v=40.0)),
    ),
    Case("fuse too big for load", lambda: loads(max_fuse_a=0.5)),
    Case(
        "no feed",
        lambda: replace(with_rows("link", **{fed().uid: None}), crossing={}, wire_end={}),
    ),
    Case("no return", samples.without_returns),
    Case("load unknown", lambda: loads(need_uid=None)),
    Case("drop", lambda: with_rows("need", lamp=replace(SOUND.need["lamp"], max_drop_percent=0.1))),
    Case("need unmet", lambda: with_rows("need", extra=lamp("extra", name="Extra lamp"))),
    Case("poles protected", lambda: SOUND, samples.plain),
    Case("unconfirmed", lambda: basis(standard="small-craft-iso10133")),
)
