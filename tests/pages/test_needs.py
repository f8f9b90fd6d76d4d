import json

import pytest
from sqlalchemy import select
from starlette.testclient import TestClient

from tests.pages.launch import begin, day_launch_loom, sent, words
from tests.pages.reading import errors, fields
from webapp.database import writing
from webapp.records.jobs import Loom
from webapp.stages.design import entry, revisions

HORN = {
    "needs-0-name": "Horn",
    "needs-0-place": "foredeck",
    "needs-0-kind": "motor",
    "needs-0-rating": "4",
    "needs-0-rating_unit": "A",
    "needs-0-control": "Push Button",
    "needs-0-control_place": "helm",
}
# A list shows none of its choices where what was sent is none of them.
LISTS = ("kind", "unit", "service", "colour_code", "live_when", "laid_as", "fuse_sharing")
RUN = {"runs-0-from_place": "helm", "runs-0-to_place": "foredeck", "runs-0-length_mm": "2.4 m"}


@pytest.fixture
def loom(office: TestClient) -> str:
    return begin(office)


@pytest.fixture(params=[{}, {"HX-Request-Type": "partial"}], ids=["page", "fragment"])
def asked(office: TestClient, request: pytest.FixtureRequest) -> None:
    """However a script or a person asks, the answer is the same page."""
    office.headers.update(request.param)


def opened(client: TestClient, loom: str) -> dict[str, str]:
    return sent(client.get(f"{loom}/needs"))


@pytest.mark.usefixtures("asked")
def test_an_empty_page_says_what_to_do_first(office: TestClient, loom: str) -> None:
    page = office.get(f"{loom}/needs")
    assert page.status_code == 200
    assert "Begin with the needs" in page.text
    assert opened(office, loom)["basis-heat_at_v"] == "14.4"


@pytest.mark.usefixtures("asked")
def test_rows_are_saved_together_and_said(office: TestClient, loom: str) -> None:
    data = opened(office, loom) | HORN | RUN | {"needs-0-place": "FOREDECK "}
    page = office.post(f"{loom}/needs", data=data)
    assert "Needs: 1 added; runs: 1 added; places: 2 added." in words(page)
    again = sent(page)
    assert again["runs-0-length_mm"] == "2400"
    assert again["needs-0-place"] == "foredeck"
    assert again["needs-0-control"] == "push button"
    assert again["needs-0-rated_at_v"] == "12"
    assert again["needs-0-service"] == "horn"
    assert {again[f"places-{n}-name"] for n in (0, 1)} == {"helm", "foredeck"}


def test_saving_without_a_change_says_so(office: TestClient, loom: str) -> None:
    office.post(f"{loom}/needs", data=opened(office, loom) | HORN)
    page = office.post(f"{loom}/needs", data=opened(office, loom))
    assert "Nothing was changed." in page.text


@pytest.mark.parametrize(
    ("wrong", "field", "says"),
    [
        ({"needs-0-rating": "four"}, "needs-0-rating", "must be a number"),
        ({"needs-0-rating": "0"}, "needs-0-rating", "more than 0"),
        ({"needs-0-rating": "nan"}, "needs-0-rating", "must be a number"),
        ({"needs-0-rating": "1,5"}, "needs-0-rating", "comma"),
        ({"needs-0-rating": ""}, "needs-0-rating", "missing"),
        ({"needs-0-name": ""}, "needs-0-name", "missing"),
        ({"needs-0-place": ""}, "needs-0-place", "missing"),
        ({"needs-0-kind": "rocket"}, "needs-0-kind", "choose one"),
        ({"needs-0-rating_unit": ""}, "needs-0-rating_unit", "missing"),
        ({"needs-0-quantity": "0"}, "needs-0-quantity", "1 or more"),
        ({"needs-0-quantity": "101"}, "needs-0-quantity", "100 or less"),
        ({"needs-0-rated_at_v": "61"}, "needs-0-rated_at_v", "61 V is refused"),
        ({"needs-0-max_drop_percent": "0.05"}, "needs-0-max_drop_percent", "0.1"),
        ({"needs-0-max_drop_percent": "51"}, "needs-0-max_drop_percent", "50"),
        ({"needs-0-duty": "often"}, "needs-0-duty", "continuous"),
        ({"needs-0-inrush_a": "9"}, "needs-0-inrush_s", "Inrush needs both"),
        ({"needs-0-max_fuse_a": "-1"}, "needs-0-max_fuse_a", "or more"),
        ({"needs-0-service": "magic"}, "needs-0-service", "choose one"),
        ({"needs-0-live_when": "tomorrow"}, "needs-0-live_when", "choose one"),
        ({"needs-0-laid_as": "rope"}, "needs-0-laid_as", "choose one"),
        ({"needs-0-feeds": "5"}, "needs-0-feeds", "4 or less"),
        ({"needs-0-extra_sizes": "6"}, "needs-0-extra_sizes", "5 or less"),
        ({"needs-0-apart_from": "Anchor"}, "needs-0-apart_from", "No need is called"),
        ({"needs-0-apart_from": "Horn"}, "needs-0-apart_from", "the need itself"),
        ({"needs-0-control": "two-way switches"}, "needs-0-second_place", "other switch sits"),
        (
            {"needs-0-control": "key switch start", "needs-0-live_when": "ignition"},
            "needs-0-live_when",
            "said by the control already",
        ),
        ({"basis-fuse_sharing": "all"}, "basis-fuse_sharing", "choose one"),
        ({"needs-0-name": "Airbag"}, "needs-0-name", "Restraint circuits"),
        ({"needs-0-name": "x" * 61}, "needs-0-name", "60 fit"),
        ({"runs-0-length_mm": "0"}, "runs-0-length_mm", "1 mm or more"),
        ({"runs-0-length_mm": "1000001"}, "runs-0-length_mm", "1,000,000 mm or less"),
        ({"runs-0-length_mm": "2.4567 m"}, "runs-0-length_mm", "whole millimetres"),
        ({"runs-0-to_place": "HELM"}, "runs-0-to_place", "Both ends are the same"),
        ({"runs-0-to_place": ""}, "runs-0-to_place", "missing"),
        ({"runs-0-covering": "velvet"}, "runs-0-covering", "No covering “velvet”"),
        ({"runs-0-surround_c": "200"}, "runs-0-surround_c", "150"),
        ({"basis-heat_at_v": ""}, "basis-heat_at_v", "missing"),
        ({"basis-drop_at_v": "20"}, "basis-drop_at_v", "cannot be above"),
        ({"basis-limit_c": "20"}, "basis-limit_c", "60"),
        ({"basis-colour_code": "rainbow"}, "basis-colour_code", "choose one"),
    ],
)
def test_a_mistake_stands_beside_its_field(
    office: TestClient, loom: str, wrong: dict[str, str], field: str, says: str
) -> None:
    before = opened(office, loom)
    page = office.post(f"{loom}/needs", data=before | HORN | RUN | wrong)
    assert page.status_code == 422
    assert list(errors(page)) == [field]
    assert says in errors(page)[field]
    typed = fields(page)
    kept = HORN | RUN | wrong
    free = {name for name in kept if name.endswith(LISTS)}
    assert {name: typed[name] for name in kept.keys() - free} == {
        name: kept[name] for name in kept.keys() - free
    }
    assert opened(office, loom) | {"once": ""} == before | {"once": ""}


def test_an_error_in_the_second_line_opens_it(office: TestClient, loom: str) -> None:
    data = opened(office, loom) | HORN | {"needs-0-duty": "often"}
    assert "<details open>" in office.post(f"{loom}/needs", data=data).text


@pytest.mark.usefixtures("asked")
def test_two_people_merge_or_see_both_values(office: TestClient, loom: str) -> None:
    office.post(f"{loom}/needs", data=opened(office, loom) | HORN)
    mine, theirs = opened(office, loom), opened(office, loom)
    office.post(f"{loom}/needs", data=theirs | {"needs-0-rating": "5", "needs-0-note": "loud"})
    changed = {"needs-0-rating": "6", "needs-0-quantity": "2"}
    page = office.post(f"{loom}/needs", data=mine | changed)
    assert page.status_code == 409
    assert list(errors(page)) == ["needs-0-rating"]
    assert "set this to 5" in errors(page)["needs-0-rating"]
    again = sent(page)
    assert again["needs-0-rating"] == "6"
    assert again["needs-0-quantity"] == "2"
    assert again["needs-0-note"] == "loud"
    assert office.post(f"{loom}/needs", data=again).status_code == 200
    now = opened(office, loom)
    assert [now[f"needs-0-{name}"] for name in ("rating", "quantity", "note")] == ["6", "2", "loud"]


def test_a_row_taken_out_meanwhile_can_be_put_back(office: TestClient, loom: str) -> None:
    office.post(f"{loom}/needs", data=opened(office, loom) | HORN)
    mine = opened(office, loom)
    without = {k: v for k, v in opened(office, loom).items() if not k.startswith("needs-0-")}
    assert office.post(f"{loom}/needs", data=without).status_code == 200
    page = office.post(f"{loom}/needs", data=mine | {"needs-0-rating": "6"})
    assert page.status_code == 409
    assert "taken this need out" in errors(page)["needs-0-name"]
    office.post(f"{loom}/needs", data=sent(page))
    assert opened(office, loom)["needs-0-rating"] == "6"


def test_a_place_in_use_comes_back_with_the_reason(office: TestClient, loom: str) -> None:
    office.post(f"{loom}/needs", data=opened(office, loom) | HORN)
    before = opened(office, loom)
    without = {k: v for k, v in before.items() if not k.startswith("places-0-")}
    page = office.post(f"{loom}/needs", data=without)
    assert page.status_code == 422
    assert "the need Horn uses it" in errors(page)["places-table"]
    names = {value for name, value in sent(page).items() if name.startswith("places-") and value}
    assert {"helm", "foredeck"} <= names


def test_an_emptied_row_is_taken_out_without_scripts(office: TestClient, loom: str) -> None:
    office.post(f"{loom}/needs", data=opened(office, loom) | HORN)
    data = {k: "" if k.startswith("needs-0-") and not k.endswith("-id") else v
            for k, v in opened(office, loom).items()}  # fmt: skip
    page = office.post(f"{loom}/needs", data=data)
    assert "Needs: 1 taken out." in words(page)


def test_what_a_need_asks_for_besides_is_kept(office: TestClient, loom: str) -> None:
    bell = {name.replace("-0-", "-1-"): value for name, value in HORN.items()}
    lamp = {name.replace("-0-", "-2-"): value for name, value in HORN.items()}
    asked = {
        "needs-2-control": "diode fed",
        "needs-2-switched_with": "Horn",
        "needs-2-also_with": "Bell",
        "needs-2-apart_from": "Bell",
        "needs-2-relay_place": "locker",
        "needs-2-live_when": "accessory",
        "needs-2-laid_as": "twisted pair",
        "needs-2-feeds": "2",
        "needs-2-extra_sizes": "1",
        "basis-fuse_sharing": "by place",
    }
    data = opened(office, loom) | HORN | bell | lamp
    named = {"needs-1-name": "Bell", "needs-2-name": "Lamp"}
    page = office.post(f"{loom}/needs", data=data | named | asked)
    assert asked.items() <= sent(page).items()
    assert "lit also with Bell · apart from Bell · relay at locker" in words(page)


def test_a_need_or_place_that_others_name_cannot_be_taken_out(
    office: TestClient, loom: str
) -> None:
    bell = {name.replace("-0-", "-1-"): value for name, value in HORN.items()}
    named = {
        "needs-1-name": "Bell", "needs-1-apart_from": "Horn", "needs-1-relay_place": "locker",
    }  # fmt: skip
    office.post(f"{loom}/needs", data=opened(office, loom) | HORN | bell | named)
    whole = opened(office, loom)
    without = {name: "" if name.startswith("needs-0-") else value for name, value in whole.items()}
    assert "must not fail together with it" in words(office.post(f"{loom}/needs", data=without))
    locker = next(name for name, value in whole.items() if value == "locker" and "places" in name)
    row = locker.removesuffix("name")
    without = {name: "" if name.startswith(row) else value for name, value in whole.items()}
    assert "the need Bell" in words(office.post(f"{loom}/needs", data=without))


def test_an_unknown_control_is_kept_and_said(office: TestClient, loom: str) -> None:
    data = opened(office, loom) | HORN | {"needs-0-control": "mercury tilt switch"}
    page = office.post(f"{loom}/needs", data=data)
    assert "does not know the control “mercury tilt switch” yet" in words(page)


def test_seen_values_that_are_no_values_are_refused(office: TestClient, loom: str) -> None:
    for seen in ("[", "[]", '{"a": 1}'):
        data = opened(office, loom) | {"needs-seen": seen}
        assert office.post(f"{loom}/needs", data=data).status_code == 422


def test_saving_can_lead_on_to_the_proposal(office: TestClient, loom: str) -> None:
    data = opened(office, loom) | HORN | {"then": "propose"}
    answer = office.post(f"{loom}/needs", data=data, follow_redirects=False)
    assert answer.headers["location"] == f"{loom}/proposal"
    assert opened(office, loom)["needs-0-name"] == "Horn"


def test_figures_are_kept_to_the_last_place(office: TestClient, loom: str) -> None:
    with writing(office.app.state.engine) as session:  # type: ignore[attr-defined]
        sheet = {"basis": entry.TypedTable((entry.TypedRow("basis", {"ambient_c": 30.123456789}),))}
        entry.save(session, 1, sheet, None)
    assert "Nothing was changed." in office.post(f"{loom}/needs", data=opened(office, loom)).text
    seen = json.loads(opened(office, loom)["basis-seen"])
    assert seen["basis"]["ambient_c"] == 30.123456789


@pytest.mark.usefixtures("asked")
def test_undo_and_redo_say_what_they_take_back(office: TestClient, loom: str) -> None:
    office.post(f"{loom}/needs", data=opened(office, loom) | HORN)
    assert 'aria-label="Undo: Needs: 1 added; places: 2 added"' in office.get(f"{loom}/needs").text
    sentence = {"sentence": "Needs: 1 added; places: 2 added", "next": f"{loom}/needs"}
    page = office.post(f"{loom}/undo", data=sentence)
    assert "Taken back: Needs: 1 added" in page.text
    assert "needs-0-id" in sent(page)
    assert sent(page)["needs-0-name"] == ""
    page = office.post(f"{loom}/redo", data=sentence)
    assert sent(page)["needs-0-name"] == "Horn"


def test_undo_of_something_else_is_refused(office: TestClient, loom: str) -> None:
    office.post(f"{loom}/needs", data=opened(office, loom) | HORN)
    answer = office.post(f"{loom}/undo", data={"sentence": "Something older"})
    assert answer.status_code == 409
    assert "Needs: 1 added" in answer.text
    assert office.post(f"{loom}/redo", data={}).status_code == 409
    assert opened(office, loom)["needs-0-name"] == "Horn"


def test_a_signed_off_design_says_that_an_edit_begins_the_next(
    office: TestClient, loom: str
) -> None:
    office.post(f"{loom}/needs", data=opened(office, loom) | HORN)
    with writing(office.app.state.engine) as session:  # type: ignore[attr-defined]
        loom_id = session.scalars(select(Loom.id)).one()
        revisions.freeze(session, revisions.latest(session, loom_id).id, 1, {})
    page = office.get(f"{loom}/needs")
    assert "Saving a change here begins the next revision" in page.text
    assert "Undo" not in page.text
    assert office.post(f"{loom}/undo", data={}).status_code == 409
    data = opened(office, loom) | {"needs-0-rating": "5"}
    assert "needs: 1 changed" in words(office.post(f"{loom}/needs", data=data)).lower()


@pytest.mark.parametrize("page", ["needs", "runs", "import", "needs.csv", "runs.csv"])
def test_a_loom_that_is_not_there(office: TestClient, page: str) -> None:
    assert office.get(f"/looms/99/{page}").status_code == 404


def test_writes_to_a_loom_that_is_not_there(office: TestClient) -> None:
    for page in ("needs", "runs", "import", "import/rows", "undo", "redo"):
        assert office.post(f"/looms/99/{page}", data={"what": "needs"}).status_code == 404, page


def test_the_runs_page_draws_the_plan_and_keeps_who_measured(office: TestClient) -> None:
    loom = day_launch_loom(office)
    page = office.get(f"{loom}/runs")
    assert "<svg" in page.text
    assert "battery box to engine bay 900 mm" in page.text
    data = sent(page) | {"runs-0-measured_by": "Ada", "runs-0-covering_part_uid": "split-conduit-8"}
    page = office.post(f"{loom}/runs", data=data)
    assert "Runs: 1 changed." in words(page)
    assert sent(page)["runs-0-measured_by"] == "Ada"
    assert sent(page)["runs-0-covering_part_uid"] == "split-conduit-8"
    # The needs page does not show who measured, and so does not touch it.
    office.post(f"{loom}/needs", data=opened(office, loom) | {"runs-0-length_mm": "950"})
    again = sent(office.get(f"{loom}/runs"))
    assert (again["runs-0-measured_by"], again["runs-0-length_mm"]) == ("Ada", "950")


def test_a_run_says_what_it_passes_and_how_it_is_bent(office: TestClient) -> None:
    loom = day_launch_loom(office)
    passing = {
        "runs-0-through": "gland in the bulkhead",
        "runs-0-through_part_uid": "gland-M20",
        "runs-0-bend_at_mm": "300",
        "runs-0-bend_radius_mm": "45 mm",
    }
    page = office.post(f"{loom}/runs", data=sent(office.get(f"{loom}/runs")) | passing)
    kept = sent(page)
    assert [kept[name] for name in passing] == ["gland in the bulkhead", "gland-M20", "300", "45"]
    wrong = {"runs-0-through_part_uid": "split-conduit-8", "runs-0-bend_radius_mm": "0"}
    page = office.post(f"{loom}/runs", data=kept | wrong)
    assert set(errors(page)) == set(wrong)
    page = office.post(f"{loom}/runs", data=kept | {"runs-0-bend_at_mm": "90000"})
    assert page.status_code == 422
    assert list(errors(page)) == ["runs-0-bend_at_mm"]


def test_the_runs_page_without_runs_and_with_mistakes(office: TestClient) -> None:
    loom = begin(office)
    assert "Begin with the trunk" in office.get(f"{loom}/runs").text
    page = office.post(f"{loom}/runs", data=RUN | {"runs-0-covering_part_uid": "gold"})
    assert page.status_code == 422
    assert list(errors(page)) == ["runs-0-covering_part_uid"]
    office.post(f"{loom}/runs", data=RUN | {"runs-0-length_mm": ""})
    assert "length not measured" in office.get(f"{loom}/runs").text
