from starlette.testclient import TestClient

from tests.pages.reading import errors, fields


def add(client: TestClient, **values: str) -> str:
    answer = client.post("/customers/new", data={"name": "Dunlin"} | values)
    assert answer.status_code == 200
    return answer.url.path


def test_a_customer_is_added_shown_and_listed(office: TestClient) -> None:
    assert "No customers yet" in office.get("/customers").text
    here = add(office, address="1 Quay\r\nSaltmarsh", phone="01")
    page = office.get(here)
    assert "1 Quay\nSaltmarsh" in page.text
    assert "No jobs yet" in page.text
    assert f'href="{here}"' in office.get("/customers").text


def test_a_name_is_needed_and_typed_text_kept(office: TestClient) -> None:
    answer = office.post("/customers/new", data={"name": " ", "notes": "one\ntwo"})
    assert answer.status_code == 422
    assert "name" in errors(answer)
    assert fields(answer)["notes"] == "one\ntwo"
    add(office)
    answer = office.post("/customers/new", data={"name": "dunlin"})
    assert errors(answer) == {"name": "There is a customer named dunlin already."}


def test_edits_of_different_fields_merge(office: TestClient) -> None:
    here = add(office, notes="a\r\nb")
    first, second = (fields(office.get(f"{here}/edit")) for _ in range(2))
    office.post(f"{here}/edit", data=first | {"phone": "2"})
    answer = office.post(f"{here}/edit", data=second | {"email": "a@example.org"})
    assert answer.status_code == 200
    now = fields(office.get(f"{here}/edit"))
    assert (now["phone"], now["email"], now["notes"]) == ("2", "a@example.org", "a\nb")


def test_a_clash_shows_both_and_the_choice_is_kept(office: TestClient) -> None:
    here = add(office, phone="1", contact="Joe")
    first, second = (fields(office.get(f"{here}/edit")) for _ in range(2))
    office.post(f"{here}/edit", data=first | {"phone": "2"})
    answer = office.post(f"{here}/edit", data=second | {"phone": "3", "contact": "Jo"})
    assert answer.status_code == 409
    assert "<span>2</span>" in answer.text
    assert "<span>3</span>" in answer.text
    assert fields(office.get(f"{here}/edit"))["contact"] == "Joe"
    shown = fields(answer)
    assert shown["keep-phone"] == "theirs"
    office.post(f"{here}/edit", data=shown)
    now = fields(office.get(f"{here}/edit"))
    assert (now["phone"], now["contact"]) == ("2", "Jo")
    office.post(f"{here}/edit", data=shown | {"keep-phone": "yours"})
    assert fields(office.get(f"{here}/edit"))["phone"] == "3"


def test_a_clash_while_choosing_is_shown_again(office: TestClient) -> None:
    here = add(office, phone="1")
    first, second = (fields(office.get(f"{here}/edit")) for _ in range(2))
    office.post(f"{here}/edit", data=first | {"phone": "2"})
    shown = fields(office.post(f"{here}/edit", data=second | {"phone": "3"}))
    office.post(f"{here}/edit", data=fields(office.get(f"{here}/edit")) | {"phone": "4"})
    answer = office.post(f"{here}/edit", data=shown | {"keep-phone": "yours"})
    assert answer.status_code == 409
    assert "<span>4</span>" in answer.text


def test_a_refused_edit_keeps_what_was_typed(office: TestClient) -> None:
    here = add(office)
    form = fields(office.get(f"{here}/edit"))
    answer = office.post(f"{here}/edit", data=form | {"name": "", "notes": "kept"})
    assert answer.status_code == 422
    assert "name" in errors(answer)
    again = fields(answer)
    assert (again["notes"], again["was-name"]) == ("kept", "Dunlin")
    assert office.post(f"{here}/edit", data=again | {"name": "D"}).status_code == 200


def test_a_customer_who_is_not_there(office: TestClient) -> None:
    assert office.get("/customers/9").status_code == 404
    assert office.get("/customers/x").status_code == 404
    assert office.post("/customers/9/edit", data={"name": "x", "was-name": "x"}).status_code == 404
