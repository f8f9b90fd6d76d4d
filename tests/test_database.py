"""Opening, migrating, writing to, backing up and restoring the database."""

import shutil
import threading
from contextlib import ExitStack, closing
from pathlib import Path

import anyio
import anyio.to_thread
import pytest
from alembic import command
from sqlalchemy import Engine, text
from sqlalchemy.exc import IntegrityError, OperationalError

from webapp import database
from webapp.backups import BackupFailed, backup, restore
from webapp.data_folder import held
from webapp.database import DatabaseRefused, DatabaseTooNew, reading, upgrade, writing
from webapp.folders import folder
from webapp.problems import Problem
from webapp.records.customers import Customer
from webapp.settings import Settings
from webapp.sqlite import connect, is_safe

COUNT_CUSTOMERS = text("SELECT count(*) FROM customer")


def add_customer(engine: Engine, name: str) -> None:
    with writing(engine) as session:
        session.add(Customer(name=name))


def customers(path: Path) -> int:
    with closing(connect(path)) as connection:
        return int(connection.execute("SELECT count(*) FROM customer").fetchone()[0])


# --- opening ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("pragma", "value"),
    [("journal_mode", "wal"), ("synchronous", 2), ("foreign_keys", 1), ("busy_timeout", 5000)],
)
def test_every_connection_is_set_for_safety(engine: Engine, pragma: str, value: object) -> None:
    with engine.connect() as connection:
        assert connection.exec_driver_sql(f"PRAGMA {pragma}").scalar() == value


def test_no_thread_waits_for_the_connection_of_another(engine: Engine) -> None:
    threads = threads_for_pages()
    assert threads < database.MOST_CONNECTIONS
    with ExitStack() as stack:
        for _ in range(threads + 1):
            stack.enter_context(engine.connect())


def threads_for_pages() -> int:
    """How many threads serve pages at once."""

    async def ask() -> int:
        return int(anyio.to_thread.current_default_thread_limiter().total_tokens)

    return anyio.run(ask)


def test_a_pragma_that_did_not_take_is_an_error() -> None:
    in_memory = database.sqlite.connect(":memory:")
    with closing(in_memory), pytest.raises(RuntimeError, match="journal_mode"):
        database._set(in_memory, "journal_mode", "wal")


# https://sqlite.org/wal.html#walresetbug: 3.7.0 to 3.51.2, fixed in 3.51.3, 3.50.7 and 3.44.6.
@pytest.mark.parametrize(
    ("version", "safe"),
    [
        ((3, 40, 1), False),
        ((3, 44, 5), False),
        ((3, 44, 6), True),
        ((3, 46, 1), False),
        ((3, 50, 6), False),
        ((3, 50, 7), True),
        ((3, 51, 0), False),
        ((3, 51, 2), False),
        ((3, 51, 3), True),
        ((3, 53, 4), True),
    ],
)
def test_versions_with_the_fault_are_known(version: tuple[int, ...], safe: bool) -> None:
    assert is_safe(version) is safe


# --- reading and writing ----------------------------------------------------------------------


def test_a_reading_session_cannot_write(engine: Engine) -> None:
    with reading(engine) as session, pytest.raises(OperationalError, match="readonly"):
        session.execute(text("DELETE FROM customer"))


def test_a_connection_that_read_can_write_in_its_next_turn(engine: Engine) -> None:
    with reading(engine) as session:
        assert session.scalar(COUNT_CUSTOMERS) == 0
    add_customer(engine, "Pym")
    with reading(engine) as session:
        assert session.scalar(COUNT_CUSTOMERS) == 1


def test_a_failed_block_writes_nothing(engine: Engine) -> None:
    def fail_halfway() -> None:
        with writing(engine) as session:
            session.add(Customer(name="Pym"))
            session.flush()
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fail_halfway()
    add_customer(engine, "Orde")  # the lock is free again
    with reading(engine) as session:
        assert session.scalar(COUNT_CUSTOMERS) == 1


def test_writers_that_read_first_all_get_their_turn(engine: Engine) -> None:
    def write(number: int) -> None:
        for row in range(10):
            with writing(engine) as session:
                session.scalar(COUNT_CUSTOMERS)
                session.add(Customer(name=f"{number}-{row}"))

    threads = [threading.Thread(target=write, args=(number,)) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with reading(engine) as session:
        assert session.scalar(COUNT_CUSTOMERS) == 80


def test_text_in_a_column_of_numbers_is_refused(engine: Engine) -> None:
    half_a_person = text(
        "INSERT INTO person (name, initials, role, active) VALUES ('B', 'B', 'bench', 'yes')"
    )
    with pytest.raises(IntegrityError, match="cannot store TEXT"), writing(engine) as session:
        session.execute(half_a_person)


# --- migrating --------------------------------------------------------------------------------


def test_models_and_migrations_agree(settings: Settings) -> None:
    command.check(database.alembic_config(settings.database_path))


def test_an_up_to_date_database_is_left_alone(settings: Settings) -> None:
    before = settings.database_path.read_bytes()
    assert upgrade(settings.database_path) is None
    assert settings.database_path.read_bytes() == before
    assert not settings.backups_dir.exists()


def test_a_newer_database_is_refused_and_left_alone(settings: Settings) -> None:
    with closing(connect(settings.database_path)) as connection:
        connection.execute("UPDATE alembic_version SET version_num = 'from_next_year'")
    before = settings.database_path.read_bytes()
    with pytest.raises(DatabaseTooNew, match="belongs to a newer version of Loomwright"):
        upgrade(settings.database_path)
    assert settings.database_path.read_bytes() == before


def test_a_file_of_something_else_is_refused(tmp_path: Path) -> None:
    garbage = tmp_path / "garbage.db"
    garbage.write_bytes(b"not a database at all" * 500)
    with pytest.raises(DatabaseRefused, match="cannot be read"):
        upgrade(garbage)

    other = tmp_path / "other.db"
    with closing(database.sqlite.connect(other)) as connection:
        connection.execute("CREATE TABLE recipe (name TEXT)")
    with pytest.raises(DatabaseRefused, match="not a Loomwright database"):
        upgrade(other)


@pytest.fixture
def next_migrations(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The project's migrations, to add another one to."""
    copy = tmp_path / "migrations"
    shutil.copytree(folder("migrations"), copy)
    monkeypatch.setattr(database, "folder", lambda name: tmp_path / name)
    return copy / "versions"


def add_revision(versions: Path, statements: str) -> None:
    newest = database.ScriptDirectory(str(versions.parent)).get_current_head()
    (versions / "20990101_next.py").write_text(
        "from alembic import op\n"
        f"revision, down_revision = '20990101_next', {newest!r}\n"
        f"def upgrade():\n    {statements}\n",
        encoding="utf-8",
    )


def test_a_backup_is_made_before_a_migration(
    settings: Settings, engine: Engine, next_migrations: Path
) -> None:
    add_customer(engine, "Pym")
    add_revision(next_migrations, "op.execute('DELETE FROM customer')")
    made = upgrade(settings.database_path, settings.backups_dir)
    assert made is not None
    assert made.parent == settings.backups_dir
    assert (customers(settings.database_path), customers(made)) == (0, 1)


def test_a_migration_that_fails_changes_nothing(
    settings: Settings, engine: Engine, next_migrations: Path
) -> None:
    add_customer(engine, "Pym")
    add_revision(
        next_migrations,
        "op.execute('CREATE TABLE half (a TEXT)'); op.execute('DELETE FROM customer'); 1 / 0",
    )
    with pytest.raises(ZeroDivisionError):
        upgrade(settings.database_path)
    assert customers(settings.database_path) == 1
    with closing(connect(settings.database_path)) as connection:
        assert not connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'half'").fetchall()


def test_a_migration_that_leaves_orphans_changes_nothing(
    settings: Settings, next_migrations: Path
) -> None:
    add_revision(
        next_migrations,
        "op.execute('CREATE TABLE a (id INTEGER PRIMARY KEY, b INTEGER REFERENCES customer (id))');"
        " op.execute('INSERT INTO a VALUES (1, 99)')",
    )
    with pytest.raises(RuntimeError, match="Rows that belong to rows that are not there"):
        upgrade(settings.database_path)
    with closing(connect(settings.database_path)) as connection:
        assert not connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'a'").fetchall()


# --- backing up and restoring -----------------------------------------------------------------


def test_a_backup_holds_what_is_still_in_the_log(
    settings: Settings, engine: Engine, tmp_path: Path
) -> None:
    add_customer(engine, "Pym")
    assert Path(f"{settings.database_path}-wal").stat().st_size > 0
    backup(settings.database_path, tmp_path / "elsewhere" / "copy.db")
    assert customers(tmp_path / "elsewhere" / "copy.db") == 1
    assert [path.name for path in (tmp_path / "elsewhere").iterdir()] == ["copy.db"]


def test_a_backup_is_made_while_others_write(
    settings: Settings, engine: Engine, tmp_path: Path
) -> None:
    done = threading.Event()
    written = 0

    def write() -> None:
        nonlocal written
        while not done.is_set():
            add_customer(engine, f"Customer {written}")
            written += 1

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for number in range(5):
            backup(settings.database_path, tmp_path / f"{number}.db")
    finally:
        done.set()
        writer.join()
    counts = [customers(tmp_path / f"{number}.db") for number in range(5)]
    assert counts == sorted(counts)
    assert customers(settings.database_path) == written > 0


def test_a_backup_never_replaces_a_file(settings: Settings, tmp_path: Path) -> None:
    kept = tmp_path / "kept.db"
    kept.write_text("mine", encoding="utf-8")
    with pytest.raises(BackupFailed, match="exists already"):
        backup(settings.database_path, kept)
    assert kept.read_text(encoding="utf-8") == "mine"


def test_rows_that_belong_nowhere_make_a_backup_fail(settings: Settings, tmp_path: Path) -> None:
    with closing(connect(settings.database_path)) as connection:
        connection.execute(
            "CREATE TABLE a (id INTEGER PRIMARY KEY, b INTEGER REFERENCES customer (id))"
        )
        connection.execute("INSERT INTO a VALUES (1, 99)")
    with pytest.raises(BackupFailed, match="damaged: 1 rows of a"):
        backup(settings.database_path, tmp_path / "copy.db")
    assert not list(tmp_path.glob("copy.db*"))


def test_a_damaged_database_makes_a_backup_fail(settings: Settings, tmp_path: Path) -> None:
    content = bytearray(settings.database_path.read_bytes())
    content[4096 : 4096 * 8] = b"\xa5" * (4096 * 7)
    settings.database_path.write_bytes(content)
    with pytest.raises(BackupFailed, match="malformed"):
        backup(settings.database_path, tmp_path / "copy.db")
    assert not list(tmp_path.glob("copy.db*"))


def test_restoring_brings_back_and_keeps_what_was_there(
    settings: Settings, engine: Engine, tmp_path: Path
) -> None:
    add_customer(engine, "Pym")
    backup(settings.database_path, tmp_path / "copy.db")
    add_customer(engine, "Orde")
    engine.dispose()

    aside = restore(tmp_path / "copy.db", settings.data_dir)

    assert aside is not None
    assert (customers(settings.database_path), customers(aside)) == (1, 2)
    assert upgrade(settings.database_path) is None


def test_first_connections_to_a_restored_database_do_not_meet(
    settings: Settings, tmp_path: Path
) -> None:
    restored = tmp_path / "restored.db"
    backup(settings.database_path, restored)
    upgrade(restored)
    with closing(connect(restored)) as connection:
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)


def test_restoring_into_a_fresh_folder(settings: Settings, tmp_path: Path) -> None:
    (tmp_path / "fresh").mkdir()
    assert restore(settings.database_path, tmp_path / "fresh") is None
    assert customers(tmp_path / "fresh" / "loomwright.db") == 0


def test_restoring_something_else_changes_nothing(
    settings: Settings, engine: Engine, tmp_path: Path
) -> None:
    add_customer(engine, "Pym")
    other = tmp_path / "other.db"
    with closing(database.sqlite.connect(other)) as connection:
        connection.execute("CREATE TABLE recipe (name TEXT)")
    with pytest.raises(BackupFailed, match="not a backup of a Loomwright database"):
        restore(other, settings.data_dir)
    assert customers(settings.database_path) == 1
    assert not (settings.data_dir / "restored.db").exists()


# --- the data folder --------------------------------------------------------------------------


def test_a_folder_is_used_by_one_at_a_time(tmp_path: Path) -> None:
    data_dir = tmp_path / "data"
    with (
        held(data_dir),
        pytest.raises(Problem, match="in use by another Loomwright"),
        held(data_dir),
    ):
        pytest.fail("two hold the folder")
    with held(data_dir):
        assert data_dir.is_dir()


def test_a_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(Problem, match="cannot be written to"), held(tmp_path / "file" / "data"):
        pytest.fail("a file is no folder")
