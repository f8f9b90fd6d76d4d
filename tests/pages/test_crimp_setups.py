"""The pages of crimp set-ups: tool, die, lots, heights and pulls, as a person fills them in."""

import re
import secrets
from html import unescape

import pytest
from starlette.testclient import TestClient

from tests.pages.bench_client import entry, read, start, with_launch, write
from tests.paper.reading import page_texts
from tests.stages.launch import Launch
from tests.stages.passing import finish, gauge, set_up_crimps, tick_everything
from webapp.records.testing import Reading
from webapp.stages.building import crimp_setups

TAB = "t-tab~2.5"


@pytest.fixture
def launch(client: TestClient) -> Launch:
    return with_launch(client)


@pytest.fixture
def unit_ids(client: TestClient, launch: Launch) -> list[int]:
    return start(client, launch)


@pytest.fixture
def meter(client: TestClient, launch: Launch) -> str:
    with write(client) as session:
        return str(gauge(session))


def values(prefix: str, meter: str, heights: str = "1.55 1.54 1.56", pulls: str = "310 305 298",
           **more: str) -> dict[str, str]:  # fmt: skip
    """What is typed into the six fields; an empty string leaves them."""
    typed = {f"{prefix}height_{n}": value for n, value in enumerate(heights.split(), 1)}
    typed |= {f"{prefix}pull_{n}": value for n, value in enumerate(pulls.split(), 1)}
    typed |= {f"{prefix}instrument_height": meter, f"{prefix}instrument_pull": meter}
    return {"once": secrets.token_hex(16), **typed, **more}


def tool(**more: str) -> dict[str, str]:
    return {"act": "begin", "new-tool": "Tool 3", "new-die": "B", "new-wire_lot": "W-0412",
            "new-terminal_lot": "T-77", **more}  # fmt: skip


def address(unit_id: int, group: str = TAB) -> str:
    return f"/units/{unit_id}/crimp-setups/{group}"


def words(html: str) -> str:
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html)))


def page(client: TestClient, url: str) -> str:
    answer = client.get(url)
    assert answer.status_code == 200
    return words(answer.text)


def ready(client: TestClient, launch: Launch) -> set[str]:
    return read(client, lambda session: crimp_setups.ready_groups(session, launch.loom_id))


def test_the_groups_say_how_each_stands(
    client: TestClient, launch: Launch, unit_ids: list[int]
) -> None:
    shown = page(client, f"/units/{unit_ids[0]}/crimp-setups")
    assert "Tab receptacle 6.3 on 2.5 mm² no set-up yet 0 of 2 crimps made, 0 of 4 in all" in shown
    with write(client) as session:
        set_up_crimps(session, launch, unit_ids[0])
    shown = page(client, f"/units/{unit_ids[1]}/crimp-setups")
    assert "Tab receptacle 6.3 on 2.5 mm² ready" in shown
    assert "tool 3, die B · wire lot W-12, terminal lot T-7 · Ada Marr" in shown


def test_a_set_up_is_entered_in_one_go_and_opens_the_crimp(
    client: TestClient, launch: Launch, unit_ids: list[int], meter: str
) -> None:
    url = address(unit_ids[0])
    shown = page(client, url)
    assert "1.50 to 1.60 mm maker's height 1.55 ± 0.05 mm" in shown
    # UL 486A, AWG 14: 50 lbf = 222.4 N; the table itself is checked in tests/published.
    assert "at least 222.4 N UL 486A pull-out table" in shown
    assert "eye protection on for pull tests" in shown
    answer = client.post(url, data=tool(**values("new-", meter)))
    assert answer.url.path == url
    shown = words(answer.text)
    assert "The tool is set up. 6 readings taken." in shown
    assert "Tool 3, die B ready to crimp" in shown
    assert "wire lot W-0412, terminal lot T-77" in shown
    assert "1.55 mm passed" in shown
    assert ready(client, launch) == {"t-tab|2.5"}


def test_heights_now_and_pulls_later(
    client: TestClient, launch: Launch, unit_ids: list[int], meter: str
) -> None:
    url = address(unit_ids[0])
    client.post(url, data=tool(**values("new-", meter, pulls="")))
    shown = page(client, url)
    assert "First-offs 3 of 6 passed" in shown
    assert "not ready" in shown
    setup = read(client, lambda s: crimp_setups.of_loom(s, launch.loom_id)["t-tab|2.5"].id)
    typed = values("first-off-", meter, heights="", act="first-off")
    client.post(f"{url}?setup={setup}", data=typed)
    assert ready(client, launch) == {"t-tab|2.5"}


def test_the_same_form_sent_twice_is_one_set_up(
    client: TestClient, launch: Launch, unit_ids: list[int], meter: str
) -> None:
    form = tool(**values("new-", meter, heights="1.7 1.55 1.55"))
    for _ in range(2):
        assert client.post(address(unit_ids[0]), data=form).status_code == 200
    kept = read(client, lambda s: len(crimp_setups.history(s, launch.loom_id)))
    readings = read(client, lambda s: s.query(Reading).count())
    assert (kept, readings) == (1, 6)


def test_what_cannot_be_read_stands_beside_its_field_and_keeps_what_was_typed(
    client: TestClient, launch: Launch, unit_ids: list[int], meter: str
) -> None:
    url = address(unit_ids[0])
    form = tool(**values("new-", meter, heights="1.55 l.54 -2", pulls="310 305 1000000"))
    form |= {"new-tool": " ", "new-instrument_pull": ""}
    answer = client.post(url, data=form)
    assert answer.status_code == 422
    for field, sentence in (
        ("new-height_2", "Height 2 must be a number, not “l.54”."),
        ("new-height_3", "Height 3 must be 0 mm or more."),
        ("new-pull_3", "Pull 3 must be 100,000 N or less."),
        ("new-instrument_pull", "The instrument is missing: fill it in."),
        ("new-tool", "Crimp tool is missing: fill it in."),
    ):
        assert f'id="{field}-error">{sentence}' in answer.text
    assert 'value="l.54"' in answer.text
    assert 'value="W-0412"' in answer.text
    assert read(client, lambda s: crimp_setups.history(s, launch.loom_id)) == []


def test_a_value_outside_the_limits_is_kept_and_said(
    client: TestClient, launch: Launch, unit_ids: list[int], meter: str
) -> None:
    url = address(unit_ids[0])
    form = tool(**values("new-", meter, heights="1.55 1.70 1.56"))
    shown = words(client.post(url, data=form).text)
    assert "1 reading outside the limits: kept as failed." in shown
    assert "1.7 mm FAILED" in shown
    assert ready(client, launch) == set()
    assert "a first-off failed" in page(client, f"/units/{unit_ids[0]}/crimp-setups")


def test_where_no_height_is_known_the_person_judges(
    client: TestClient, launch: Launch, unit_ids: list[int], meter: str
) -> None:
    url = address(unit_ids[0], "t-ring~2.5")
    form = tool(**values("new-", meter))
    answer = client.post(url, data=form)
    assert answer.status_code == 422
    assert 'id="new-height_1-error">Say whether it passes or fails.' in answer.text
    form |= {f"new-height_{n}_verdict": "pass" for n in (1, 2, 3)}
    assert client.post(url, data=form).status_code == 200
    assert ready(client, launch) == {"t-ring|2.5"}


def test_a_changed_tool_begins_anew_with_what_stood_there(
    client: TestClient, launch: Launch, unit_ids: list[int], meter: str
) -> None:
    url = address(unit_ids[0])
    client.post(url, data=tool(**values("new-", meter)))
    shown = client.get(url).text
    assert 'name="new-tool" type="text" class="l" value="Tool 3"' in shown
    assert 'name="new-wire_lot" type="text" class="l" value="W-0412"' in shown
    changed = tool(once=secrets.token_hex(16)) | {"new-die": "C"}
    assert client.post(url, data=changed).status_code == 200
    shown = page(client, url)
    assert "Tool 3, die C not ready" in shown
    assert "Tool 3, die B nothing crimped with it" in shown
    assert ready(client, launch) == set()


def test_of_two_who_set_the_same_tool_up_the_second_is_told(
    client: TestClient, launch: Launch, unit_ids: list[int], meter: str
) -> None:
    url = address(unit_ids[0])
    client.post(url, data=tool(**values("new-", meter, **{"new-seen": "0"})))
    second = tool(**values("new-", meter, **{"new-seen": "0"})) | {"new-tool": "Tool 9"}
    answer = client.post(url, data=second)
    assert answer.status_code == 422
    assert "Ada Marr set up Tool 3, die B meanwhile." in answer.text
    assert 'value="Tool 9"' in answer.text
    assert ready(client, launch) == {"t-tab|2.5"}
    assert client.post(url, data=second | {"new-seen": "1"}).status_code == 200
    assert ready(client, launch) == {"t-tab|2.5"}
    found = read(client, lambda s: crimp_setups.of_loom(s, launch.loom_id)["t-tab|2.5"].tool)
    assert found == "Tool 9"


def test_the_last_crimps_are_asked_once_something_is_crimped(
    client: TestClient, launch: Launch, unit_ids: list[int], meter: str
) -> None:
    first, second = unit_ids
    with write(client) as session:
        tick_everything(session, launch, first)
        tick_everything(session, launch, second)
    shown = client.get(f"/units/{second}/build").text
    assert "measure three heights and three pulls at the last" in shown
    assert f"/units/{second}/crimp-setups/t-tab~2.5" in shown
    refused = client.post(f"/units/{second}/build", data={"act": "pass"})
    assert refused.status_code == 422
    url = address(second)
    setup = read(client, lambda s: crimp_setups.of_loom(s, launch.loom_id)["t-tab|2.5"].id)
    replaced = client.post(url, data=tool(once=secrets.token_hex(16)))
    assert "measure its last crimps first" in replaced.text
    typed = values("last-off-", meter, pulls="310 20 300", act="last-off")
    client.post(f"{url}?setup={setup}", data=typed)
    shown = page(client, url)
    assert "failed at the last: do not crimp" in shown
    assert "Unit 26-001-01 : Wire 1, right end; Wire 2A, left end" in shown
    again = values("last-off-", meter, act="last-off")
    refused = client.post(f"{url}?setup={setup}", data=again)
    assert 'id="last-off-note-error">A last crimp failed before' in refused.text
    waive = {"act": "waive", "once": secrets.token_hex(16), "waive-reason": ""}
    assert client.post(f"{url}?setup={setup}", data=waive).status_code == 422
    waive["waive-reason"] = "all four pulled by hand and measured"
    assert client.post(f"{url}?setup={setup}", data=waive).status_code == 200
    assert "all four pulled by hand and measured (Ada Marr" in page(client, url)


def test_a_stranger_is_not_there(client: TestClient, unit_ids: list[int]) -> None:
    for group in ("t-tab~16", "t-cup~1.5", "nonsense", "a~b"):
        assert client.get(address(unit_ids[0], group)).status_code == 404
        assert client.post(address(unit_ids[0], group), data=tool()).status_code == 404
    assert client.get(f"{address(unit_ids[0])}?setup=99").status_code == 404
    assert client.get("/units/99/crimp-setups").status_code == 404
    strange = client.post(address(unit_ids[0]), data={"act": "conjure"})
    assert strange.status_code == 422


def test_the_tests_lead_to_the_set_ups(
    client: TestClient, launch: Launch, unit_ids: list[int], meter: str
) -> None:
    shown = client.get(f"/units/{unit_ids[0]}/test?part=first-off").text
    assert f"/units/{unit_ids[0]}/crimp-setups/t-tab~2.5" in shown
    assert 'name="rows-0-value"' not in shown
    client.post(address(unit_ids[0]), data=tool(**values("new-", meter)))
    shown = page(client, f"/units/{unit_ids[1]}/test?part=first-off")
    assert "passed: 1.55 mm" in shown


def test_lots_are_found_again(
    client: TestClient, launch: Launch, unit_ids: list[int], meter: str
) -> None:
    url = address(unit_ids[0])
    client.post(url, data=tool(**values("new-", meter)))
    steps = ("l1.0:cut", "l1:to:thread", "l1:to:strip", "l1:to:crimp")
    client.post(f"/units/{unit_ids[1]}/ticks", json={"ticks": [entry(uid) for uid in steps]})
    for lot in ("W-0412", "t-77"):
        shown = page(client, f"/search?q={lot}")
        assert "Crimp set-ups" in shown
        assert "26-001-02 Tab receptacle" in shown
        assert "26-001-01 Tab receptacle" not in shown
        assert "on 2.5 mm²: Tool 3, die B, wire lot W-0412, terminal lot T-77 (1 crimp)" in shown


def test_a_tool_that_fails_later_is_said_of_the_units_that_are_done(
    client: TestClient, launch: Launch, unit_ids: list[int], meter: str
) -> None:
    first, second = unit_ids
    with write(client) as session:
        finish(session, launch, first)
        tick_everything(session, launch, second)
    shown = page(client, f"/units/{first}/done")
    assert "Since then" not in shown
    setup = read(client, lambda s: crimp_setups.of_loom(s, launch.loom_id)["t-tab|2.5"].id)
    typed = values("last-off-", meter, heights="1.55 1.55 1.90", act="last-off")
    client.post(f"{address(second)}?setup={setup}", data=typed)
    shown = page(client, f"/units/{first}/done")
    assert "Since then: Tab receptacle 6.3 on 2.5 mm²: a crimp measured at the last" in shown
    assert "unit 26-001-01 (Wire 1, right end, Wire 2A, left end)" in shown
    for paper in ("certificate", "test-sheet"):
        printed = "\n".join(page_texts(client.get(f"/units/{first}/papers/{paper}.pdf").content))
        assert "FAILED" in printed
        assert re.search(r"W-\s*12", printed)
