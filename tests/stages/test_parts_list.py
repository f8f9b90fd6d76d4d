"""The parts list of the priced launch, counted by hand from launch.py and priced.py."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from sqlalchemy.orm import Session

from tests.stages.launch import Launch
from tests.stages.priced import priced_launch
from webapp.stages import catalogue
from webapp.stages.catalogue import Catalogue
from webapp.stages.design import rows
from webapp.stages.design.rows import Design
from webapp.stages.parts_list import PartsList, parts_list


@pytest.fixture
def launch(session: Session) -> Launch:
    return priced_launch(session)


@pytest.fixture
def design(session: Session, launch: Launch) -> Design:
    return rows.load(session, launch.revision_id)


@pytest.fixture
def stores(session: Session, launch: Launch) -> Catalogue:
    return catalogue.read(session)


def quantities(found: PartsList, group: str) -> dict[tuple[str, str], Decimal]:
    return {(use.part.uid, use.colour): use.quantity for use in found.parts if use.group == group}


def sentences(found: PartsList) -> list[str]:
    return [lack.sentence for lack in found.missing]


def with_row(design: Design, table: str, uid: str, **new: Any) -> Design:
    changed = dict(design.table(table))
    changed[uid] = replace(changed[uid], **new)
    return replace(design, **{table: changed})


def test_cable_is_counted_by_part_and_colour(design: Design, stores: Catalogue) -> None:
    # Wire 2: 1800 + 900 mm in two pieces, 50 mm at each of four ends, made up to 10 mm.
    cable = quantities(parts_list(design, stores), "Cable")
    assert cable == {
        ("t-1.5", "GY"): Decimal("2.5"),
        ("t-1.5", "YE"): Decimal("2.5"),
        ("t-1.5", "OG"): Decimal("0.35"),
        ("t-2.5", "RD"): Decimal("0.1"),
        ("t-2.5", "BN/RD"): Decimal("2.9"),
        ("t-2.5", "YE"): Decimal("1.1"),
        ("t-4", "YE"): Decimal("1.9"),
    }


def test_the_customers_own_lead_takes_no_cable(design: Design, stores: Catalogue) -> None:
    cut = with_row(design, "link", "l8", own_lead=False, lengths_mm={"0": 1000})
    own = sum(quantities(parts_list(design, stores), "Cable").values())
    assert sum(quantities(parts_list(cut, stores), "Cable").values()) == own + 1


def test_a_terminal_for_each_end_that_has_one(design: Design, stores: Catalogue) -> None:
    found = quantities(parts_list(design, stores), "Terminals")
    assert {uid: int(quantity) for (uid, _), quantity in found.items()} == {
        "t-ring": 2, "t-tab": 5, "t-pin": 4, "t-butt": 2, "t-cup": 1,
    }  # fmt: skip


def test_heat_shrink_is_cut_longer_and_once_over_a_splice(
    design: Design, stores: Catalogue
) -> None:
    # 14 ends and one splice, 25 mm finished, 5 % shorter once shrunk: 27 mm each.
    found = quantities(parts_list(design, stores), "Heat-shrink")
    assert found == {("t-shrink", ""): Decimal("0.405")}


def test_fittings_of_the_workshop_and_a_plug_pair_once(design: Design, stores: Catalogue) -> None:
    found = quantities(parts_list(design, stores), "Fittings")
    assert {uid: int(quantity) for (uid, _), quantity in found.items()} == {
        "t-holder": 1, "t-plug": 1, "t-splice": 1, "t-switch": 1,
    }  # fmt: skip


def test_a_half_whose_mate_the_customer_has_is_still_a_part(
    design: Design, stores: Catalogue
) -> None:
    for ours, theirs in (("plug", "sock"), ("sock", "plug")):
        half = with_row(design, "fitting", theirs, supplied_by="customer", part_uid=None)
        found = quantities(parts_list(half, stores), "Fittings")
        assert found["t-plug", ""] == 1, ours


def test_one_half_may_name_the_part_of_both(design: Design, stores: Catalogue) -> None:
    for blank in ("plug", "sock"):
        found = parts_list(with_row(design, "fitting", blank, part_uid=None), stores)
        assert quantities(found, "Fittings")["t-plug", ""] == 1
        assert not found.missing


def test_fuse_links_coverings_and_consumables(design: Design, stores: Catalogue) -> None:
    found = parts_list(design, stores)
    assert quantities(found, "Fuse-links") == {("t-fuse", ""): 1}
    assert quantities(found, "Coverings") == {
        ("t-conduit", ""): Decimal("1.8"),
        ("t-sleeve", ""): Decimal("0.9"),
    }
    # Three runs of 1.8, 0.9 and 2.4 m: 12 + 6 + 16 ties; ten wires have twenty ends.
    assert quantities(found, "Consumables") == {
        ("cable-tie", ""): 34,
        ("grommet", ""): 1,
        ("masking-tape", ""): Decimal("5.1"),
        ("wire-tag", ""): 20,
        ("solder", ""): 2,
    }
    assert not found.missing


def test_a_gland_where_the_run_says_so(design: Design, stores: Catalogue) -> None:
    both = with_row(design, "run", "r2", through="grommet and gland")
    found = quantities(parts_list(both, stores), "Consumables")
    assert (found["grommet", ""], found["gland", ""]) == (1, 1)


def test_what_is_priced_is_what_the_bench_does(design: Design, stores: Catalogue) -> None:
    counts = {code: str(count) for code, count in parts_list(design, stores).operations.items()}
    assert counts == {
        "cut": "9", "strip": "17", "crimp": "13", "solder": "2", "shrink": "15", "tug": "15",
        "insert": "15", "splice": "1", "fit_plug": "2", "thread_on": "18", "tag": "20",
        "bind_per_m": "5.1", "cover_per_m": "2.7", "test_per_wire": "10", "pack": "1",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("table", "uid", "new", "sentence", "stops"),
    [
        ("link", "l1", {"cable_part_uid": None}, "Wire 1 has no cable chosen.", True),
        ("link", "l4", {"route": None}, "Wire 4 has no length.", True),
        ("wire_end", "l1:to", {"terminal_part_uid": None},
         "Wire 1 has no terminal at Pump fuse · in.", False),
        ("wire_end", "l1:to", {"shrink_mm": None},
         "Wire 1 at Pump fuse · in: heat-shrink without a length.", False),
        ("fitting", "switch", {"part_uid": None}, "Helm switch at helm has no part chosen.", False),
        ("bridge", "b-fuse", {"fuse_part_uid": None}, "Pump fuse · out has no fuse-link chosen.",
         False),
        ("run", "r1", {"covering_part_uid": None},
         "The run battery box – helm has no size of split conduit chosen.", False),
        ("run", "r3", {"length_mm": None}, "The run helm – bow has no length.", False),
        ("run", "r2", {"through": "hawse pipe"},
         "The run helm – engine bay passes through “hawse pipe”, which nothing in the stores "
         "stands for.", False),
    ],
)  # fmt: skip
def test_what_is_not_chosen_is_named(
    design: Design,
    stores: Catalogue,
    table: str,
    uid: str,
    new: dict[str, Any],
    sentence: str,
    stops: bool,
) -> None:
    lacks = {
        lack.sentence: lack
        for lack in parts_list(with_row(design, table, uid, **new), stores).missing
    }
    assert lacks[sentence].stops is stops


def test_loose_ends_and_splices_need_no_terminal(design: Design, stores: Catalogue) -> None:
    assert not parts_list(design, stores).missing


@pytest.mark.parametrize(
    ("uid", "new", "sentence"),
    [
        ("t-ring", {"price_minor": 0}, "Ring M8 has no price in the stores."),
        ("t-4", {"price_unit": "each"},
         "Vehicle cable 4 is counted in m, but the stores price it by each."),
    ],
)  # fmt: skip
def test_a_part_without_a_usable_price_is_named(
    design: Design, stores: Catalogue, uid: str, new: dict[str, Any], sentence: str
) -> None:
    parts = stores.parts | {uid: replace(stores.parts[uid], **new)}
    assert sentence in sentences(parts_list(design, Catalogue(parts)))


def test_stores_without_tags_say_so(design: Design, stores: Catalogue) -> None:
    few = {uid: part for uid, part in stores.parts.items() if part.kind != "consumable"}
    found = sentences(parts_list(design, Catalogue(few)))
    assert "The stores have no tags: add it there." in found
    assert "The stores have no masking tape: add it there." in found
    assert "The stores have no solder: add it there." in found


def test_what_to_have_is_rounded_up_with_scrap(design: Design, stores: Catalogue) -> None:
    uses = {use.part.uid: use for use in parts_list(design, stores).parts}
    # Two rings × 6 × 1.08 = 12.96; a holder is not scrapped; 1.9 m × 6 × 1.08 = 12.312.
    assert uses["t-ring"].to_have(6, Decimal(8)) == 13
    assert uses["t-holder"].to_have(6, Decimal(8)) == 6
    assert uses["t-4"].to_have(6, Decimal(8)) == Decimal("12.4")


def test_an_empty_design_needs_nothing(session: Session, launch: Launch) -> None:
    design = rows.load(session, launch.revision_id)
    empty = Design(design.nominal_v, design.polarity, design.setting, design.basis)
    found = parts_list(empty, catalogue.read(session))
    assert (found.parts, found.missing, found.operations, found.wire_count) == ((), (), {}, 0)
