"""What charges the battery and what is charged: laid whole, on either earth, fused at batteries."""

import pytest

from tests.stages.design.need_lists import CATALOGUE, design, lamp
from tests.stages.design.test_proposal import clean, proposed, starting
from webapp.stages.design.figures import Figures
from webapp.stages.design.findings import findings
from webapp.stages.design.proposal.charging import FIELD
from webapp.stages.design.rows import Bridge, Design, Need
from webapp.stages.design.together import ALL_LASTING, CRANKING

EARTHS = ("negative earth", "positive earth", "insulated return")


def machine(uid: str = "alt", **values: object) -> Need:
    given: dict[str, object] = {
        "name": "Alternator", "kind": "source", "rating": 35.0, "rating_unit": "A",
        "rated_at_v": 14.4, "control": "permanent", "service": "charge", "place_uid": "bow",
    }  # fmt: skip
    return lamp(uid, **(given | values))


def dynamo(**values: object) -> Need:
    return machine("dyn", name="Dynamo", rating=22.0, control="dynamo with control box", **values)


def second(**values: object) -> Need:
    given: dict[str, object] = {
        "name": "Second battery", "rating": 30.0, "control": "split charge relay",
        "place_uid": "helm", "control_place_uid": "helm",
    }  # fmt: skip
    return machine("two", **(given | values))


def warning_lamp() -> Need:
    return lamp(
        "w", name="Charge warning lamp", rating=2.0, place_uid="helm", to_field_terminal=True,
        control="key switch ignition",
    )  # fmt: skip


def fridge(**values: object) -> Need:
    given: dict[str, object] = {
        "name": "Cool box", "kind": "motor", "rating": 4.0, "rating_unit": "A",
        "place_uid": "helm", "live_when": "second battery", "control": "permanent",
    }  # fmt: skip
    return lamp("fridge", **(given | values))


def built(needs: list[Need], polarity: str, **basis: object) -> Design:
    setting = "craft" if polarity == "insulated return" else "plant"
    return clean(design(needs, polarity=polarity, setting=setting, **basis))


def inside(after: Design, kind: str, fitting_kind: str) -> list[Bridge]:
    return [
        bridge
        for bridge in after.bridge.values()
        if bridge.kind == kind and after.fitting[bridge.fitting_uid].kind == fitting_kind
    ]


@pytest.mark.parametrize("polarity", EARTHS)
def test_an_alternator_with_its_warning_lamp_is_laid_on_either_earth(polarity: str) -> None:
    after = built([machine(), warning_lamp(), lamp()], polarity)
    figures = Figures(after)
    load = next(each for each in figures.loads.values() if each.need and each.need.uid == "w")
    assert load.path.complete
    assert not load.path.charging
    assert FIELD in {
        way for uid in load.path.back or () if uid in after.link
        for way in (after.link[uid].from_way_uid, after.link[uid].to_way_uid)
    }  # fmt: skip
    # The feed's own pole is fused at the battery, and the machine has its poles the right way.
    label = "D−" if polarity == "positive earth" else "D+"
    assert after.way[FIELD].label == label


def test_a_machine_for_positive_earth_is_asked_for() -> None:
    said = proposed(design([machine(), lamp()], polarity="positive earth", setting="plant")).assumed
    assert any("made for positive earth" in named.sentence for named in said)


@pytest.mark.parametrize("polarity", EARTHS)
def test_charging_current_takes_its_cable_and_not_a_coils_diode(polarity: str) -> None:
    """A coil's diode, the body and the field of the machine are a shorter way than the cable."""
    horn = lamp("horn", name="Horn", control="switch via relay", control_place_uid="battery box")
    after = built([machine(), horn, lamp()], polarity, fuse_board_place_uid="battery box")
    figures = Figures(after)
    (source,) = inside(after, "source", "load")
    _, edges = figures.charging_edges[source.uid]
    passed = {
        after.fitting[after.bridge[uid].fitting_uid].kind for uid in edges & set(after.bridge)
    }
    assert passed == {"fuse holder"}
    (cable,) = (link for link in after.link.values() if link.origin == "alt/charge/1/cable")
    assert figures.carried_a(cable)[0] == 35.0


@pytest.mark.parametrize("polarity", EARTHS)
def test_a_dynamo_charges_through_its_control_box(polarity: str) -> None:
    after = built([dynamo(), warning_lamp(), lamp()], polarity, isolator_place_uid="battery box")
    figures = Figures(after)
    (source,) = inside(after, "source", "load")
    amps, edges = figures.charging_edges[source.uid]
    assert amps == 22.0
    kinds = {after.bridge[uid].kind for uid in edges if uid in after.bridge}
    assert kinds >= {"cut-out", "fuse", "joined"} - {"joined"}
    # The boards hang on A1, so that what the loads take passes the box.
    (box,) = {bridge.fitting_uid for bridge in inside(after, "cut-out", "control box")}
    load = next(each for each in figures.loads.values() if each.need and each.need.uid == "lamp")
    assert any(
        after.bridge[uid].fitting_uid == box for uid in load.path.feed or () if uid in after.bridge
    )
    # A standing dynamo does not drain the battery: with the cut-out open nothing is shorted.
    assert figures.operating.low
    assert figures.operating.trouble == ""


@pytest.mark.parametrize("polarity", EARTHS)
@pytest.mark.parametrize("charger", [machine, dynamo])
def test_all_but_the_starter_passes_the_ammeter(polarity: str, charger: object) -> None:
    meter = lamp(
        "m", name="Ammeter", kind="electronics", rating=60.0, rating_unit="A", place_uid="helm",
        control="ammeter in the main feed",
    )  # fmt: skip
    needs = [*starting(), charger(), meter, lamp()]  # type: ignore[operator]
    after = built(needs, polarity, isolator_place_uid="battery box")
    figures = Figures(after)
    (through,) = inside(after, "meter", "ammeter")
    assert through.need_uid == "m"
    passing = {load.uid for load in figures.loads_through[through.uid]}
    starter = next(each for each in figures.loads.values() if each.need and each.need.uid == "s")
    assert passing == set(figures.loads) - {starter.uid}
    assert figures.source_a[through.uid] > 20


@pytest.mark.parametrize("polarity", EARTHS)
def test_a_second_battery_is_fused_at_both_ends_of_its_link(polarity: str) -> None:
    after = built([machine(), second(), fridge(), lamp()], polarity)
    figures = Figures(after)
    assert len(figures.circuitry.supplies) == 2
    main, other = figures.circuitry.supplies
    assert main.need_uid is None
    assert other.need_uid == "two"
    _, edges = figures.charging_edges[other.uid]
    fuses = [after.bridge[uid] for uid in edges if figures.is_fuse(uid)]
    assert len(fuses) == 2
    places = {after.fitting[fuse.fitting_uid].place_uid for fuse in fuses}
    assert places == {"battery box", "helm"}
    for link_uid in edges & after.link.keys():
        length_mm = figures.circuitry.unprotected_mm.get(link_uid)
        assert length_mm is None or length_mm <= 200


@pytest.mark.parametrize("polarity", EARTHS)
def test_what_lives_on_the_second_battery_is_fed_and_fused_there(polarity: str) -> None:
    needs = [machine(), second(), fridge(), fridge_lamp(), lamp()]
    after = built(needs, polarity)
    figures = Figures(after)
    for uid in ("fridge", "inner"):
        load = next(each for each in figures.loads.values() if each.need and each.need.uid == uid)
        assert load.path.supply == 1
        fuse = figures.fuse_of_load(load)
        assert fuse is not None
        assert after.fitting[fuse.fitting_uid].place_uid == "helm"
    other = next(each for each in figures.loads.values() if each.need and each.need.uid == "lamp")
    assert other.path.supply == 0


def fridge_lamp() -> Need:
    return lamp("inner", name="Bunk lamp", place_uid="helm", live_when="second battery")


def test_the_batteries_are_parted_while_cranking() -> None:
    needs = [*starting(), machine(), second(), fridge(), lamp()]
    after = built(needs, "insulated return", isolator_place_uid="battery box")
    figures = Figures(after)
    (contact,) = inside(after, "contact", "split-charge relay")
    states = {state.name: state for state in figures.operating.states}
    assert contact.uid not in states[ALL_LASTING].open
    assert contact.uid in states[CRANKING].open
    cranking = next(state for state in figures.operating.hot if state.name == CRANKING)
    assert contact.uid not in cranking.solution.wires


def test_without_a_machine_a_switch_works_the_relay_where_there_is_a_starter() -> None:
    needs = [*starting(), second(), lamp()]
    after = built(needs, "insulated return", isolator_place_uid="battery box")
    assert any(fitting.name == "Second battery switch" for fitting in after.fitting.values())


def test_each_batterys_short_current_counts_at_each_fuse_link() -> None:
    """Source: Ohm's law by hand: 12.78 V over 6 mΩ and the cable between."""
    from webapp.stages.design.prospective import prospective_a

    after = built([machine(), second(), fridge(), lamp()], "insulated return")
    figures = Figures(after)
    faults = prospective_a(Figures(after))
    load = next(each for each in figures.loads.values() if each.need and each.need.uid == "fridge")
    fuse = figures.fuse_of_load(load)
    assert fuse is not None
    # Its own battery alone gives 12.78 V / 6 mΩ; the other adds through the link.
    assert faults[fuse.uid] > 12.78 / 0.0061


def test_a_need_on_a_second_battery_that_is_not_there_is_named() -> None:
    said = proposed(design([fridge(), lamp()])).cannot
    assert any("there is none" in named.sentence for named in said)


def test_only_one_of_each_is_laid() -> None:
    needs = [second(quantity=2), lamp()]
    assert any("not several" in named.sentence for named in proposed(design(needs)).cannot)
    both = [machine(), dynamo(), warning_lamp(), lamp()]
    assert any("one dynamo alone" in each.sentence for each in proposed(design(both)).cannot)
    assert CATALOGUE.get("load-dynamo") is not None


def test_an_ammeter_that_is_no_ammeter_is_named() -> None:
    for wrong in ({"rating_unit": "W"}, {"quantity": 2}, {"rating": 4000.0}):
        meter = lamp("m", **({"name": "Ammeter", "rating": 60.0, "rating_unit": "A",
                              "control": "ammeter in the main feed"} | wrong))  # fmt: skip
        proposal = proposed(design([meter, lamp()]))
        assert any(named.need_uid == "m" for named in proposal.cannot)
        assert not any(bridge.kind == "meter" for bridge in proposal.design.bridge.values())


def test_what_charges_is_switched_with_nothing() -> None:
    proposal = proposed(design([machine(), lamp(switched_with_uid="alt")]))
    assert proposal.cannot == ()
    served = {bridge.need_uid for bridge in proposal.design.bridge.values()}
    assert served >= {"alt", "lamp"}
    assert any("switched with nothing" in named.sentence for named in proposal.assumed)


def test_wires_joined_to_a_function_whose_pairs_are_used_up_share_its_colour() -> None:
    """All that charges has taken the brown pairs; what is joined to the rest follows it."""
    needs = [machine(), second(), fridge(), *starting(), warning_lamp(), lamp()]
    after = built(needs, "negative earth", isolator_place_uid="battery box")
    assert not [each for each in findings(after, CATALOGUE) if each.rule == "colour off the code"]


def test_what_does_not_pass_the_ammeter_and_what_parts_with_it_is_said() -> None:
    meter = lamp(
        "m", name="Ammeter", kind="sender", rating=60.0, rating_unit="A", place_uid="helm",
        control="ammeter in the main feed",
    )  # fmt: skip
    pump = lamp("p", name="Bilge pump", service="pump", before_isolator=True)
    needs = [machine(), meter, pump, lamp()]
    plain = proposed(design(needs)).assumed
    parted = proposed(design(needs, isolator_place_uid="battery box")).assumed
    for assumed in (plain, parted):
        assert any("does not show what Bilge pump takes" in each.sentence for each in assumed)
    assert not any("never open the isolator" in each.sentence for each in plain)
    assert any("never open the isolator" in each.sentence for each in parted)
