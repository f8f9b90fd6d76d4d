"""The Method page through the whole application."""

import re
from html import unescape

import pytest
from starlette.testclient import TestClient

from webapp.pages import method as page
from webapp.stages import method
from webapp.stages.design.findings import SUBJECTS


@pytest.fixture
def shown(office: TestClient) -> str:
    answer = office.get("/method")
    assert answer.status_code == 200
    return answer.text


def section(text: str, slug: str) -> str:
    found = re.search(rf'<section class="held" id="{slug}".*?</section>', text, re.S)
    assert found, slug
    return found.group()


def test_it_stands_in_the_top_bar(shown: str) -> None:
    assert '<a href="/method" aria-current="page">Method</a>' in shown


def test_every_table_has_its_line_at_the_top_and_all_its_rows(shown: str) -> None:
    for chapter in method.chapters():
        assert f"<h2>{chapter.title}</h2>" in shown
        for subject in chapter.subjects:
            assert shown.count(f'href="#{subject.slug}"') == 1
            part = section(shown, subject.slug)
            assert part.count('<th scope="row">') == len(subject.rows)
            assert part.count("<li>") == len(subject.sources)


def test_the_drop_that_the_circular_misprints_is_shown_as_far_off(shown: str) -> None:
    part = section(shown, "drop")
    row = next(each for each in part.split("<tr")[1:] if "11-8 0.5 V" in each)
    assert 'class="beyond"' in row
    cells = re.findall(r'<td class="n">([^<]*)</td>', row)
    assert cells == ["0.366", "0.4914", "+0.125", "+34.3"]
    assert "2, read" in row
    assert "printed .366 is an error in the circular" in row


def test_remembered_rows_say_so(shown: str) -> None:
    assert section(shown, "vehicle-30").count("from memory") == 13
    assert section(shown, "small-craft").count(", read</td>") == 72


def test_single_wires_and_bundles_are_drawn(shown: str) -> None:
    chart = section(shown, "free-air")
    assert chart.count("<circle") == 5
    assert "computed against published current</title>" in chart
    bundle = section(shown, "bundle")
    assert bundle.count("<circle") == sum(len(each.published) for each in method.bundle_curves())
    assert "80 % loaded</text>" in bundle
    assert "<svg" not in section(shown, "resistance")


def test_nothing_is_styled_in_place(shown: str) -> None:
    assert not re.search(r"\sstyle=|<script>", shown)


def test_the_circles_come_after_the_page(office: TestClient) -> None:
    method.circles.cache_clear()
    waiting = section(office.get("/method").text, "circles")
    assert 'data-hx-get="/method/circles"' in waiting
    assert '<a href="/method/circles">' in waiting
    part = office.get("/method/circles", headers={"HX-Request-Type": "partial"}).text
    assert part.strip().startswith('<section class="held" id="circles">')
    assert part.count('<th scope="row">') == len(method.circles().rows)
    whole = office.get("/method/circles").text
    assert "<h1>Equal circles" in whole
    assert section(whole, "circles") == section(office.get("/method").text, "circles")


def test_calculators_lead_to_it(office: TestClient) -> None:
    assert '<a href="/method">Method</a>.' in office.get("/calculators/capacity").text


@pytest.mark.parametrize(
    ("value", "written"),
    [(0, "0"), (3.14159, "+3.1"), (-114.4, "−114"), (1e-6, "0"), (-0.0364, "−0.036")],
)
def test_signed_figures(value: float, written: str) -> None:
    assert page.signed(value) == written


def test_the_sentence_above_a_table() -> None:
    by_slug = {each.slug: each for chapter in method.chapters() for each in chapter.subjects}
    said = page.summary(by_slug["resistance"])
    assert said == "37 values, all of them read; no difference."
    said = page.summary(by_slug["lamp-cable"]).replace("\u00a0", " ")
    assert said.startswith("18 values, all of them read: root mean square 17 %, worst −28 % (AWG")
    assert said.endswith("% within 15 %; on the whole ours lies 16 % below.")


def test_every_rule_of_the_findings_is_listed_with_threshold_and_source(shown: str) -> None:
    table = unescape(shown[shown.index('id="findings"') :])
    for title, rules in SUBJECTS:
        assert title in table
        for rule in rules:
            row = table[table.index(f'<th scope="row">{rule.name.capitalize()}</th>') :]
            row = row[: row.index("</tr>")]
            assert rule.threshold in row
            assert rule.source in row
