"""The calculators' pages: shareable addresses, answers with reasons, errors beside their field."""

import math
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote, urlencode

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from webapp.app import create_app
from webapp.pages.calculators.routes import CALCULATORS
from webapp.settings import Settings


@pytest.fixture(scope="module")
def pages(migrated_db: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """The application, set up once: the calculators write nothing."""
    own = Settings(data_dir=tmp_path_factory.mktemp("calculators"))
    shutil.copyfile(migrated_db, own.database_path)
    workshop = {"name": "Tern Lane Looms", "currency": "£", "person_name": "Ada", "initials": "AQ"}
    app = create_app(own)
    with TestClient(app, "http://127.0.0.1:8000") as client:
        assert client.post("/first-run", data=workshop).url.path == "/jobs"
        yield client
    app.state.engine.dispose()


def ask(pages: TestClient, slug: str, **fields: object) -> str:
    answer = pages.get(f"/calculators/{slug}?{urlencode(fields)}")
    assert answer.status_code == 200, re.findall(r'class="error"[^>]*>([^<]*)', answer.text)
    return answer.text


def says(page: str) -> str:
    found = re.search(r'<p class="says"[^>]*>([^<]*)</p>', page)
    assert found
    return found.group(1)


def errors(pages: TestClient, slug: str, **fields: object) -> dict[str, str]:
    """The errors by field of a form that is refused, each beside its field and in the summary."""
    answer = pages.get(f"/calculators/{slug}?{urlencode(fields)}")
    assert answer.status_code == 422
    assert 'class="says"' not in answer.text
    assert "<title>Mend: " in answer.text
    beside = re.findall(r'<p class="error" id="([a-z_]+)-error">([^<]*)</p>', answer.text)
    above = re.findall(r'<li><a href="#([a-z_]+)">([^<]*)</a></li>', answer.text)
    assert sorted(beside) == sorted(above)
    return dict(beside)


def test_the_list_leads_to_every_calculator(pages: TestClient) -> None:
    page = pages.get("/calculators").text
    for slug, calculator in CALCULATORS.items():
        assert f'<a href="/calculators/{slug}">{calculator.title}</a>' in page
    assert 'href="/calculators" aria-current="page"' in page
    assert pages.get("/calculators/slide-rule").status_code == 404


@pytest.mark.parametrize("slug", CALCULATORS)
def test_each_opens_with_an_answer_and_its_reasons(pages: TestClient, slug: str) -> None:
    page = ask(pages, slug)
    assert says(page)
    assert "Source: " in page
    assert " style=" not in page
    assert "<script>" not in page
    assert '<form action="/calculators/' in page
    labelled = set(re.findall(r'<label for="([a-z_]+)"', page)) - {"search", "who"}
    assert labelled == set(CALCULATORS[slug].defaults)


@pytest.mark.parametrize("slug", CALCULATORS)
def test_the_address_holds_the_whole_form(pages: TestClient, slug: str) -> None:
    whole = pages.get(f"/calculators/{slug}?{urlencode(CALCULATORS[slug].defaults)}").text
    assert says(whole) == says(ask(pages, slug))


def test_wire_size_by_drop_and_by_fuse_link(pages: TestClient) -> None:
    # 5 A over 12 m may lose 0.36 V: at most 6 mΩ/m, so 4 mm² (ISO 6722-1, from memory: 4.71).
    page = ask(pages, "wire-size", load_a=5, max_drop_percent=3)
    assert says(page) == "Take 4 mm²."
    behind = ask(pages, "wire-size", load_a=5, max_drop_percent=50, fuse_rating_a=30)
    assert "40.5 A</b> <small>behind its fuse-link" in behind
    metric, gauge = (
        ask(pages, "wire-size", kind=kind, max_drop_percent=50)
        for kind in ("iec60228-class5", "awg-stranded-tinned")
    )
    assert "mm²." in says(metric)
    assert says(gauge).startswith("Take AWG ")


def test_wire_size_is_never_below_the_heat_balance(pages: TestClient) -> None:
    hard = ask(pages, "wire-size", load_a=20, max_drop_percent=90, bundle_wires=40, covering="tape")
    found = re.search(r"by the table ([0-9.]+) A, by heat balance about ([0-9.]+) A", hard)
    assert found
    assert min(map(float, found.groups())) >= 20


def test_no_wire_is_thick_enough(pages: TestClient) -> None:
    told = errors(pages, "wire-size", load_a=900, length_m=900)
    assert "No size of this cable will do" in told["load_a"]


def test_capacity_shows_heat_balance_and_table_and_takes_the_lower(pages: TestClient) -> None:
    page = ask(pages, "capacity", size="2.5", bundle_wires=7)
    heat, table, lower = (
        float(re.search(rf"<dt>{name}</dt><dd><b>(?:about )?([0-9.]+) A", page).group(1))  # type: ignore[union-attr]
        for name in ("By heat balance", "By the table", "May carry")
    )
    assert lower == min(heat, table)
    assert "insulation stands 105 °C" in page
    assert '<svg xmlns="http://www.w3.org/2000/svg" class="plot"' in page


def test_capacity_of_a_gauge_agrees_with_the_chart(pages: TestClient) -> None:
    # AC 43.13-1B Chg 1 figure 11-4a as read in par 11-68e: AWG 14, 47 A, 50 °C, 200 °C.
    page = ask(
        pages, "capacity", kind="awg-stranded-tinned", size="AWG 14", ambient_c=50, limit_c=200
    )
    found = re.search(r"By heat balance</dt><dd><b>about ([0-9.]+) A", page)
    assert found
    assert float(found.group(1)) == pytest.approx(47, rel=0.05)


def test_too_much_current_is_said(pages: TestClient) -> None:
    page = ask(pages, "capacity", current_a=40)
    assert "is more than 1.5 mm² may carry here" in page
    assert 'class="bad"' in page
    assert "would melt" in ask(pages, "capacity", current_a=900)


def test_voltage_drop_by_hand(pages: TestClient) -> None:
    # 13.3 mΩ/m (IEC 60228:2004 class 5) × 10 m × 10 A = 1.33 V.
    page = ask(
        pages,
        "voltage-drop",
        kind="iec60228-class5",
        size="1.5 mm²",
        current_a=10,
        length_m=5,
        return_length_m=5,
        system_voltage_v=24,
    )
    assert says(page) == "1.5 mm² loses 1.33 V, 5.54 % of 24 V."
    assert "unconfirmed" not in page
    assert "cannot draw this" in ask(pages, "voltage-drop", current_a=200)


def test_fuse_link_shows_gates_and_damage(pages: TestClient) -> None:
    page = ask(pages, "fuse-link")
    assert says(page).endswith(": 10 A.")
    for words in ("opens no later", "opens no sooner", "1.5 mm² reaches 105 °C"):
        assert words in page
    assert "may never clear" in ask(pages, "fuse-link", run_m=90)
    thin = ask(pages, "fuse-link", size="0.35", load_a=20)
    assert "not protected" in thin
    assert "does not stand" in thin


@pytest.mark.parametrize(
    "kind", [kind for kind, _ in CALCULATORS["fuse-link"].choices["fuse_kind"]]
)
def test_every_family_of_fuse_links_is_drawn(pages: TestClient, kind: str) -> None:
    page = ask(pages, "fuse-link", fuse_kind=kind, load_a=20, size="6")
    assert "opens no later" in page
    assert "opens no sooner" in page


def test_bundle_of_seven_equal_wires(pages: TestClient) -> None:
    page = ask(pages, "bundle", wires="7 × 2 mm", tape_mm=0)
    assert says(page) == "The bundle is at least 6 mm thick."
    assert page.count('fill="#c07a3c"') == 7
    assert "Coverings in the stores" in page
    taped = ask(pages, "bundle", wires="7 x 2mm; ", tape_mm=0.25)
    assert re.search(r"Over tape</dt><dd><b>7 mm", taped)
    spliced = ask(pages, "bundle", wires="1 × 2; 1 × 3", splice_mm=5)
    assert re.search(r"At the splice</dt><dd><b>8 mm", spliced)
    mixed = ask(pages, "bundle", wires="2 × 1.5 mm²\nAWG 20\n1 × 6.4")
    assert "4 wires" in mixed


def test_heat_shrink_by_the_standard(pages: TestClient) -> None:
    # AMS-DTL-23053/5 class 1, nominal 1/4 inch: 6.35 to 3.17 mm.
    page = ask(pages, "heat-shrink", passes_over_mm=5, grips_mm=4, covered_length_mm=20)
    assert says(page) == "Take 1/4 in, cut 22 mm long."
    assert says(ask(pages, "heat-shrink", ratio=4, grips_mm=2)).startswith("Take 6 to 1.5 mm")


def test_cut_plan_lists_what_to_cut(pages: TestClient) -> None:
    page = ask(pages, "cut-plan", stock="1 × 2 m; 1 × 1000", cuts="2 × 900\n1 × 0.9 m", keep_mm=0)
    assert says(page) == "Take 2 pieces: 3,000 mm used."
    assert "no plan uses less" in page
    assert "<td>2 × 900</td>" in page


@pytest.mark.parametrize(
    ("slug", "fields", "field", "words"),
    [
        ("wire-size", {"load_a": ""}, "load_a", "missing"),
        ("wire-size", {"load_a": "five"}, "load_a", "must be a number"),
        ("wire-size", {"load_a": "1,500"}, "load_a", "two ways"),
        ("wire-size", {"system_voltage_v": 70}, "system_voltage_v", "licensed for high voltage"),
        ("wire-size", {"standard": "hearsay"}, "standard", "Choose one of"),
        ("wire-size", {"fuse_kind": "nail", "fuse_rating_a": 5}, "fuse_kind", "Choose one of"),
        ("wire-size", {"ambient_c": 120}, "ambient_c", "120 °C"),
        ("capacity", {"size": "1.6 mm²"}, "size", "The table for this cable holds"),
        ("capacity", {"size": "AWG 16"}, "size", "not thinner: 1.5 mm²"),
        ("capacity", {"size": "2/0"}, "size", "comes in mm²"),
        ("capacity", {"size": ""}, "size", "missing"),
        ("capacity", {"size": "thick"}, "size", "must be a number"),
        ("capacity", {"kind": "awg-solid", "size": "1.5 mm²"}, "size", "not thinner: AWG 15"),
        ("capacity", {"kind": "awg-stranded-tinned", "size": "2 mm2"}, "size", "AWG 12 (2.98"),
        ("capacity", {"kind": "awg-solid", "size": "x"}, "size", "gauge"),
        ("capacity", {"kind": "awg-solid", "size": "99"}, "size", "outside"),
        ("capacity", {"kind": "string"}, "kind", "Choose one"),
        ("capacity", {"insulation": "paper"}, "insulation", "Choose one"),
        ("capacity", {"covering": "wool"}, "covering", "Choose one of"),
        ("capacity", {"on_s": 5}, "off_s", "time off"),
        ("capacity", {"bundle_wires": 0}, "bundle_wires", "1 or more"),
        ("capacity", {"outside_diameter_mm": 1}, "outside_diameter_mm", "must be more"),
        ("capacity", {"limit_c": 20}, "ambient_c", "leave nothing"),
        ("voltage-drop", {"length_m": 1001}, "length_m", "1,000 m or less"),
        ("fuse-link", {"load_a": 500}, "load_a", "less than the load"),
        ("fuse-link", {"fuse_kind": "nail"}, "fuse_kind", "Choose one of"),
        ("fuse-link", {"supply_mohm": -1}, "supply_mohm", "0 mΩ or more"),
        ("bundle", {"wires": ""}, "wires", "empty"),
        ("bundle", {"wires": "3 × rope"}, "wires", "Line 1"),
        ("bundle", {"wires": "2 × 2.4\n3 × 1.6 mm²"}, "wires", "Line 2"),
        ("bundle", {"wires": "201 × 2.4"}, "wires", "At most 200"),
        ("bundle", {"wires": "1 × 0"}, "wires", "0.001"),
        ("bundle", {"kind": "string", "wires": "1 × 2 mm²"}, "wires", "Choose one of"),
        ("bundle", {"tape_mm": 9}, "tape_mm", "5 mm or less"),
        ("heat-shrink", {"grips_mm": 1}, "grips_mm", "take one that shrinks more"),
        ("heat-shrink", {"ratio": 7}, "ratio", "2, 3, 4"),
        ("cut-plan", {"cuts": "0 × 500"}, "cuts", "count"),
        ("cut-plan", {"cuts": "1 × 0"}, "cuts", "at least 1 mm"),
        ("cut-plan", {"cuts": "6000 × 5"}, "cuts", "5000"),
        ("cut-plan", {"cuts": "1 × 30 m", "stock": "1 × 20 m"}, "cuts", "longer than any stock"),
        ("cut-plan", {"stock": "2 × 1.0005 m"}, "stock", "whole millimetres"),
        ("cut-plan", {"cuts": "9 × 900", "stock": "1 × 1000"}, "stock", "does not hold"),
        ("cut-plan", {"keep_mm": "much"}, "keep_mm", "must be a number"),
    ],
)
def test_what_is_wrong_stands_beside_its_field(
    pages: TestClient, slug: str, fields: dict[str, object], field: str, words: str
) -> None:
    told = errors(pages, slug, **fields)
    assert words in told[field]
    assert list(told) == [field]


def test_what_was_typed_stays(pages: TestClient) -> None:
    page = pages.get("/calculators/capacity?size=thick&current_a=12.5").text
    assert 'value="thick"' in page
    assert 'value="12.5"' in page


def test_what_was_typed_is_shown_as_text(pages: TestClient) -> None:
    page = pages.get("/calculators/bundle?wires=" + quote("<b>x</b>")).text
    assert "<b>x</b>" not in page
    assert "&lt;b&gt;x" in page


TYPED = st.text(max_size=12) | st.sampled_from(
    ["", "0", "-1", "1e9", "NaN", "inf", "AWG 0000", "2/0", "1 × 1", "3 × 1.5 mm²", "٣", "9" * 40]
)


@given(data=st.data())
@settings(max_examples=150, deadline=None)
def test_nothing_typed_brings_a_page_down(pages: TestClient, data: st.DataObject) -> None:
    slug = data.draw(st.sampled_from(sorted(CALCULATORS)))
    names = sorted(CALCULATORS[slug].defaults)
    fields = data.draw(st.dictionaries(st.sampled_from(names), TYPED, min_size=1))
    answer = pages.get(f"/calculators/{slug}?{urlencode(fields, errors='replace')}")
    assert answer.status_code == (422 if 'class="summary"' in answer.text else 200)


def test_reasons_open_to_formula_inputs_and_source(pages: TestClient) -> None:
    page = ask(pages, "voltage-drop")
    why = page[page.index("5 A through 12 m") :]
    assert "current a × (length m + return length m) × resistance mΩ per m ÷ 1000" in why
    assert "length m <b>6</b>" in why
    assert "Source: Ohm&#39;s law." in why
    assert "<mark>unconfirmed</mark>" in page


def test_cautions_stand_where_work_can_hurt(pages: TestClient) -> None:
    assert "starts fires" in ask(pages, "wire-size")
    assert "Hot air" in ask(pages, "heat-shrink")
    assert "eye protection" in ask(pages, "cut-plan")
    assert 'class="caution"' not in ask(pages, "bundle")


def test_packed_circles_are_drawn_to_scale(pages: TestClient) -> None:
    page = ask(pages, "bundle", wires="1 × 4 mm; 1 × 2 mm")
    drawing = page[page.index('class="bundle"') :]
    radii = [float(each) for each in re.findall(r'<circle [^>]*r="([0-9.]+)"', drawing)]
    around, large, _copper, small, _ = radii[:5]
    assert around == pytest.approx(102, abs=0.01)
    assert math.isclose(large + 0.6, 102 * 4 / 6, abs_tol=0.02)
    assert math.isclose(small + 0.6, 102 * 2 / 6, abs_tol=0.02)
