"""The `serve` command."""

import errno
import socket
import sys

import uvicorn
from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp import debian, sqlite
from webapp.app import create_app
from webapp.data_folder import held
from webapp.database import make_engine, upgrade, writing
from webapp.problems import Problem
from webapp.records.jobs import Project
from webapp.records.people import Person
from webapp.settings import Settings


def serve(settings: Settings) -> int:
    """Serve the workshop's pages until told to stop.

    Raises:
        Problem: the port is taken, or the folder or its database cannot be used.
    """
    with _listen(settings) as listener, held(settings.data_dir):
        if made := upgrade(settings.database_path, settings.backups_dir):
            print(f"The database was brought up to date; as it was before, it is in {made}.")
        engine = make_engine(settings.database_path)
        with writing(engine) as session:
            if settings.demo:
                _fill_demo(session)
            _add_new_parts(session)
        if warning := sqlite.warning():
            print(warning, file=sys.stderr)
        debian.remind(debian.PDF, "PDF files")
        config = uvicorn.Config(
            create_app(settings, engine),
            log_level="warning",
            access_log=False,
            proxy_headers=False,
            server_header=False,
            timeout_graceful_shutdown=3,
        )
        server = _Server(config)
        server.run(sockets=[listener])
        engine.dispose()
    return 0 if server.started else 1


class _Server(uvicorn.Server):
    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        if self.started:
            host, port = self.servers[0].sockets[0].getsockname()[:2]
            print(f"Loomwright is at http://{host}:{port}/", flush=True)


def _listen(settings: Settings) -> socket.socket:
    """Take the port first: nothing is touched when the workshop is being served already."""
    listener = socket.socket()
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((settings.host, settings.port))
        listener.listen()
    except OSError as exc:
        listener.close()
        raise Problem(_port_problem(settings, exc)) from exc
    return listener


def _port_problem(settings: Settings, exc: OSError) -> str:
    if exc.errno == errno.EADDRINUSE:
        return (
            f"Port {settings.port} is taken, perhaps by a Loomwright that is running already: "
            "stop that one, or choose another port with `--port`."
        )
    if exc.errno == errno.EACCES:
        return f"Port {settings.port} is not for everybody to use: choose one of 1024 or more."
    return f"Port {settings.port} at {settings.host} cannot be used ({exc.strerror})."


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
