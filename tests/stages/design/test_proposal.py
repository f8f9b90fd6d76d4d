"""Proposals from need lists: what is built, that it holds its own findings, what is named."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.stages.design.need_lists import (
    CATALOGUE,
    CONTROLS,
    any_list,
    design,
    lamp,
    sensible_list,
    with_control,
)
from webapp.stages.design.figures import Figures
from webapp.stages.design.findings import Finding, findings
from webapp.stages.design.proposal import Proposal, propose
from webapp.stages.design.proposal.builder import uid_of
from webapp.stages.design.proposal.propose import _row_name
from webapp.stages.design.rows import Design, Link, Need, Removed
from webapp.stages.design.wires import wires


def proposed(before: Design) -> Proposal:
    return propose(before, CATALOGUE)


def errors(after: Design) -> list[str]:
    found = findings(after, CATALOGUE)
    return [finding.sentence for finding in found if finding.severity == "error"]


def clean(before: Design) -> Design:
    """The proposed design, which must have nothing to mend and nothing that could not be done."""
    proposal = proposed(before)
    assert [named.sentence for named in proposal.cannot] == []
    assert errors(proposal.design) == []
    return proposal.design


def kinds(after: Design) -> set[str]:
    return {fitting.kind for fitting in after.fitting.values()}


def feed_of(after: Design, need_uid: str) -> list[str]:
    """The kinds of what the current of a need passes, from the load to the supply."""
    figures = Figures(after)
    load = next(each for each in figures.loads.values() if each.need and each.need.uid == need_uid)
    assert load.path.feed is not None
    return [
        after.bridge[uid].kind + " " + after.fitting[after.bridge[uid].fitting_uid].kind
        for uid in load.path.feed
        if uid in after.bridge
    ]


def test_one_lamp_gets_source_fuse_switch_lamp_and_return() -> None:
    after = clean(design([lamp()]))
    assert kinds(after) >= {"supply", "fuse holder", "switch", "load"}
    assert feed_of(after, "lamp")[0] == "contact switch"
    assert "fuse" in feed_of(after, "lamp")[-1]


@pytest.mark.parametrize("volts", [6, 12, 24, 48])
@pytest.mark.parametrize("polarity", ["negative earth", "positive earth", "insulated return"])
def test_every_voltage_and_polarity(volts: int, polarity: str) -> None:
    need = lamp(rated_at_v=float(volts), rating=5.0)
    after = clean(design([need], volts=volts, polarity=polarity, setting="plant"))
    assert all(
        bridge.fuse_a
        for bridge in after.bridge.values()
        if bridge.kind == "fuse"
        and any(link.from_way_uid == bridge.way_b_uid for link in after.link.values())
    )


def test_positive_earth_puts_the_fuse_in_the_negative_feed() -> None:
    after = clean(
        design([lamp(rated_at_v=6.0)], volts=6, polarity="positive earth", setting="plant")
    )
    figures = Figures(after)
    (load,) = (each for each in figures.loads.values() if each.need)
    fed = load.path.feed or ()
    last = next(after.link[uid] for uid in reversed(fed) if uid in after.link)
    labels = {after.way[uid].label for uid in (last.from_way_uid, last.to_way_uid) if uid}
    assert "−" in labels
    assert any(after.bridge[uid].kind == "fuse" for uid in fed if uid in after.bridge)


def test_earths_of_a_positive_earth_tractor_are_black() -> None:
    needs = [lamp(rated_at_v=6.0), lamp("two", name="Other lamp", rated_at_v=6.0)]
    after = clean(design(needs, volts=6, polarity="positive earth", setting="plant"))
    studs = {
        way.uid for way in after.way.values() if after.fitting[way.fitting_uid].kind == "earth stud"
    }
    earths = [link for link in after.link.values() if {link.from_way_uid, link.to_way_uid} & studs]
    assert earths
    assert {(link.main, link.tracer) for link in earths} == {("black", "")}


def test_positive_earth_warns_of_what_minds_its_polarity() -> None:
    need = lamp(kind="electronics", control="permanent", rating=1.0, rating_unit="A")
    proposal = proposed(design([need], polarity="positive earth", setting="plant"))
    assert any("minds its polarity" in named.sentence for named in proposal.assumed)


def test_a_relay_parts_coil_and_contact() -> None:
    after = clean(design([lamp(control="switch via relay", rating=55.0)]))
    relay = next(fitting for fitting in after.fitting.values() if fitting.kind == "relay")
    inside = {bridge.kind for bridge in after.bridge.values() if bridge.fitting_uid == relay.uid}
    assert inside == {"contact", "coil", "diode"}
    assert "contact relay" in feed_of(after, "lamp")
    assert "contact switch" not in feed_of(after, "lamp")


def test_a_float_switch_has_its_override_in_parallel() -> None:
    pump = lamp(
        "pump",
        name="Bilge pump",
        kind="motor",
        rating=3.5,
        rating_unit="A",
        service="pump",
        control="float switch with manual override",
        control_place_uid="bow",
        second_place_uid="helm",
        before_isolator=True,
    )
    after = clean(design([pump], isolator_place_uid="battery box"))
    assert kinds(after) >= {"float switch", "switch", "splice"}
    assert "contact isolator" not in feed_of(after, "pump")
    places = {fitting.kind: fitting.place_uid for fitting in after.fitting.values()}
    assert places["float switch"] == "bow"
    assert places["switch"] == "helm"


def test_lamps_in_fours_are_fed_and_returned_through_splices() -> None:
    after = clean(design([lamp(quantity=4, rating=2.0)]))
    splices = [fitting for fitting in after.fitting.values() if fitting.kind == "splice"]
    loads = [fitting for fitting in after.fitting.values() if fitting.kind == "load"]
    assert len(loads) == 4
    assert len(splices) >= 2
    assert all(len(after.ways_of[splice.uid]) <= 5 for splice in splices)
    assert {splice.place_uid for splice in splices} == {"bow"}


def test_needs_that_share_a_switch_share_one_circuit() -> None:
    bow = lamp("bow", name="Bow lamp")
    stern = lamp("stern", name="Stern lamp", place_uid="helm", switched_with_uid="bow")
    after = clean(design([bow, stern]))
    assert sum(fitting.kind == "switch" for fitting in after.fitting.values()) == 1


def starting() -> list[Need]:
    motor = {"kind": "motor", "rating_unit": "A", "place_uid": "bow", "on_s": 10.0, "off_s": 60.0}
    return [
        lamp("s", name="Starter", rating=120.0, control="start solenoid", service="start", **motor),
        lamp(
            "c",
            name="Start solenoid",
            **(motor | {"kind": "resistive"}),
            rating=12.0,
            control="key switch start",
            service="start",
            only_in_neutral=True,
        ),
        lamp("i", name="Gauge lamp", control="key switch ignition", place_uid="helm", rating=2.0),
    ]


def test_only_the_starter_cable_goes_without_a_fuse_link() -> None:
    after = clean(design(starting(), isolator_place_uid="battery box"))
    figures = Figures(after)
    bare = {
        link.uid
        for link in after.link.values()
        if figures.fuse_a(link) == float("inf") and (figures.circuitry.lengths_mm[link.uid] > 200)
    }
    assert bare
    assert all(after.link[uid].starter_cable for uid in bare)
    assert kinds(after) >= {"key switch", "neutral switch"}


def test_the_charging_cable_is_fused_at_the_battery() -> None:
    alternator = lamp(
        "alt", name="Alternator", kind="source", rating=55.0, rating_unit="A", rated_at_v=14.4,
        control="permanent", service="charge",
    )  # fmt: skip
    after = clean(design([alternator, lamp()]))
    cable = max(after.link.values(), key=lambda link: (link.csa_mm2 or 0, len(link.route or ())))
    assert after.place_of_way(cable.from_way_uid or "") == "battery box"
    fuse = after.fitting[after.way[cable.from_way_uid or ""].fitting_uid]
    assert fuse.kind == "fuse holder"


def test_plugs_cut_the_wires_and_both_halves_agree() -> None:
    needs = [lamp(f"l{n}", name=f"Lamp {n}", place_uid="bow") for n in range(5)]
    after = clean(design(needs, plug_place_uids=("helm",), fuse_board_place_uid="battery box"))
    halves = [fitting for fitting in after.fitting.values() if fitting.kind in ("plug", "socket")]
    assert len(halves) >= 2
    for half in halves:
        mate = after.fitting[half.mate_uid or ""]
        assert mate.mate_uid == half.uid
    cut = wires(after)
    assert len(cut) > len(after.link)
    for crossing in after.crossing.values():
        labels = {after.way[uid].label for uid in (crossing.way_a_uid, crossing.way_b_uid)}
        assert len(labels) == 1


def test_a_customers_own_lead_is_laid_in_uncut() -> None:
    radio = lamp(
        "vhf", name="Radio", kind="electronics", control="permanent", rating=6.0, rating_unit="A",
        own_lead=True,
    )  # fmt: skip
    after = clean(
        design([radio, lamp()], plug_place_uids=("bow",), fuse_board_place_uid="battery box")
    )
    own = [link for link in after.link.values() if link.own_lead]
    assert len(own) >= 1
    crossed = {crossing.link_uid for crossing in after.crossing.values()}
    assert not crossed & {link.uid for link in own}


def test_joined_wires_share_a_colour_and_no_others_do() -> None:
    needs = [lamp(f"l{n}", name=f"Lamp {n}") for n in range(6)]
    after = clean(design(needs))
    feeds: dict[tuple[str, str], set[str]] = {}
    for link in after.link.values():
        if link.main != "black":
            feeds.setdefault((link.main, link.tracer), set()).add(link.circuit_uid)
    assert all(len(circuits) == 1 for circuits in feeds.values())


def test_unknown_controls_and_foreign_voltages_are_named() -> None:
    odd = lamp("odd", name="Semaphore", control="by telegraph")
    high = lamp("high", name="Winch", rated_at_v=24.0)
    proposal = proposed(design([odd, high, lamp()]))
    said = " ".join(named.sentence for named in proposal.cannot)
    assert "by telegraph" in said
    assert "converter" in said
    assert {named.need_uid for named in proposal.cannot} >= {"odd", "high"}
    served = {bridge.need_uid for bridge in proposal.design.bridge.values()}
    assert "lamp" in served
    assert not served & {"odd", "high"}


def test_places_that_no_run_joins_are_named() -> None:
    before = design([lamp()])
    before = replace(before, run={"r0": before.run["r0"]})
    assert any("No run leads" in named.sentence for named in proposed(before).cannot)


def test_no_supply_place_is_named() -> None:
    assert any(
        "battery sits" in named.sentence
        for named in proposed(design([lamp()], supply_place_uid=None)).cannot
    )


# Against by hand


def by_hand(link: Link, **values: object) -> Link:
    return replace(link, by_hand=tuple(values), **values)  # type: ignore[arg-type]


def test_a_second_proposal_changes_nothing() -> None:
    first = clean(design([lamp(), lamp("two", name="Lamp two", control="switch via relay")]))
    assert proposed(first).design == first


def test_what_is_set_by_hand_is_kept_and_said() -> None:
    first = clean(design([lamp()]))
    link = next(iter(first.link.values()))
    mine = by_hand(link, csa_mm2=10.0, main="pink", tracer="")
    again = proposed(replace(first, link=first.link | {link.uid: mine}))
    assert again.design.link[link.uid].csa_mm2 == 10.0
    assert again.design.link[link.uid].main == "pink"
    assert any("by hand, kept" in sentence for sentence in again.kept)


def test_what_is_removed_stays_removed() -> None:
    first = clean(design([lamp(), lamp("two", name="Lamp two")]))
    switch = next(fitting for fitting in first.fitting.values() if fitting.kind == "switch")
    marker = Removed(uid=switch.uid, what=switch.name)
    again = proposed(replace(first, removed={switch.uid: marker}))
    assert switch.uid not in again.design.fitting
    assert any("stays removed" in sentence for sentence in again.kept)


def test_typed_rows_stay() -> None:
    first = clean(design([lamp()]))
    circuit = next(iter(first.circuit.values()))
    typed = replace(next(iter(first.link.values())), uid="typed", origin="", number=77)
    again = proposed(replace(first, link=first.link | {"typed": typed}))
    assert again.design.link["typed"].number == 77
    assert again.design.circuit[circuit.uid].name == circuit.name


def test_a_typed_wire_to_what_is_no_longer_proposed_is_named() -> None:
    first = clean(design([lamp(), lamp("two", name="Lamp two"), lamp("three", name="Third")]))
    switch = next(each for each in first.fitting.values() if each.name == "Lamp two switch")
    way = next(way.uid for way in first.way.values() if way.fitting_uid == switch.uid)
    typed = replace(
        next(iter(first.link.values())), uid="typed", origin="", number=77, to_way_uid=way
    )
    before = replace(
        first,
        link=first.link | {"typed": typed},
        need={uid: need for uid, need in first.need.items() if uid != "two"},
        bridge={
            uid: replace(row, need_uid=None) if row.need_uid == "two" else row
            for uid, row in first.bridge.items()
        },
    )
    again = proposed(before)
    assert "typed" not in again.design.link
    (said,) = (words for words in again.kept if "put in by hand" in words)
    assert said.startswith("Wire 77 was put in by hand and led to Lamp two switch · ")


def test_what_was_set_by_hand_for_a_need_that_is_gone_is_named() -> None:
    first = clean(design([lamp(), lamp("two", name="Lamp two")]))
    link = next(
        link for link in first.link.values() if first.circuit[link.circuit_uid].need_uid == "two"
    )
    mine = by_hand(link, csa_mm2=10.0)
    before = replace(first, link=first.link | {link.uid: mine}, need={"lamp": first.need["lamp"]})
    again = proposed(before)
    assert any(f"Wire {link.number}: conductor was set by hand" in words for words in again.kept)


def test_a_fitting_moved_by_hand_has_its_wires_led_to_it() -> None:
    first = clean(design([lamp()]))
    switch = next(each for each in first.fitting.values() if each.kind == "switch")
    moved = by_hand(switch, place_uid="bow")
    after = clean(replace(first, fitting=first.fitting | {switch.uid: moved}))
    assert after.fitting[switch.uid].place_uid == "bow"
    routes = {link.origin: link.route for link in after.link.values()}
    assert routes["lamp/feed/wire"] == ()


def test_a_fuse_link_and_a_terminal_set_by_hand_are_named_as_kept() -> None:
    first = clean(design([lamp(), lamp("two", name="Lamp two")]))
    fuse = next(
        each for each in first.bridge.values() if each.kind == "fuse"
        and first.fitting[each.fitting_uid].kind == "fuse board"
    )  # fmt: skip
    end = next(each for each in first.wire_end.values() if each.terminal_part_uid)
    again = proposed(
        replace(
            first,
            bridge=first.bridge | {fuse.uid: by_hand(fuse, fuse_a=3.0, fuse_part_uid=None)},
            wire_end=first.wire_end | {end.uid: by_hand(end, tag="by the door")},
        )
    )
    number = first.link[end.link_uid].number
    assert "Fuse board · 1: fuse-link, fuse-link part set by hand, kept." in again.kept
    assert any(
        words.startswith(f"Wire {number}, at ") and words.endswith(": tag set by hand, kept.")
        for words in again.kept
    )
    assert again.design.wire_end[end.uid].tag == "by the door"


def test_uids_depend_on_the_need_alone() -> None:
    alone = clean(design([lamp()]))
    beside = clean(design([lamp("first", name="First"), lamp()]))
    feed = uid_of("lamp/feed/wire")
    assert feed in alone.link
    assert feed in beside.link


# Any list


@settings(max_examples=40, deadline=None)
@given(
    seed=st.integers(0, 10**6),
    count=st.one_of(st.integers(1, 12), st.integers(13, 60)),
    volts=st.sampled_from([6, 12, 24, 48]),
    polarity=st.sampled_from(["negative earth", "positive earth", "insulated return"]),
    setting=st.sampled_from(["craft", "road vehicle", "railway", "plant"]),
)
def test_any_list_holds_its_findings_or_says_what_it_cannot(
    seed: int, count: int, volts: int, polarity: str, setting: str
) -> None:
    proposal = proposed(any_list(seed, count, volts, polarity, setting))
    if not proposal.cannot:
        assert errors(proposal.design) == []
    unserved = set(proposal.design.need) - {
        bridge.need_uid for bridge in proposal.design.bridge.values()
    }
    assert unserved <= {named.need_uid for named in proposal.cannot}


@settings(max_examples=15, deadline=None)
@given(
    seed=st.integers(0, 10**6),
    count=st.one_of(st.integers(1, 12), st.integers(13, 60)),
    volts=st.sampled_from([12, 24, 48]),
    polarity=st.sampled_from(["negative earth", "positive earth", "insulated return"]),
    setting=st.sampled_from(["craft", "road vehicle", "railway", "plant"]),
)
def test_a_sensible_list_is_met_whole_without_an_error(
    seed: int, count: int, volts: int, polarity: str, setting: str
) -> None:
    clean(sensible_list(seed, count, volts, polarity, setting))


@pytest.mark.parametrize("seed", range(4))
def test_a_sensible_list_of_six_volts(seed: int) -> None:
    clean(sensible_list(seed, 12, 6, "positive earth", "road vehicle"))


@pytest.mark.parametrize(
    ("seed", "polarity"), [(1, "negative earth"), (5, "positive earth"), (9, "insulated return")]
)
def test_sixty_needs_of_any_kind(seed: int, polarity: str) -> None:
    proposal = proposed(any_list(seed, 60, 12, polarity, "plant"))
    served = {bridge.need_uid for bridge in proposal.design.bridge.values()}
    unsaid = proposal.design.need.keys() - served - {named.need_uid for named in proposal.cannot}
    assert unsaid == set()


@pytest.mark.parametrize(("volts", "polarity"), [(24, "negative earth"), (12, "insulated return")])
def test_sixty_needs(volts: int, polarity: str) -> None:
    needs = [
        lamp(
            f"n{n}",
            name=f"Lamp {n}",
            rated_at_v=float(volts),
            rating=5.0,
            place_uid=("helm", "bow")[n % 2],
            control=("switch", "switch via relay", "push button")[n % 3],
        )
        for n in range(60)
    ]
    after = clean(design(needs, volts=volts, polarity=polarity, setting="plant"))
    assert sum(bridge.kind == "load" for bridge in after.bridge.values()) == 60


@pytest.mark.parametrize("polarity", ["negative earth", "positive earth", "insulated return"])
@pytest.mark.parametrize("control", CONTROLS)
def test_every_control_alone(control: str, polarity: str) -> None:
    needs = with_control(control)
    clean(design(needs, polarity=polarity, setting="plant", isolator_place_uid="battery box"))


def test_a_main_return_is_no_weaker_than_the_main_feed_beside_it() -> None:
    """Common practice: a short between the main feed and the bar beside it returns through the
    bar's own cable, which the fuse-links of the loads do not protect."""
    needs = [lamp(f"lamp{n}", name=f"Lamp {n}", rating=100.0) for n in range(4)]
    after = clean(design(needs, fuse_board_place_uid="helm"))
    figures = Figures(after)
    kind_of = {
        way.uid: after.fitting[way.fitting_uid].kind
        for way in after.way.values()
        if way.label == "feed" and after.place_of_way(way.uid) == "helm"
    }
    asked = {
        kind_of[end]: figures.fuse_a(link)
        for link in after.link.values()
        for end in (link.from_way_uid, link.to_way_uid)
        if end in kind_of
    }
    assert asked["bar"] == asked["fuse board"]
    assert asked["bar"] is not None


def test_more_cables_than_one_main_bar_takes_go_on_bars_in_a_row() -> None:
    needs = [
        lamp(f"n{n}", name=f"Pump {n}", kind="motor", rating=3.0, rating_unit="A",
             before_isolator=True)
        for n in range(20)
    ]  # fmt: skip
    after = clean(design(needs, isolator_place_uid="battery box"))
    bars = [each for each in after.fitting.values() if each.kind == "main bar"]
    assert len(bars) == 2


def test_an_error_of_a_run_is_named_with_the_run() -> None:
    wanted = design([lamp("lamp")])
    run = next(iter(wanted.run.values()))
    ends = [wanted.place[uid].name for uid in (run.from_place_uid, run.to_place_uid)]
    hot = Finding("wires too hot for covering", "error", "run", run.uid, "Too hot.", source="")
    assert _row_name(wanted, hot) == " – ".join(ends)
