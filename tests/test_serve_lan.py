"""`serve --lan`, as a process of its own: what it asks first, where it listens, whom it lets in."""

import fcntl
import os
import pty
import re
import select
import socket
import subprocess
import sys
import termios
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

import httpx
import pytest
import zxingcpp
from PIL import Image
from sqlalchemy import Engine
from sqlalchemy import select as sql_select

from tests.test_launcher import COMMAND, free_port, refused
from webapp import lan, owner_password, serving, welcome
from webapp.database import reading, writing
from webapp.folders import CHECKOUT
from webapp.launcher.command_line import main
from webapp.problems import Problem
from webapp.records.people import Person
from webapp.settings import Settings
from webapp.sqlite import connect
from webapp.stages import people, workshop
from webapp.stages.access import passwords
from webapp.stages.workshop import WorkshopValues

ADDRESS = "127.0.0.2"
PASSWORD = "brass ferrule lamp"
PATIENCE_S = 60


@pytest.fixture
def shop(settings: Settings, engine: Engine) -> Settings:
    """A workshop that is set up, whose owner has no password yet."""
    with writing(engine) as session:
        values = WorkshopValues(name="Tern Lane Looms")
        workshop.set_up(session, values, person_name="Ada Quill", initials="AQ", demo=False)
        people.add(session, name="Jo Sparrow", initials="JS", role="bench")
    engine.dispose()
    return settings


def is_open(address: str, port: int) -> bool:
    with closing(socket.socket()) as probe:
        probe.settimeout(5)
        return probe.connect_ex((address, port)) == 0


# --- a process, and its terminal --------------------------------------------------------------


@dataclass
class Served:
    process: subprocess.Popen[str]
    terminal: int
    port: int
    seen: str = ""

    @property
    def url(self) -> str:
        return f"http://{ADDRESS}:{self.port}"

    def wait_for(self, words: str) -> None:
        """Reads the terminal until `words` stand there."""
        until = time.monotonic() + PATIENCE_S
        while words not in self.seen:
            assert time.monotonic() < until, f"{words!r} did not come: {self.seen!r}"
            if select.select([self.terminal], [], [], 0.2)[0]:
                self.seen += os.read(self.terminal, 4096).decode()

    def answer(self, prompt: str, words: str) -> None:
        self.wait_for(prompt)
        self.seen = self.seen.partition(prompt)[2]
        os.write(self.terminal, f"{words}\n".encode())

    def browser(self, **headers: str) -> httpx.Client:
        return httpx.Client(base_url=self.url, headers={"Origin": self.url, **headers})


def _own_terminal() -> None:
    os.setsid()
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)


@contextmanager
def started(shop: Settings) -> Iterator[Served]:
    """`serve --lan` in a terminal of its own."""
    ours, theirs = pty.openpty()
    port = free_port()
    arguments = ["serve", "--data", str(shop.data_dir), "--port", str(port), "--lan", ADDRESS]
    process = subprocess.Popen(
        [*COMMAND, *arguments],
        cwd=CHECKOUT,
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        text=True,
        preexec_fn=_own_terminal,
    )
    os.close(theirs)
    try:
        yield Served(process, ours, port)
    finally:
        process.kill()
        process.wait()
        os.close(ours)


def test_it_asks_for_a_password_and_then_lets_in_whom_it_should(shop: Settings) -> None:
    with started(shop) as served:
        # Until an owner has a password nobody is answered, at either address.
        served.wait_for("Password for Ada Quill: ")
        assert not is_open(ADDRESS, served.port)
        assert not is_open("127.0.0.1", served.port)
        served.answer("Password for Ada Quill: ", "short")
        served.answer("The same again: ", "short")
        served.wait_for("at least 8 characters")
        served.answer("Password for Ada Quill: ", PASSWORD)
        served.answer("The same again: ", PASSWORD)
        served.wait_for("only for a network that you trust")
        assert PASSWORD not in served.seen
        assert f"Loomwright is at {served.url}/" in served.seen
        assert f"http://127.0.0.1:{served.port}/" in served.seen
        assert "\x1b[97;40m█" in served.seen
        assert "To pair a tablet" in served.seen
        _whom_it_lets_in(served, shop)


def _whom_it_lets_in(served: Served, shop: Settings) -> None:
    here = httpx.get(f"http://127.0.0.1:{served.port}/jobs")
    assert (here.status_code, here.headers["location"]) == (303, "/log-in?next=/jobs")
    assert httpx.get(f"{served.url}/jobs", headers={"Host": "elsewhere.test"}).status_code == 400
    assert httpx.get(f"{served.url}/jobs").status_code == 303

    owner = served.browser()
    entry = {"person": "1", "password": PASSWORD}
    assert owner.post("/log-in", data=entry, headers={"Origin": "http://x.test"}).status_code == 403
    assert httpx.post(f"{served.url}/log-in", data=entry).status_code == 403
    let_in = owner.post("/log-in", data=entry)
    assert let_in.status_code == 303
    flags = let_in.headers.get_list("set-cookie")
    assert any(re.match(r"log-in=.*HttpOnly; SameSite=Strict$", each) for each in flags)
    assert owner.get("/devices").status_code == 200

    codes = []
    for name in ("Bench 1", "Bench 2"):
        page = owner.post("/devices", data={"name": name})
        codes.append(page.text.partition('class="typed-code">')[2].partition("<")[0])
    tablet = served.browser(Accept="application/json")
    assert tablet.post("/pair", data={"code": codes[0]}).status_code == 303
    assert tablet.get("/jobs").status_code == 200
    stranger = served.browser(Accept="application/json")
    assert stranger.post("/pair", data={"code": codes[0]}).status_code == 422
    with closing(connect(shop.database_path)) as connection:
        connection.execute("UPDATE pairing_code SET expires_at = made_at WHERE used_at IS NULL")
    assert stranger.post("/pair", data={"code": codes[1]}).status_code == 422

    assert owner.post("/devices/2/revoke").status_code == 303
    assert tablet.get("/jobs").status_code == 401
    assert tablet.post("/units/1/ticks", json={"ticks": []}).status_code == 401

    tries = [owner.post("/log-in", data=entry | {"password": "x"}) for _ in range(6)]
    assert [each.status_code for each in tries] == [422] * 5 + [429]
    assert int(tries[-1].headers["retry-after"]) >= 1


def test_without_a_password_and_a_terminal_it_refuses(shop: Settings) -> None:
    port = free_port()
    arguments = ["serve", "--data", str(shop.data_dir), "--port", str(port), "--lan", ADDRESS]
    run = subprocess.run(
        [*COMMAND, *arguments],
        cwd=CHECKOUT,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
        check=False,
    )
    assert run.returncode == 2
    assert run.stdout == ""
    assert run.stderr.startswith("No owner has a password yet")
    assert "--password-file" in run.stderr
    assert not is_open(ADDRESS, port)


# --- what it takes and what it refuses --------------------------------------------------------


@pytest.fixture
def not_served(monkeypatch: pytest.MonkeyPatch) -> list[Settings]:
    """The server ends at once; what it would have served with."""
    found: list[Settings] = []

    def run(server: serving._Server, sockets: list[socket.socket]) -> None:
        assert len(sockets) == 2
        found.append(server.settings)

    monkeypatch.setattr(serving._Server, "run", run)
    return found


def serve(shop: Settings, *more: object) -> int:
    arguments = ["serve", "--data", shop.data_dir, "--port", free_port(), "--lan", ADDRESS, *more]
    return main([str(each) for each in arguments])


def kept(engine: Engine) -> bool:
    with reading(engine) as session:
        return passwords.check(session, 1, PASSWORD).right


def test_a_password_from_a_file(
    shop: Settings, engine: Engine, tmp_path: Path, not_served: list[Settings]
) -> None:
    file = tmp_path / "password"
    file.write_text(f"{PASSWORD}\nwhat follows is not read\n", encoding="utf-8")
    file.chmod(0o600)
    serve(shop, "--password-file", file)
    assert kept(engine)
    assert [each.lan for each in not_served] == [ADDRESS]
    # Later starts ask for nothing and leave it as it is.
    file.write_text("another password\n", encoding="utf-8")
    serve(shop, "--password-file", file)
    serve(shop)
    assert len(not_served) == 3
    assert kept(engine)


def test_a_password_from_the_standard_input(
    shop: Settings, engine: Engine, not_served: list[Settings], monkeypatch: pytest.MonkeyPatch
) -> None:
    with Path(os.devnull).open(encoding="utf-8") as nothing:
        monkeypatch.setattr(sys, "stdin", nothing)
        assert serve(shop, "--password-file", "-") == 2
    reader, writer = os.pipe()
    os.write(writer, f"{PASSWORD}\n".encode())
    os.close(writer)
    with os.fdopen(reader, encoding="utf-8") as piped:
        monkeypatch.setattr(sys, "stdin", piped)
        serve(shop, "--password-file", "-")
    assert len(not_served) == 1
    assert kept(engine)


@pytest.mark.parametrize(
    ("content", "mode", "words"),
    [
        (PASSWORD, 0o644, "chmod 600"),
        (PASSWORD, 0o640, "chmod 600"),
        ("short", 0o600, "at least 8 characters"),
        ("", 0o600, "at least 8 characters"),
        ("Ada Quill", 0o600, "name"),
        (None, 0o600, "cannot be read"),
    ],
)
def test_a_file_that_is_not_taken(
    shop: Settings, engine: Engine, tmp_path: Path, capsys: pytest.CaptureFixture[str],
    not_served: list[Settings], content: str | None, mode: int, words: str,
) -> None:  # fmt: skip
    file = tmp_path / "password"
    if content is not None:
        file.write_text(content, encoding="utf-8")
        file.chmod(mode)
    assert serve(shop, "--password-file", file) == 2
    assert words in capsys.readouterr().err
    assert not_served == []
    with reading(engine) as session:
        assert session.scalars(sql_select(Person.password_hash)).all() == ["", ""]


def test_it_is_set_up_on_this_computer_first(
    settings: Settings, capsys: pytest.CaptureFixture[str]
) -> None:
    sentence = refused(
        capsys, "serve", "--data", settings.data_dir, "--port", free_port(), "--lan", ADDRESS
    )
    assert sentence.startswith("This workshop is not set up yet: start once without `--lan`")


def test_of_several_owners_one_is_chosen(
    shop: Settings, engine: Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with writing(engine) as session:
        people.add(session, name="Ina Teal", initials="IT", role="owner")
    file = tmp_path / "password"
    file.touch(0o600)
    with pytest.raises(Problem, match="several owners"):
        owner_password.see_to(engine, file)
    with reading(engine) as session:
        owners = passwords.owners(session)
    typed = iter(["3", "Ina", "2"])
    monkeypatch.setattr("builtins.input", lambda _prompt: next(typed))
    owner_password._ask(engine, owners, lambda _prompt: PASSWORD)
    with reading(engine) as session:
        assert [one.name for one in passwords.who_may_log_in(session)] == ["Ina Teal"]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--lan", "0.0.0.0"], "stands for many addresses"),
        (["--lan", "255.255.255.255"], "stands for many addresses"),
        (["--lan", "224.0.0.1"], "many addresses"),
        (["--lan", "8.8.8.8"], "the whole internet"),
        (["--lan", "here"], "such as 192.168.1.20"),
        (["--lan", "::1"], "such as 192.168.1.20"),
        (["--lan", "192.168.254.253"], "is no address of this computer"),
        (["--password-file", "x"], "goes with --lan"),
    ],
)
def test_an_address_that_is_none(
    shop: Settings, capsys: pytest.CaptureFixture[str], arguments: list[str], words: str
) -> None:
    data = ("--data", shop.data_dir, "--port", free_port())
    assert words in refused(capsys, "serve", *data, *arguments)


# --- addresses and names ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("here", "outward", "chosen"),
    [
        (("192.168.1.20",), "192.168.1.20", "192.168.1.20"),
        (("10.0.0.5", "192.168.1.20"), "192.168.1.20", "192.168.1.20"),
        (("192.168.1.20",), "", "192.168.1.20"),
        (("10.0.0.5", "192.168.1.20"), "", "`--lan 10.0.0.5` or `--lan 192.168.1.20`"),
        ((), "", "no address in a network"),
    ],
)
def test_the_address_of_the_default_route_is_taken(
    monkeypatch: pytest.MonkeyPatch, here: tuple[str, ...], outward: str, chosen: str
) -> None:
    monkeypatch.setattr(lan, "own_addresses", lambda: here)
    monkeypatch.setattr(lan, "_outward_address", lambda: outward)
    if re.fullmatch(r"[\d.]+", chosen):
        assert lan.choose("") == chosen
    else:
        with pytest.raises(Problem, match=re.escape(chosen)):
            lan.choose("")


def test_its_own_addresses_are_those_of_others(monkeypatch: pytest.MonkeyPatch) -> None:
    assert all(not address.startswith("127.") for address in lan.own_addresses())
    monkeypatch.setattr(socket, "gethostname", lambda: "Shop-PC.workshop.lan")
    assert lan.machine_names() == ("shop-pc.workshop.lan", "shop-pc", "shop-pc.local")
    monkeypatch.setattr(socket, "gethostname", lambda: "shop-pc.local")
    assert lan.machine_names() == ("shop-pc", "shop-pc.local")


def test_the_printed_qr_leads_to_the_address() -> None:
    address = "http://192.168.1.20:8000/"
    lines = welcome.qr_lines(address, coloured=False).splitlines()
    # Each character is two modules, one above the other; blocks are the light ones.
    halves = {"█": (1, 1), "▀": (1, 0), "▄": (0, 1), " ": (0, 0)}
    rows = [[halves[c][half] for c in line] for line in lines for half in (0, 1)]
    picture = Image.new("L", (len(rows[0]), len(rows)))
    picture.putdata([255 * module for row in rows for module in row])
    found = zxingcpp.read_barcodes(picture.resize((picture.width * 6, picture.height * 6), 0))
    assert [each.text for each in found] == [address]


def test_what_is_printed(settings: Settings, capsys: pytest.CaptureFixture[str]) -> None:
    served = replace(settings, lan="192.168.1.20", port=8000)
    welcome.say(served, "http://127.0.0.1:8000")
    printed = capsys.readouterr().out
    assert "http://192.168.1.20:8000/" in printed.splitlines()[0]
    assert "enter http://192.168.1.20:8000 under Settings" in printed
    welcome.say(served, "http://192.168.1.20:8000")
    assert "under Settings." not in capsys.readouterr().out
    welcome.say(settings, "")
    assert capsys.readouterr().out == "Loomwright is at http://127.0.0.1:8000/\n"
