"""Who may open what: every route with the least role that reads it and the least that writes it.

    owner   money that is nobody else's (rates, margins), settings, people, devices, backups
    office  quotes, designs, customers, the stores with their prices
    bench   work lists, readings, drawings, wires, labels, the papers that are built to

A role may do whatever the one below it may. A route that stands in no group is refused to
everybody. Served for this computer alone nobody logs in: the role is that of the name chosen at
the top, and whoever has chosen none sits at the shop's own computer, which is trusted.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache, lru_cache

from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.routing import compile_path

from webapp.stages import discretion
from webapp.stages.access.devices import TABLET, DeviceNow

ANYBODY, BENCH, OFFICE, OWNER = "anybody", "bench", "office", "owner"
LADDER = (ANYBODY, BENCH, OFFICE, OWNER)
READS = {"GET", "HEAD", "OPTIONS"}

# Subject, and its routes: the path, who reads it, who writes to it; None where there is nothing to
# read or to write. Every route of the application stands here once.
Line = tuple[str, str | None, str | None]
GROUPS: tuple[tuple[str, tuple[Line, ...]], ...] = (
    (
        "The way in",
        (
            ("/static", ANYBODY, None),
            ("/openapi.json", ANYBODY, None),
            ("/who", BENCH, BENCH),
            ("/log-in", ANYBODY, ANYBODY),
            ("/log-in/standing", ANYBODY, None),
            ("/log-out", None, ANYBODY),
            ("/pair", ANYBODY, ANYBODY),
            ("/password", BENCH, BENCH),
            ("/first-run", OWNER, OWNER),
        ),
    ),
    (
        "Jobs, and finding them again",
        (
            ("/", BENCH, None),
            ("/jobs", BENCH, None),
            ("/jobs/new", OFFICE, OFFICE),
            ("/jobs/{project_id}", BENCH, None),
            ("/jobs/{project_id}/edit", OFFICE, OFFICE),
            ("/jobs/{project_id}/again", None, OFFICE),
            ("/jobs/{project_id}/looms", None, OFFICE),
            ("/jobs/{project_id}/journal", None, BENCH),
            ("/jobs/{project_id}/received", None, BENCH),
            ("/past", BENCH, None),
            ("/search", BENCH, None),
            ("/c/{code}", BENCH, None),
            ("/looms/{loom_id}", BENCH, None),
            ("/looms/{loom_id}/edit", OFFICE, OFFICE),
            ("/looms/{loom_id}/live", BENCH, None),
            ("/live/jobs", BENCH, None),
            ("/units/{unit_id}", BENCH, None),
        ),
    ),
    (
        "Customers",
        (
            ("/customers", OFFICE, None),
            ("/customers/new", OFFICE, OFFICE),
            ("/customers/{customer_id}", OFFICE, None),
            ("/customers/{customer_id}/edit", OFFICE, OFFICE),
        ),
    ),
    (
        "Settings",
        (
            ("/settings", OWNER, OWNER),
            ("/backups", None, OWNER),
            ("/rates", OWNER, OWNER),
            ("/people", OWNER, OWNER),
            ("/people/{person_id}", OWNER, OWNER),
            ("/people/{person_id}/password", OWNER, OWNER),
            ("/people/{person_id}/password/remove", None, OWNER),
            ("/people/{person_id}/log-out", None, OWNER),
            ("/devices", OWNER, OWNER),
            ("/devices/codes/{code_id}", OWNER, None),
            ("/devices/{device_id}/revoke", None, OWNER),
            ("/instruments", OFFICE, OFFICE),
            ("/instruments/{instrument_id}", OFFICE, OFFICE),
            ("/label-sheets", OFFICE, None),
            ("/label-sheets/new", OFFICE, OFFICE),
            ("/label-sheets/{sheet_id}", OFFICE, OFFICE),
            ("/label-sheets/{sheet_id}/remove", None, OFFICE),
            ("/colours", OFFICE, OFFICE),
        ),
    ),
    (
        "Prices and quotes",
        (
            ("/looms/{loom_id}/price", OFFICE, OFFICE),
            ("/looms/{loom_id}/price/without-quote", None, OFFICE),
            ("/looms/{loom_id}/price/check", OFFICE, None),
            ("/looms/{loom_id}/price/issue", None, OFFICE),
            ("/looms/{loom_id}/price/draft", OFFICE, None),
            ("/looms/{loom_id}/price/draft.pdf", OFFICE, None),
            ("/quotes/{quote_id}", OFFICE, None),
            ("/quotes/{quote_id}/accept", None, OFFICE),
            ("/quotes/{quote_id}/decline", None, OFFICE),
            ("/quotes/{quote_id}/reopen", None, OFFICE),
            ("/quotes/{quote_id}/quotation", OFFICE, None),
            ("/quotes/{quote_id}/quotation.pdf", OFFICE, None),
            ("/looms/{loom_id}/change", OFFICE, None),
            ("/looms/{loom_id}/change/issue", None, OFFICE),
            ("/looms/{loom_id}/change/no-charge", None, OFFICE),
            ("/looms/{loom_id}/change/draft", OFFICE, None),
            ("/looms/{loom_id}/change/draft.pdf", OFFICE, None),
        ),
    ),
    (
        "What the loom must do, and proposals",
        (
            ("/looms/{loom_id}/needs", OFFICE, OFFICE),
            ("/looms/{loom_id}/runs", OFFICE, OFFICE),
            ("/looms/{loom_id}/proposal", OFFICE, OFFICE),
            ("/looms/{loom_id}/alternatives/{about}", OFFICE, OFFICE),
            ("/looms/{loom_id}/import", OFFICE, OFFICE),
            ("/looms/{loom_id}/import/rows", None, OFFICE),
            ("/looms/{loom_id}/paste", None, OFFICE),
            ("/looms/{loom_id}/paste/cells", None, OFFICE),
            ("/looms/{loom_id}/needs.csv", OFFICE, None),
            ("/looms/{loom_id}/runs.csv", OFFICE, None),
            ("/lists/{what}.csv", OFFICE, None),
        ),
    ),
    (
        "The design: the bench reads it, the office writes it",
        (
            ("/looms/{loom_id}/wires", BENCH, None),
            ("/looms/{loom_id}/wires.csv", BENCH, None),
            ("/looms/{loom_id}/wires/others", BENCH, None),
            ("/looms/{loom_id}/wires/columns", None, BENCH),
            ("/looms/{loom_id}/wires/new", OFFICE, OFFICE),
            ("/looms/{loom_id}/wires/renumber", OFFICE, OFFICE),
            ("/looms/{loom_id}/wires/chosen", None, OFFICE),
            ("/looms/{loom_id}/wires/circuit", None, OFFICE),
            ("/looms/{loom_id}/wires/take-out", OFFICE, OFFICE),
            ("/looms/{loom_id}/wires/{link_uid}", BENCH, OFFICE),
            ("/looms/{loom_id}/wires/{link_uid}/row", BENCH, None),
            ("/looms/{loom_id}/wires/{link_uid}/ends/{end_uid}", None, OFFICE),
            ("/looms/{loom_id}/wires/{link_uid}/remove", OFFICE, OFFICE),
            ("/looms/{loom_id}/cables", OFFICE, OFFICE),
            ("/looms/{loom_id}/cables/{cable_uid}", None, OFFICE),
            ("/looms/{loom_id}/fittings", BENCH, None),
            ("/looms/{loom_id}/fittings/new", OFFICE, OFFICE),
            ("/looms/{loom_id}/fittings/plug", OFFICE, OFFICE),
            ("/looms/{loom_id}/fittings/{fitting_uid}", BENCH, OFFICE),
            ("/looms/{loom_id}/fittings/{fitting_uid}/inside/{bridge_uid}", None, OFFICE),
            ("/looms/{loom_id}/fittings/{fitting_uid}/through/{crossing_uid}", None, OFFICE),
            ("/looms/{loom_id}/fittings/{fitting_uid}/way/{way_uid}", None, OFFICE),
            ("/looms/{loom_id}/fittings/{fitting_uid}/ways", None, OFFICE),
            ("/looms/{loom_id}/fittings/{fitting_uid}/remove", OFFICE, OFFICE),
            ("/looms/{loom_id}/circuits", BENCH, OFFICE),
            ("/looms/{loom_id}/circuits/{circuit_uid}", BENCH, OFFICE),
            ("/looms/{loom_id}/circuits/{circuit_uid}/fuse/{bridge_uid}", None, OFFICE),
            ("/looms/{loom_id}/circuits/{circuit_uid}/remove", None, OFFICE),
            ("/looms/{loom_id}/circuits/{circuit_uid}/loads", BENCH, None),
            ("/looms/{loom_id}/circuits/{circuit_uid}/load/{bridge_uid}", None, OFFICE),
            ("/looms/{loom_id}/circuits/{circuit_uid}/needs", None, OFFICE),
            ("/looms/{loom_id}/circuits/{circuit_uid}/control", OFFICE, OFFICE),
            ("/looms/{loom_id}/circuits/{circuit_uid}/twin", OFFICE, OFFICE),
            ("/looms/{loom_id}/circuits/{circuit_uid}/current", BENCH, None),
            ("/looms/{loom_id}/current/{load_uid}", BENCH, None),
            ("/looms/{loom_id}/plan", BENCH, None),
            ("/looms/{loom_id}/plan/turn", None, OFFICE),
            ("/looms/{loom_id}/plan/forget", None, OFFICE),
            ("/looms/{loom_id}/parts", BENCH, None),
            ("/looms/{loom_id}/parts.csv", BENCH, None),
            ("/looms/{loom_id}/revisions", BENCH, None),
            ("/looms/{loom_id}/sign-off", OFFICE, OFFICE),
            ("/looms/{loom_id}/copy", OFFICE, OFFICE),
            ("/looms/{loom_id}/mend", None, OFFICE),
            ("/looms/{loom_id}/findings/accept", None, OFFICE),
            ("/looms/{loom_id}/findings/withdraw", None, OFFICE),
            ("/looms/{loom_id}/undo", None, OFFICE),
            ("/looms/{loom_id}/redo", None, OFFICE),
        ),
    ),
    (
        "The bench, its photos and its tests",
        (
            ("/looms/{loom_id}/build", BENCH, BENCH),
            ("/looms/{loom_id}/cut-list", BENCH, None),
            ("/looms/{loom_id}/test", BENCH, None),
            ("/looms/{loom_id}/photos", None, BENCH),
            ("/looms/{loom_id}/photos/{photo_id}", None, BENCH),
            ("/looms/{loom_id}/photos/{photo_id}.jpg", BENCH, None),
            ("/units/{unit_id}/build", BENCH, BENCH),
            ("/units/{unit_id}/bench", BENCH, None),
            ("/units/{unit_id}/bench/say", BENCH, BENCH),
            ("/looms/{loom_id}/bench/feed", BENCH, None),
            ("/units/{unit_id}/crimp-setups", BENCH, None),
            ("/units/{unit_id}/crimp-setups/{group}", BENCH, BENCH),
            ("/units/{unit_id}/photos", BENCH, None),
            ("/units/{unit_id}/depth", BENCH, BENCH),
            ("/units/{unit_id}/ticks", None, BENCH),
            ("/units/{unit_id}/ticks/plain", None, BENCH),
            ("/units/{unit_id}/journal", BENCH, None),
            ("/units/{unit_id}/test", BENCH, BENCH),
            ("/units/{unit_id}/test/circuit", None, BENCH),
            ("/units/{unit_id}/test/stage", None, BENCH),
            ("/units/{unit_id}/done", BENCH, None),
        ),
    ),
    (
        "Papers and labels: quotations are under prices",
        (
            ("/looms/{loom_id}/papers", BENCH, None),
            ("/looms/{loom_id}/papers/{slug}.pdf", BENCH, None),
            ("/looms/{loom_id}/labels", BENCH, None),
            ("/looms/{loom_id}/labels.pdf", BENCH, None),
            ("/units/{unit_id}/papers", BENCH, None),
            ("/units/{unit_id}/papers/{slug}.pdf", BENCH, None),
            ("/units/{unit_id}/labels", BENCH, None),
            ("/units/{unit_id}/labels.pdf", BENCH, None),
        ),
    ),
    (
        "Stores: the bench sees no prices",
        (
            ("/stores", BENCH, None),
            ("/stores/{uid}", BENCH, OFFICE),
            ("/stores/new", OFFICE, OFFICE),
            ("/stores.csv", OFFICE, None),
            ("/stores/import", OFFICE, OFFICE),
            ("/stores/import/empty.csv", OFFICE, None),
            ("/stores/import/rows", None, OFFICE),
        ),
    ),
    (
        "Figures without records",
        (
            ("/calculators", BENCH, None),
            ("/calculators/{slug}", BENCH, None),
            ("/method", BENCH, None),
            ("/method/circles", BENCH, None),
            ("/api/sizing/resistance", None, BENCH),
            ("/api/sizing/voltage-drop", None, BENCH),
            ("/api/sizing/conductor-temperature", None, BENCH),
            ("/api/sizing/ampacity", None, BENCH),
            ("/api/sizing/fuse", None, BENCH),
            ("/api/sizing/network", None, BENCH),
            ("/api/sizing/bundle", None, BENCH),
            ("/api/sizing/heat-shrink", None, BENCH),
            ("/api/sizing/crimp-pull", None, BENCH),
            ("/api/sizing/cut-plan", None, BENCH),
        ),
    ),
)


@dataclass(frozen=True)
class Rule:
    """The least role that reads a route and the least that writes to it."""

    read: str | None
    write: str | None


TABLE = {path: Rule(read, write) for _, lines in GROUPS for path, read, write in lines}
# Plain paths first, as the routers have them: /wires/new is no wire.
_PATTERNS = [
    (compile_path(path)[0], path) for path in sorted(TABLE, key=lambda each: each.count("{"))
]


class NotAllowed(Exception):
    """The route is not for this role; the message is a sentence for the person who asked."""


@dataclass(frozen=True)
class Access:
    """What the request may see and do. Stands in every template as `access`."""

    role: str
    device: DeviceNow | None = None

    def reaches(self, least: str | None) -> bool:
        """May do what asks for at least this role; what nobody may asks for none."""
        return least is not None and LADDER.index(self.role) >= LADDER.index(least)

    def reads(self, address: str) -> bool:
        """May open this address, or the route "/looms/{loom_id}/price"; false where none is."""
        rule = _rule_of(address)
        return rule is not None and self.reaches(rule.read)

    def writes(self, address: str) -> bool:
        """May send something to this address or route."""
        rule = _rule_of(address)
        return rule is not None and self.reaches(rule.write)

    def open(self, routes: Iterable[str]) -> set[str]:
        """Those of the routes that may be opened."""
        return {route for route in routes if self.reads(route)}

    @property
    def money(self) -> bool:
        """Prices of parts, jobs and quotes."""
        return self.reaches(OFFICE)

    @property
    def margins(self) -> bool:
        """How a price is made: what an hour costs, overhead, margin."""
        return self.reaches(OWNER)

    @property
    def addresses(self) -> bool:
        """Customers' addresses, telephone numbers and e-mail."""
        return self.reaches(OFFICE)

    @property
    def designs(self) -> bool:
        """Changes designs; who does not reads them without fields and buttons."""
        return self.reaches(OFFICE)

    @property
    def settings(self) -> bool:
        return self.reaches(OWNER)

    @property
    def people(self) -> bool:
        return self.reaches(OWNER)


# Before anybody is known: the frame of an error page, the log-in page.
LEAST = Access(ANYBODY)


@lru_cache(maxsize=4096)
def _rule_of(address: str) -> Rule | None:
    path = address.partition("?")[0].partition("#")[0]
    if path in TABLE:
        return TABLE[path]
    return next((TABLE[route] for pattern, route in _PATTERNS if pattern.match(path)), None)


def access_of(request: Request) -> Access:
    """What this request may do; next to nothing where nobody has let its device in."""
    if not request.app.state.lan:
        person = getattr(request.state, "person", None)
        return Access(person.role if person else OWNER)
    device: DeviceNow | None = request.state.device
    if device is None:
        return LEAST
    return Access(BENCH if device.kind == TABLET else device.role, device)


def know_access(request: Request) -> None:
    """Stands before every page, after `know_people`: puts `access` into the state, or refuses."""
    rule = TABLE.get(request.scope["route"].path)
    least = None if rule is None else rule.read if request.method in READS else rule.write
    access = access_of(request)
    request.state.access = access
    if not access.reaches(least):
        raise NotAllowed(_why(least, access))


def _why(least: str | None, access: Access) -> str:
    if least is None:
        return "Nobody has said yet who may do this, so that nobody may."
    if access.role == ANYBODY:
        return "Log in first."
    if access.device is None:
        return f"This is for the {least}: whoever it is for chooses their name at the top."
    if access.device.kind == TABLET:
        return "A tablet opens what the bench needs. For the rest, log in on a computer."
    return f"This is for the {least}; you are logged in for the {access.role}."


def discreet(request: Request) -> Callable[[str], str]:
    """What people typed by hand, as this request may read it; nothing is read before it is used."""
    access: Access = getattr(request.state, "access", LEAST)
    if access.money and access.addresses:
        return str

    @cache
    def known() -> discretion.Discretion:
        with Session(request.app.state.engine) as session:
            return discretion.read(session)

    return lambda text: known().words(text)


def first_open(access: Access, addresses: Iterable[str]) -> str | None:
    """The first of several addresses that may be opened."""
    return next((address for address in addresses if access.reads(address)), None)
