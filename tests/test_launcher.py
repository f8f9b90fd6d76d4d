"""Starting: from the command line to a page, and every sentence on the way that says why not."""

import os
import signal
import socket
import subprocess
import sys
import zipfile
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from pathlib import Path

import httpx
import pytest

from webapp import __main__, debian
from webapp.folders import CHECKOUT
from webapp.launcher import environment
from webapp.launcher.command_line import main
from webapp.problems import Problem
from webapp.settings import Settings
from webapp.sqlite import connect

COMMAND = [
    *(sys.executable, "-c"),
    "import sys; from webapp.launcher.command_line import main; sys.exit(main())",
]


def free_port() -> int:
    with closing(socket.socket()) as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def running(
    *arguments: object, cwd: Path = CHECKOUT
) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """Start `serve`; yields the process and the first line that it prints."""
    process = subprocess.Popen(
        [*COMMAND, "serve", *map(str, arguments)],
        cwd=cwd,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        # As from a terminal: a shell's background processes are started with it ignored.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )
    assert process.stdout is not None
    try:
        yield process, process.stdout.readline().strip()
    finally:
        process.kill()
        process.communicate()


def refused(capsys: pytest.CaptureFixture[str], *arguments: object) -> str:
    """Run a command that is to be refused; returns its one sentence."""
    assert main([str(argument) for argument in arguments]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.count("\n") == 1
    return printed.err.strip()


# --- serving ----------------------------------------------------------------------------------


def test_serve_says_where_it_is_and_answers(tmp_path: Path) -> None:
    port = free_port()
    with running("--data", tmp_path / "data", "--port", port) as (_process, line):
        assert line == f"Loomwright is at http://127.0.0.1:{port}/"
        page = httpx.get(f"http://127.0.0.1:{port}/", follow_redirects=True)
        assert page.status_code == 200
        assert "Loomwright" in page.text
    assert Settings(tmp_path / "data").database_path.is_file()


def test_a_second_start_finds_what_the_first_left(settings: Settings) -> None:
    for _start in range(2):
        with running("--data", settings.data_dir, "--port", free_port()) as (process, line):
            assert line.startswith("Loomwright is at ")
            process.send_signal(signal.SIGINT)
            process.wait(timeout=10)


def test_ctrl_c_ends_quietly(settings: Settings) -> None:
    with running("--data", settings.data_dir, "--port", free_port()) as (process, _line):
        process.send_signal(signal.SIGINT)
        assert process.communicate(timeout=10) == ("", "")
        assert process.returncode == 130


def test_a_taken_port(settings: Settings, capsys: pytest.CaptureFixture[str]) -> None:
    with closing(socket.socket()) as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        sentence = refused(capsys, "serve", "--data", settings.data_dir, "--port", port)
    assert sentence.startswith(f"Port {port} is taken")


def test_a_folder_in_use(settings: Settings, capsys: pytest.CaptureFixture[str]) -> None:
    data = ("--data", settings.data_dir)
    with running(*data, "--port", free_port()):
        assert "in use" in refused(capsys, "serve", *data, "--port", free_port())
        assert "in use" in refused(capsys, "restore", settings.database_path, *data)


def test_an_unwritable_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    folder = tmp_path / "file" / "data"
    sentence = refused(capsys, "serve", "--data", folder, "--port", free_port())
    assert sentence == f"The data folder {folder} cannot be written to (Not a directory)."


def test_a_newer_database(settings: Settings, capsys: pytest.CaptureFixture[str]) -> None:
    with closing(connect(settings.database_path)) as connection:
        connection.execute("UPDATE alembic_version SET version_num = 'from_next_year'")
    sentence = refused(capsys, "serve", "--data", settings.data_dir, "--port", free_port())
    assert "belongs to a newer version of Loomwright" in sentence


@pytest.mark.parametrize("port", ["eight", "0", "65536", "-1", "80.5", ""])
def test_a_port_that_is_none(port: str, capsys: pytest.CaptureFixture[str]) -> None:
    sentence = refused(capsys, "serve", f"--port={port}")
    assert sentence == f"--port takes a number from 1 to 65535, not {port!r}."


@pytest.mark.parametrize(
    "arguments", [["sing"], ["serve", "--loud"], ["restore"], ["backup", "a", "b"]]
)
def test_a_command_line_that_makes_no_sense(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert "`--help` lists what there is" in refused(capsys, *arguments)


# --- keeping ----------------------------------------------------------------------------------


def test_backup_and_restore(
    settings: Settings, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    copy = tmp_path / "copy.db"
    assert main(["backup", str(copy), "--data", str(settings.data_dir)]) == 0
    assert str(copy) in capsys.readouterr().out
    assert main(["restore", str(copy), "--data", str(tmp_path / "fresh")]) == 0
    assert Settings(tmp_path / "fresh").database_path.is_file()
    assert main(["backup", "--data", str(settings.data_dir)]) == 0
    assert len(list(settings.backups_dir.glob("loomwright-*.db"))) == 1


def test_nothing_to_back_up(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "There is no database" in refused(capsys, "backup", "--data", tmp_path)


# --- the environment --------------------------------------------------------------------------


def test_too_old_a_python() -> None:
    assert __main__.version_problem((3, 10, 13)) == (
        "Loomwright needs Python 3.11 or newer, and this is Python 3.10."
    )
    assert __main__.version_problem((3, 11, 0)) is None
    assert __main__.version_problem((4, 0, 0)) is None


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An environment of the test's own whose Python does what the test writes into it."""
    home = tmp_path / "environment"
    (home / "bin").mkdir(parents=True)
    monkeypatch.setattr(environment, "HOME", home)
    monkeypatch.setattr(environment, "PYTHON", home / "bin" / "python")
    monkeypatch.setattr(environment, "STAMP", home / "installed.json")
    return home


def write_python(home: Path, script: str) -> None:
    python = home / "bin" / "python"
    python.write_text(f"#!/bin/sh\n{script}\n", encoding="utf-8")
    python.chmod(0o755)


def test_an_installed_lock_is_not_installed_again(
    home: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    write_python(home, "echo 'Collecting alembic==1'; echo 'Installing collected packages: x'")
    environment._install(environment.APP_LOCK, "Loomwright")
    assert "\n  1 of 39: alembic==1\n  unpacking\n" in capsys.readouterr().out

    entered: list[Sequence[str]] = []
    monkeypatch.setattr(os, "execv", lambda _path, arguments: entered.append(arguments))
    monkeypatch.setattr(subprocess, "run", lambda *_a, **_k: pytest.fail("something was run"))
    monkeypatch.setattr(subprocess, "Popen", lambda *_a, **_k: pytest.fail("something was run"))
    environment.enter(["serve", "--demo"])
    assert entered == [[str(home / "bin" / "python"), "-m", "webapp", "serve", "--demo"]]


def test_a_changed_lock_or_python_is_noticed(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_python(home, "exit 0")
    assert not environment._holds(environment.APP_LOCK)
    environment._install(environment.APP_LOCK, "Loomwright")
    assert environment._holds(environment.APP_LOCK)
    assert not environment._holds(environment.TESTS_LOCK)
    with monkeypatch.context() as other:
        other.setattr(environment, "_python_version", lambda: "3.99")
        assert not environment._holds(environment.APP_LOCK)
    with monkeypatch.context() as other:
        other.setattr(environment, "_hash", lambda _lock: "changed")
        assert not environment._holds(environment.APP_LOCK)


def test_a_failed_installation_is_told_and_not_stamped(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    write_python(home, "echo 'no route to host' >&2; exit 1")
    with pytest.raises(Problem, match="could not be installed"):
        environment._install(environment.APP_LOCK, "Loomwright")
    assert "no route to host" in capsys.readouterr().err
    assert not environment._holds(environment.APP_LOCK)


def test_without_root_the_exact_command_is_printed(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    monkeypatch.setattr(debian, "_is_there", lambda _shown_by: False)
    monkeypatch.setattr("importlib.util.find_spec", lambda _name: None)
    command = "`sudo apt install python3-venv libpangoft2-1.0-0 libharfbuzz-subset0`"
    with pytest.raises(Problem, match=command):
        environment._make()


def test_missing_libraries_are_named(capsys: pytest.CaptureFixture[str]) -> None:
    debian.remind({"libnone0": "libnone.so.0", "none-utils": "no-such-program"}, "PDF files")
    assert "`sudo apt install libnone0 none-utils`" in capsys.readouterr().err
    debian.remind({"libc6": "libc.so.6", "coreutils": "ls"}, "PDF files")
    assert capsys.readouterr().err == ""


# --- the wheel --------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The built wheel, unpacked where no checkout is near."""
    folder = tmp_path_factory.mktemp("wheel")
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    subprocess.run(build, cwd=CHECKOUT, check=True, capture_output=True)
    (wheel,) = folder.glob("*.whl")
    with zipfile.ZipFile(wheel) as packed:
        packed.extractall(folder / "installed")
    return folder / "installed"


def test_the_wheel_carries_every_folder(installed: Path) -> None:
    shipped = installed / "webapp" / "shipped"
    for name in ("migrations", "seed_data", "static", "templates"):
        files = [path for path in (CHECKOUT / name).rglob("*") if path.is_file()]
        ours = {path.relative_to(CHECKOUT) for path in files if path.parent.name != "__pycache__"}
        assert ours
        assert {path for path in ours if not (shipped / path).is_file()} == set()


def test_the_wheel_gives_the_command(installed: Path) -> None:
    (entry_points,) = installed.glob("*.dist-info/entry_points.txt")
    assert "loomwright = webapp.launcher.command_line:main" in entry_points.read_text("utf-8")


def test_the_installed_package_serves(installed: Path, tmp_path: Path) -> None:
    port = free_port()
    with running("--data", tmp_path / "data", "--port", port, cwd=installed) as (_process, line):
        assert line.startswith("Loomwright is at ")
        page = httpx.get(f"http://127.0.0.1:{port}/", follow_redirects=True)
        assert page.status_code == 200


def test_the_installed_package_has_no_tests(installed: Path) -> None:
    asked = subprocess.run(
        [*COMMAND, "test"], cwd=installed, check=False, capture_output=True, text=True
    )
    assert asked.returncode == 2
    assert "in a checkout of its source" in asked.stderr
