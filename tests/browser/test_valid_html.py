"""What every page sends is valid HTML, by the Nu Html Checker: pages, empty ones, refused forms."""

from pathlib import Path

from sqlalchemy.orm import Session
from starlette.testclient import TestClient

from tests.browser.every_page import REFUSED, bare_addresses, demo_addresses, make_bare, make_demo
from tests.browser.nu import complaints
from webapp.app import create_app
from webapp.settings import Settings

HERE = "http://127.0.0.1"


def client_of(settings: Settings) -> TestClient:
    return TestClient(create_app(settings), base_url=HERE, headers={"origin": HERE})


def test_every_page_is_valid_html(tmp_path: Path) -> None:
    demo, bare = Settings(data_dir=tmp_path / "demo"), Settings(data_dir=tmp_path / "bare")
    make_demo(demo)
    make_bare(bare)
    pages: dict[str, str] = {}
    with client_of(demo) as client:
        with Session(client.app.state.engine) as session:  # type: ignore[attr-defined]
            addresses = demo_addresses(session)
        pages |= {address: client.get(address).text for address in addresses}
        for address, typed in REFUSED:
            answer = client.post(address, data={"who": "1", **typed})
            assert answer.status_code == 422, address
            pages[f"{address}, refused"] = answer.text
    with client_of(bare) as client:
        pages |= {f"{at}, nothing on it": client.get(at).text for at in bare_addresses()}
    folder = tmp_path / "pages"
    folder.mkdir()
    assert complaints(pages, folder) == []


def test_the_checker_finds_what_is_wrong(tmp_path: Path) -> None:
    page = '<!doctype html><html lang="en"><title>A page</title><p hx-get="/">Words'
    said = complaints({"/wrong": page}, tmp_path)
    assert len(said) == 1
    assert said[0].startswith("/wrong: Attribute “hx-get” not allowed")
