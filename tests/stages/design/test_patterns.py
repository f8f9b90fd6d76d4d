"""Each control pattern, traced: what passes what, whichever pole is earthed."""

from dataclasses import replace
from typing import Any

import pytest

from tests.stages.design.need_lists import CATALOGUE, design, lamp, with_control
from webapp.sizing.paths import NEGATIVE, POSITIVE
from webapp.stages.design.choices import cables
from webapp.stages.design.controls import CONTROLS
from webapp.stages.design.figures import Figures
from webapp.stages.design.findings import findings
from webapp.stages.design.proposal import Proposal, propose
from webapp.stages.design.proposal.patterns.meeting import PATTERNS
from webapp.stages.design.rows import Design, Need

POLARITIES = ("negative earth", "positive earth", "insulated return")
every_polarity = pytest.mark.parametrize("polarity", POLARITIES)


def proposed(needs: list[Need], **basis: Any) -> Proposal:
    return propose(design(needs, **({"setting": "plant"} | basis)), CATALOGUE)


def clean(needs: list[Need], **basis: Any) -> Design:
    proposal = proposed(needs, **basis)
    assert [named.sentence for named in proposal.cannot] == []
    found = findings(proposal.design, CATALOGUE)
    assert [finding.sentence for finding in found if finding.severity == "error"] == []
    return proposal.design


def said(needs: list[Need], **basis: Any) -> str:
    return " ".join(named.sentence for named in proposed(needs, **basis).cannot)


class Traced:
    """A design with switches that can be opened: which loads a current passes then."""

    def __init__(self, after: Design) -> None:
        self.after = after
        self.circuitry = Figures(after).circuitry

    def contact(self, fitting: str, a: str = "in", b: str = "out") -> str:
        """The uid of one contact, by the name of its fitting and the labels of its ways."""
        (found,) = (
            bridge.uid
            for bridge in self.after.bridge.values()
            if self.after.fitting[bridge.fitting_uid].name == fitting
            and self.after.way[bridge.way_a_uid].label == a
            and self.after.way[bridge.way_b_uid].label == b
        )
        return found

    def lit(self, *open_uids: str) -> set[str]:
        """The needs whose loads current passes while these contacts are open."""
        graph = self.circuitry.graph.without(open_uids)
        supply = self.circuitry.supply
        assert supply is not None
        plus = graph.reach(supply.way_a_uid, POSITIVE)
        minus = graph.reach(supply.way_b_uid, NEGATIVE)
        return {
            self.after.need[bridge.need_uid].name
            for bridge in self.after.bridge.values()
            if bridge.kind == "load"
            and bridge.need_uid
            and (
                (bridge.way_a_uid in plus and bridge.way_b_uid in minus)
                or (bridge.way_b_uid in plus and bridge.way_a_uid in minus)
            )
        }

    def path(self, name: str) -> list[str]:
        """What the current of a need passes inside fittings: kind and fitting, out and back."""
        figures = Figures(self.after)
        load = next(load for load in figures.loads.values() if load.need and load.need.name == name)
        inside = [self.after.bridge[uid] for uid in load.path.edges if uid in self.after.bridge]
        return [
            f"{bridge.kind} {self.after.fitting[bridge.fitting_uid].kind}"
            for bridge in inside
            if bridge.kind != "joined"
        ]


def test_each_control_has_a_pattern() -> None:
    laid = {control.pattern for control in CONTROLS.values()}
    assert laid == set(PATTERNS) | {"dynamo", "split charge"}


@every_polarity
@pytest.mark.parametrize("what", ["switch", "push button", "temperature switch"])
def test_a_contact_in_the_earth_leaves_the_feed_live(what: str, polarity: str) -> None:
    traced = Traced(clean(with_control(f"{what} in the earth"), polarity=polarity))
    contact = traced.contact(f"First lamp {what}")
    assert traced.lit(contact) == set()
    assert traced.lit() == {"First lamp"}
    feed = next(
        load.path.feed for load in Figures(traced.after).loads.values() if load.need is not None
    )
    back = next(
        load.path.back for load in Figures(traced.after).loads.values() if load.need is not None
    )
    assert contact not in (feed or ())
    assert contact in (back or ())


@every_polarity
@pytest.mark.parametrize(
    "control", ["switch via relay", "push button in the earth via relay", "thermostat via relay"]
)
def test_a_relays_coil_and_contact_are_circuits_with_a_fuse_link_each(
    control: str, polarity: str
) -> None:
    after = clean([*with_control(control), lamp("two", name="Two")], polarity=polarity)
    figures = Figures(after)
    coil = next(load for load in figures.loads.values() if load.bridge.kind == "coil")
    main = next(load for load in figures.loads.values() if load.need and load.need.uid == "lamp")
    own, other = figures.fuse_of_load(coil), figures.fuse_of_load(main)
    assert own is not None
    assert other is not None
    assert own.uid != other.uid
    assert (own.fuse_a or 9) <= 1.0
    circuits = [
        {after.link[uid].circuit_uid for uid in load.path.edges if uid in after.link}
        for load in (coil, main)
    ]
    shared = circuits[0] & circuits[1]
    assert {after.circuit[uid].need_uid for uid in shared} <= {None}


@every_polarity
def test_a_coils_diode_has_its_cathode_towards_plus(polarity: str) -> None:
    """86 towards plus: the diode across the coil (anode 85) never passes the supply's current."""
    for control in ("switch via relay", "push button in the earth via relay"):
        traced = Traced(clean(with_control(control), polarity=polarity))
        supply = traced.circuitry.supply
        assert supply is not None
        plus = traced.circuitry.graph.reach(supply.way_a_uid, POSITIVE)
        minus = traced.circuitry.graph.reach(supply.way_b_uid, NEGATIVE)
        labels = {
            way.label: way.uid
            for way in traced.after.way.values()
            if traced.after.fitting[way.fitting_uid].kind == "relay"
        }
        assert labels["86"] in plus
        assert labels["85"] in minus
        assert labels["85"] not in plus


@every_polarity
def test_dip_and_main_beam_are_never_both_fed(polarity: str) -> None:
    traced = Traced(clean(with_control("switch and change-over switch"), polarity=polarity))
    to_main = traced.contact("First lamp change-over switch", "in", "a")
    to_dip = traced.contact("First lamp change-over switch", "in", "b")
    assert traced.lit(to_dip) == {"First lamp"}
    assert traced.lit(to_main) == {"Other lamp"}
    assert traced.lit(traced.contact("First lamp switch")) == set()


@every_polarity
def test_two_way_switches_light_and_put_out_from_either_place(polarity: str) -> None:
    traced = Traced(clean(with_control("two-way switches"), polarity=polarity))
    near = [traced.contact("First lamp change-over switch", "in", way) for way in "ab"]
    far = [traced.contact("First lamp second change-over switch", "in", way) for way in "ab"]
    for here in (0, 1):
        for there in (0, 1):
            lit = traced.lit(near[1 - here], far[1 - there])
            assert lit == ({"First lamp"} if here == there else set())


@every_polarity
def test_a_flasher_stands_before_the_left_right_switch(polarity: str) -> None:
    control = "flasher unit with left-right switch"
    traced = Traced(clean(with_control(control), polarity=polarity))
    assert traced.path("First lamp")[:2] == [
        "contact left-off-right switch",
        "contact flasher unit",
    ]
    switch = "First lamp left-off-right switch"
    left, right = (traced.contact(switch, "in", way) for way in ("left", "right"))
    assert traced.lit(right) == {"First lamp"}
    assert traced.lit(left) == {"Other lamp"}
    assert traced.lit(left, right) == set()
    assert traced.lit(traced.contact("First lamp flasher unit", "49", "49a")) == set()


@every_polarity
def test_a_lamp_is_lit_with_either_of_two_and_lights_neither(polarity: str) -> None:
    traced = Traced(clean(with_control("diode fed"), polarity=polarity))
    one = traced.contact("One switch")
    two = traced.contact("Two relay", "30", "87")
    assert traced.lit() == {"First lamp", "One", "Two"}
    assert traced.lit(one) == {"First lamp", "Two"}
    assert traced.lit(two) == {"First lamp", "One"}
    assert traced.lit(one, two) == set()


@every_polarity
def test_either_door_lights_a_courtesy_lamp(polarity: str) -> None:
    traced = Traced(clean(with_control("door switches"), polarity=polarity))
    near = traced.contact("First lamp door switch")
    far = traced.contact("First lamp second door switch")
    assert traced.lit(near) == traced.lit(far) == {"First lamp"}
    assert traced.lit(near, far) == set()


@every_polarity
@pytest.mark.parametrize("control", ["switch", "thermostat", "two-way switches", "door switches"])
@pytest.mark.parametrize("when", ["ignition", "accessory"])
def test_anything_can_be_live_only_with_the_key(control: str, when: str, polarity: str) -> None:
    traced = Traced(clean(with_control(control, live_when=when), polarity=polarity))
    terminal = {"ignition": "15", "accessory": "75"}[when]
    assert traced.lit(traced.contact("Key switch", "30", terminal)) == set()
    assert traced.lit() == {"First lamp"}


def test_the_key_has_an_accessory_position_only_where_one_is_asked_for() -> None:
    plain = clean(with_control("key switch ignition"))
    asked = clean(with_control("key switch accessory"))
    for after, wanted in ((plain, False), (asked, True)):
        key = next(each for each in after.fitting.values() if each.kind == "key switch")
        assert any(way.label == "75" for way in after.ways_of[key.uid]) is wanted


def test_a_relay_worked_by_the_key_takes_its_load_from_the_board() -> None:
    traced = Traced(clean(with_control("key switch ignition via relay")))
    assert traced.path("First lamp") == [
        "contact relay",
        "fuse fuse board",
        "fuse fuse holder",
    ]


@pytest.mark.parametrize(
    "control",
    ["push button", "push button via relay", "key switch start", "key switch start via relay"],
)
def test_any_start_circuit_can_be_held_to_neutral(control: str) -> None:
    needs = with_control(control, only_in_neutral=True, service="start")
    after = clean([*needs, lamp("two", name="Two")])
    neutral = next(each for each in after.fitting.values() if each.kind == "neutral switch")
    figures = Figures(after)
    served = [
        load
        for load in figures.loads.values()
        for uid in load.path.feed or ()
        if uid in after.bridge and after.bridge[uid].fitting_uid == neutral.uid
    ]
    expected = "coil" if "relay" in control else "load"
    assert [load.bridge.kind for load in served] == [expected]


def test_a_gauge_stands_where_it_is_read() -> None:
    after = clean(with_control("gauge", live_when="ignition"))
    gauge = next(each for each in after.fitting.values() if each.name == "First lamp gauge")
    assert gauge.place_uid == "helm"
    assert "contact key switch" in Traced(after).path("First lamp")


def test_a_relay_stands_where_it_is_asked_for() -> None:
    after = clean(with_control("switch via relay", relay_place_uid="bow"))
    relay = next(each for each in after.fitting.values() if each.kind == "relay")
    assert relay.place_uid == "bow"


# Feeds side by side, sizes above the least


def test_loads_divided_over_two_feeds_have_two_fuse_links() -> None:
    for control in ("permanent", "switch via relay"):
        after = clean([lamp(control=control, quantity=4, feeds=2), lamp("two", name="Two")])
        figures = Figures(after)
        fuses = [
            fuse.uid
            for load in figures.loads.values()
            if load.need and load.need.uid == "lamp" and (fuse := figures.fuse_of_load(load))
        ]
        assert len(fuses) == 4
        assert len(set(fuses)) == 2


def test_one_load_with_two_feeds_has_wires_side_by_side() -> None:
    after = clean([lamp(feeds=2), lamp("two", name="Two")])
    pairs: dict[tuple[str, str], int] = {}
    for link in after.link.values():
        ends = tuple(
            sorted(after.fitting[after.way[uid or ""].fitting_uid].uid for uid in
                   (link.from_way_uid, link.to_way_uid))
        )  # fmt: skip
        pairs[ends[0], ends[1]] = pairs.get((ends[0], ends[1]), 0) + 1
    assert 2 in pairs.values()


def test_wires_stand_as_many_sizes_above_the_least_as_were_chosen() -> None:
    plain, chosen = (clean([lamp(extra_sizes=n)]) for n in (0, 2))
    sizes = sorted(cables(plain, CATALOGUE))
    for link in plain.link.values():
        if plain.circuit[link.circuit_uid].need_uid == "lamp":
            least, thicker = link.csa_mm2 or 0, chosen.link[link.uid].csa_mm2 or 0
            assert sizes.index(thicker) == sizes.index(least) + 2


# Splices where the least wire is used


def test_a_splice_stands_where_the_loom_divides() -> None:
    """Feed at the helm; lamps at two ends of a fork: the splice stands at the fork."""
    before = design(
        [lamp("a", name="A", place_uid="port"),
         lamp("b", name="B", place_uid="starboard", switched_with_uid="a")],
        places=("battery box", "helm", "fork", "port"),
        setting="plant",
    )  # fmt: skip
    fork = replace(before.run["r2"], uid="r3", to_place_uid="starboard")
    starboard = replace(before.place["port"], uid="starboard", name="starboard")
    before = replace(
        before,
        run=before.run | {"r3": fork},
        place=before.place | {"starboard": starboard},
    )
    after = propose(before, CATALOGUE).design
    (splice,) = (each for each in after.fitting.values() if each.kind == "splice")
    assert splice.place_uid == "fork"


# Fuse-links shared by place


def shared(after: Design, *names: str) -> bool:
    figures = Figures(after)
    fuses = {
        fuse.uid
        for load in figures.loads.values()
        if load.need and load.need.name in names and (fuse := figures.fuse_of_load(load))
    }
    return len(fuses) == 1


def lamps(count: int, **values: Any) -> list[Need]:
    return [lamp(f"l{n}", name=f"Lamp {n}", **values) for n in range(count)]


@every_polarity
def test_lamps_controlled_at_one_place_share_a_fuse_link(polarity: str) -> None:
    after = clean(lamps(3), fuse_sharing="by place", polarity=polarity)
    assert shared(after, "Lamp 0", "Lamp 1", "Lamp 2")
    assert not shared(clean(lamps(3)), "Lamp 0", "Lamp 1", "Lamp 2")


def test_what_must_not_fail_together_has_fuse_links_of_its_own() -> None:
    one, two, three = lamps(3)
    after = clean([one, replace(two, apart_from_uid="l0"), three], fuse_sharing="by place")
    assert not shared(after, "Lamp 0", "Lamp 1")
    assert shared(after, "Lamp 0", "Lamp 2")


@pytest.mark.parametrize("service", ["navigation", "pump", "engine stop", "start", "ignition"])
def test_what_others_depend_on_shares_with_nothing(service: str) -> None:
    one, two, three = lamps(3)
    after = clean([one, replace(two, service=service), three], fuse_sharing="by place")
    assert not shared(after, "Lamp 0", "Lamp 1")
    assert shared(after, "Lamp 0", "Lamp 2")


def test_a_shared_fuse_link_is_no_larger_than_any_load_allows() -> None:
    one, two, three = lamps(3, rating=24.0)
    after = clean([replace(one, max_fuse_a=5.0), two, three], fuse_sharing="by place")
    figures = Figures(after)
    for load in figures.loads.values():
        fuse = figures.fuse_of_load(load)
        if load.need and load.need.uid == "l0":
            assert fuse is not None
            assert (fuse.fuse_a or 99) <= 5.0


def test_a_shared_fuse_link_is_not_filled_beyond_three_quarters() -> None:
    after = clean(lamps(6, rating=60.0), fuse_sharing="by place")
    figures = Figures(after)
    for bridge in after.bridge.values():
        if bridge.kind == "fuse" and bridge.fuse_a:
            assert figures.lasting_a(bridge.uid) <= 0.75 * bridge.fuse_a * 1.005


def test_returns_from_a_far_place_share_a_wire_and_leave_a_sensitive_one_alone() -> None:
    needs = [*lamps(2), lamp("e", name="Sounder", kind="electronics", rating=4.0)]
    after = clean(needs, fuse_sharing="by place", fuse_board_place_uid="battery box")
    figures = Figures(after)
    backs = {
        load.need.name: [uid for uid in load.path.back or () if uid in after.link]
        for load in figures.loads.values()
        if load.need
    }
    assert backs["Lamp 0"][-2] == backs["Lamp 1"][-2]
    assert not {*backs["Sounder"][:-1]} & {*backs["Lamp 0"][:-1]}


# What cannot be met is named


@pytest.mark.parametrize(
    ("needs", "words"),
    [
        ([lamp(control="change-over switch")], "its switch has two sides"),
        ([lamp(control="two-way switches")], "the second is not given"),
        ([lamp(control="gauge")], "a gauge reads a sender"),
        ([lamp(control="diode fed")], "say with which two needs it is lit"),
        (
            [lamp(live_when="ignition", before_isolator=True)],
            "live before the isolator and only with the key",
        ),
        (
            [lamp(live_when="ignition", rating=30.0, rating_unit="A")],
            "control it via relay",
        ),
        (
            [lamp(), lamp("two", name="Two", switched_with_uid="lamp", apart_from_uid="lamp")],
            "must not fail together",
        ),
        ([lamp(control="door switches", feeds=2)], "is to have 2 feeds"),
        (
            [lamp(), lamp("two", name="Two", switched_with_uid="lamp", live_when="ignition")],
            "Two is to be live at ignition and works with Cabin lamp",
        ),
        (
            [lamp(), lamp("two", name="Two", switched_with_uid="lamp", feeds=2)],
            "Two is to have 2 feeds and works with Cabin lamp",
        ),
        (with_control("diode fed", live_when="ignition"), "say so of those"),
        ([lamp(control="self-parking switch", only_in_neutral=True)], "only in neutral"),
    ],
)
def test_what_a_pattern_cannot_do_is_named(needs: list[Need], words: str) -> None:
    assert words in said(needs)


def test_a_diode_needs_a_switched_feed() -> None:
    one = lamp("one", name="One", control="switch in the earth")
    two = lamp("two", name="Two")
    shared_lamp = lamp(control="diode fed", switched_with_uid="one", also_with_uid="two")
    assert "no switched feed" in said([one, two, shared_lamp])
