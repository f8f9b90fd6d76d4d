"""Cables laid by hand."""

from tests.stages.design.need_lists import CATALOGUE, design, lamp
from webapp.stages.design.cables import SCREEN, SCREENED
from webapp.stages.design.editing import cables
from webapp.stages.design.proposal import propose


def test_a_screen_over_feeds_alone_is_joined_to_a_return_and_never_to_a_feed() -> None:
    """The board has ways to spare; they are live."""
    lamps = [lamp(f"l{n}", name=f"Lamp {n}") for n in range(2)]
    before = propose(
        design(lamps, polarity="negative earth", setting="plant",
               fuse_board_place_uid="battery box"),
        CATALOGUE,
    ).design  # fmt: skip
    feeds = [link.uid for link in before.link.values() if link.origin.endswith("/to control")]
    after = cables.lay(feeds, SCREENED)(before, CATALOGUE).design
    (screen,) = (link for link in after.link.values() if link.core == SCREEN)
    ends = [uid for uid in (screen.from_way_uid, screen.to_way_uid) if uid]
    assert [after.fitting[after.way[uid].fitting_uid].kind for uid in ends] == ["earth stud"]
    assert after.place_of_way(ends[0]) == "battery box"
