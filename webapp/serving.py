"""The `serve` command."""

import errno
import socket
import sys
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from urllib.parse import urlsplit

import uvicorn
from sqlalchemy import Engine, select
from sqlalchemy.orm import Session

from webapp import debian, lan, owner_password, sqlite, welcome
from webapp.app import create_app
from webapp.data_folder import held
from webapp.database import make_engine, reading, upgrade, writing
from webapp.problems import Problem
from webapp.records.jobs import Project
from webapp.records.people import Person
from webapp.settings import Settings


def serve(settings: Settings, password_file: Path | None = None) -> int:
    """Serve the workshop's pages until told to stop.

    Raises:
        Problem: the port is taken, the folder or its database cannot be used, or the network is to
            be served and no owner has a password.
    """
    with _taken(settings) as listeners, held(settings.data_dir):
        if made := upgrade(settings.database_path, settings.backups_dir):
            print(f"The database was brought up to date; as it was before, it is in {made}.")
        engine = make_engine(settings.database_path)
        with writing(engine) as session:
            if settings.demo:
                _fill_demo(session)
            _add_new_parts(session)
        labels_lead_to = ""
        if settings.lan:
            owner_password.see_to(engine, password_file)
            labels_lead_to = _labels_lead_to(engine)
        if warning := sqlite.warning():
            print(warning, file=sys.stderr)
        debian.remind(debian.PDF, "PDF files")
        app = create_app(settings, engine, host_names=_host_names(labels_lead_to))
        config = uvicorn.Config(
            app,
            log_level="warning",
            access_log=False,
            proxy_headers=False,
            server_header=False,
            timeout_graceful_shutdown=3,
        )
        server = _Server(config, settings, labels_lead_to)
        with app.state.backups.daily():
            server.run(sockets=listeners)
        engine.dispose()
    return 0 if server.started else 1


class _Server(uvicorn.Server):
    def __init__(self, config: uvicorn.Config, settings: Settings, labels_lead_to: str) -> None:
        super().__init__(config)
        self.settings = settings
        self.labels_lead_to = labels_lead_to

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        if self.started:
            welcome.say(self.settings, self.labels_lead_to)


def _labels_lead_to(engine: Engine) -> str:
    """The address in the workshop's QR codes, as an owner has set it."""
    from webapp.stages import workshop

    with reading(engine) as session:
        return workshop.get(session).address_url


def _host_names(labels_lead_to: str) -> list[str]:
    """The name that the workshop's own labels ask for."""
    host = urlsplit(labels_lead_to).hostname
    return [host] if host else []


@contextmanager
def _taken(settings: Settings) -> Iterator[list[socket.socket]]:
    """Take the port first: nothing is touched when the workshop is being served already.

    Nobody is answered before the server runs, and over the network not before an owner has a
    password: until then the port is bound and refuses.
    """
    addresses = dict.fromkeys((settings.host, settings.lan or settings.host))
    with ExitStack() as stack:
        yield [stack.enter_context(_bound(address, settings)) for address in addresses]


def _bound(address: str, settings: Settings) -> socket.socket:
    # The protocol is named so that asyncio sends each answer at once: a socket that does not say
    # that it is TCP keeps an answer's body until its head is acknowledged, some 40 ms.
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((address, settings.port))
        if not settings.lan:
            listener.listen()
    except OSError as exc:
        listener.close()
        raise Problem(_port_problem(address, settings.port, exc)) from exc
    return listener


def _port_problem(address: str, port: int, exc: OSError) -> str:
    if exc.errno == errno.EADDRINUSE:
        return (
            f"Port {port} is taken, perhaps by a Loomwright that is running already: "
            "stop that one, or choose another port with `--port`."
        )
    if exc.errno == errno.EACCES:
        return f"Port {port} is not for everybody to use: choose one of 1024 or more."
    if exc.errno == errno.EADDRNOTAVAIL:
        return f"{address} is no address of this computer{_of_its_own()}."
    return f"Port {port} at {address} cannot be used ({exc.strerror})."


def _of_its_own() -> str:
    addresses = lan.own_addresses()
    return f"; it has {' and '.join(addresses)}" if addresses else ""


def _fill_demo(session: Session) -> None:
    """Fill an empty data folder with the invented workshop."""
    if session.scalar(select(Person.id)) or session.scalar(select(Project.id)):
        return
    from webapp.stages.demo import fill

    print("Filling the demo workshop", flush=True)
    fill(session)


def _add_new_parts(session: Session) -> None:
    """What a newer version's catalogue brings to a workshop that is set up already."""
    from webapp.stages import catalogue, workshop

    if workshop.is_set_up(session):
        catalogue.load_seed(session)
