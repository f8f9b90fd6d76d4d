"""Builds the application: pages, static files, and what guards them."""

from collections.abc import Iterable

from fastapi import Depends, FastAPI
from fastapi.routing import APIRoute
from fastapi.staticfiles import StaticFiles
from sqlalchemy import Engine
from starlette.middleware.gzip import GZipMiddleware
from starlette.middleware.trustedhost import TrustedHostMiddleware

from webapp.database import make_engine
from webapp.folders import folder
from webapp.kept_backups import KeptBackups
from webapp.lan import machine_names
from webapp.pages import DATA_ROUTERS, ROUTERS
from webapp.pages.access import know_access
from webapp.pages.deps import know_people
from webapp.pages.devices import KnowDevice
from webapp.pages.errors import add_error_pages
from webapp.pages.first_run import NotSetUp, set_up_first, to_first_run
from webapp.pages.guards import BodyLimit, OwnOriginOnly, SafeHeaders
from webapp.pages.presence import Presence
from webapp.settings import Settings
from webapp.stages.access.attempts import Attempts
from webapp.stages.access.passwords import COST

LOOPBACK_NAMES = ("127.0.0.1", "localhost", "[::1]")


def create_app(
    settings: Settings, engine: Engine | None = None, host_names: Iterable[str] = ()
) -> FastAPI:
    """The application over one data folder.

    `host_names` are further names that the pages may be asked for by; any other name is
    refused, so that a page elsewhere cannot reach the workshop's data by a name of its own.
    """
    app = FastAPI(title="Loomwright", docs_url=None, redoc_url=None)
    lay_over(app, settings, engine)
    before = [Depends(know_people), Depends(know_access), Depends(set_up_first)]
    for router in ROUTERS:
        app.include_router(router, dependencies=before)
    for router in DATA_ROUTERS:
        app.include_router(router, dependencies=[Depends(know_access)])
    app.state.page_paths = {
        route.path for router in ROUTERS for route in router.routes if isinstance(route, APIRoute)
    }
    app.mount("/static", StaticFiles(directory=folder("static")), name="static")
    add_error_pages(app)
    app.add_exception_handler(NotSetUp, to_first_run)
    names = {*LOOPBACK_NAMES, settings.host, *host_names}
    if settings.lan:
        names |= {settings.lan, *machine_names()}
    # The last one added stands outermost.
    if settings.lan:
        # A work list is some megabytes; over Wi-Fi it goes in a twentieth of them.
        app.add_middleware(GZipMiddleware, minimum_size=10_000, compresslevel=4)
    app.add_middleware(BodyLimit)
    app.add_middleware(KnowDevice)
    app.add_middleware(OwnOriginOnly)
    app.add_middleware(TrustedHostMiddleware, allowed_hosts=sorted(names), www_redirect=False)
    app.add_middleware(SafeHeaders)
    return app


def lay_over(app: FastAPI, settings: Settings, engine: Engine | None = None) -> None:
    """Gives the application its data folder, and all that it keeps in memory besides."""
    app.state.settings = settings
    app.state.lan = bool(settings.lan)
    app.state.backups = KeptBackups(settings)
    app.state.presence = Presence()
    app.state.log_in_attempts = Attempts()
    app.state.pairing_attempts = Attempts()
    app.state.password_cost = COST
    app.state.engine = make_engine(settings.database_path) if engine is None else engine
