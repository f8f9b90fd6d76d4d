"""What every test may ask for: a real database file, migrated once and copied for each test."""

import gc
import os
import shutil
import subprocess
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Engine
from sqlalchemy.orm import Session

from webapp.database import make_engine, upgrade
from webapp.paper import render, worker
from webapp.settings import Settings


@pytest.fixture(scope="session")
def migrated_db(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty database at the newest revision. Copy it, never open it."""
    path = tmp_path_factory.mktemp("migrated") / "migrated.db"
    upgrade(path)
    assert not path.with_name("migrated.db-wal").exists()  # so that the file is all of it
    return path


@pytest.fixture
def settings(migrated_db: Path, tmp_path: Path) -> Settings:
    """A data folder of the test's own, with an empty database in it."""
    settings = Settings(data_dir=tmp_path / "data")
    settings.data_dir.mkdir()
    shutil.copyfile(migrated_db, settings.database_path)
    return settings


@pytest.fixture
def engine(settings: Settings) -> Iterator[Engine]:
    """An engine on the test's own database. Pages commit to it for real."""
    engine = make_engine(settings.database_path)
    yield engine
    engine.dispose()


@pytest.fixture
def session(engine: Engine) -> Iterator[Session]:
    """A session that may write, taken back at the end.

    It keeps every other writer out once it has begun: a test that also sends requests uses
    `with writing(engine)` instead.
    """
    with Session(engine.execution_options(begin="IMMEDIATE")) as session:
        yield session


@pytest.fixture(scope="session", autouse=True)
def papers_made_here() -> Iterator[None]:
    """PDFs are made by the same code, but not each in a process that first imports it all.

    `tests/paper/test_render.py` has the processes.
    """
    one_at_a_time = threading.Lock()

    def run_worker(html: str) -> subprocess.CompletedProcess[bytes]:
        with one_at_a_time:
            return subprocess.CompletedProcess([], 0, worker.pdf_of(html), b"")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(render, "_run_worker", run_worker)
        yield


def in_ci() -> bool:
    return os.environ.get("CI", "").lower() not in ("", "0", "false")


def pytest_collection_finish() -> None:
    """Let the collector leave alone what stays for the whole run: modules, and every test."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 100)


@pytest.hookimpl(tryfirst=True)
def pytest_sessionfinish(session: pytest.Session) -> None:
    """In CI a skipped test is a failure: nothing is left out silently."""
    if in_ci() and _skipped(session.config) and session.exitstatus == pytest.ExitCode.OK:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    skipped = _skipped(terminalreporter.config)
    if in_ci() and skipped:
        terminalreporter.section("skipped, which CI does not allow")
        for report in skipped:
            terminalreporter.line(report.nodeid)


def _skipped(config: pytest.Config) -> list[pytest.TestReport]:
    reporter = config.pluginmanager.get_plugin("terminalreporter")
    return list(reporter.stats.get("skipped", [])) if reporter else []
