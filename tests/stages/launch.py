"""A small but whole loom to build and test: pump through a plug, lamp, spliced returns, own lead.

An invented workshop with an invented customer. Nothing here is sized: the figures are for counting.
"""

from dataclasses import dataclass

from sqlalchemy.orm import Session

from webapp.records.catalogue import Part
from webapp.stages import customers, jobs, looms, stage_line, workshop
from webapp.stages.customers import CustomerValues
from webapp.stages.design import revisions
from webapp.stages.design.commands import added, write
from webapp.stages.design.rows import (
    Bridge,
    Circuit,
    Crossing,
    Fitting,
    Link,
    Need,
    Place,
    Row,
    Run,
    Way,
    WireEnd,
)
from webapp.stages.jobs import JobValues
from webapp.stages.workshop import WorkshopValues

# The launch has parts of its own, so that no change to the seed catalogue reaches these tests.
PARTS = (
    ("t-ring", "terminal", "Ring M8", {"strip_mm": 8.0, "crimped": 1, "soldered": 0}),
    ("t-tab", "terminal", "Tab receptacle 6.3",
     {"strip_mm": 6.4, "crimped": 1, "soldered": 0, "crimp_height_mm": 1.55, "tool": "tool 3"}),
    ("t-pin", "terminal", "Pin 6.3", {"strip_mm": 6.4, "crimped": 1, "seal": 1}),
    ("t-butt", "terminal", "Butt joiner", {"strip_mm": 7.0, "crimped": 1, "pull_n": 200}),
    ("t-cup", "terminal", "Solder cup", {"strip_mm": 5.0, "crimped": 0, "soldered": 1}),
    ("t-shrink", "heat-shrink", "Shrink 6.4",
     {"expanded_mm": 6.4, "recovered_mm": 3.2, "longitudinal_percent": -5}),
    ("t-lamp", "load", "Lamp", {}),
    ("t-1.5", "cable", "Boat cable 1.5", {"conductor_kind": "iec60228-class5", "finish": "tinned"}),
    ("t-2.5", "cable", "Boat cable 2.5", {"conductor_kind": "iec60228-class5", "finish": "tinned"}),
    ("t-4", "cable", "Vehicle cable 4", {"conductor_kind": "iso6722", "finish": "plain"}),
)  # fmt: skip


@dataclass(frozen=True)
class Launch:
    person_id: int
    project_id: int
    loom_id: int
    revision_id: int


def places_and_runs() -> list[Row]:
    names = ("battery box", "helm", "engine bay", "bow")
    places: list[Row] = [Place(uid=f"p{n}", position=n, name=name) for n, name in enumerate(names)]
    runs = [
        ("r1", "p0", "p1", 1800, "split conduit", ""),
        ("r2", "p1", "p2", 900, "PVC sleeve", "grommet"),
        ("r3", "p1", "p3", 2400, "", ""),
    ]
    return places + [
        Run(uid=uid, position=n, from_place_uid=a, to_place_uid=b, length_mm=mm,
            covering=covering, through=through)
        for n, (uid, a, b, mm, covering, through) in enumerate(runs)
    ]  # fmt: skip


FITTINGS = (
    ("supply", "p0", "Battery", "supply", None, (("+", "stud M8", 4), ("−", "stud M8", 4))),
    ("fuse", "p0", "Pump fuse", "fuse holder", None,
     (("in", "tab 6.3", 1), ("out", "tab 6.3", 1))),
    ("switch", "p1", "Helm switch", "switch", None,
     (("in", "tab 6.3", 1), ("out", "tab 6.3", 1))),
    ("plug", "p1", "Engine plug", "plug", None,
     (("1", "housed tab 6.3", 1), ("2", "housed tab 6.3", 1), ("3", "housed tab 6.3", 1))),
    ("sock", "p1", "Engine socket", "socket", None,
     (("1", "housed receptacle 6.3", 1), ("2", "housed receptacle 6.3", 1),
      ("3", "housed receptacle 6.3", 1))),
    ("pump", "p2", "Bilge pump", "pump", "t-lamp", (("+", "lead", 1), ("−", "lead", 1))),
    ("lamp", "p3", "Bow lamp", "lamp", "t-lamp", (("+", "cup", 1), ("−", "tab 6.3", 1))),
    ("splice", "p1", "Return splice", "splice", None,
     (("1", "splice", 1), ("2", "splice", 1), ("3", "splice", 1))),
    ("radio", "p1", "Radio", "radio", "t-lamp", (("+", "lead", 1), ("−", "lead", 1))),
)  # fmt: skip


def way(fitting: str, label: str) -> str:
    return f"{fitting}.{label}"


def fittings() -> list[Row]:
    mates = {"plug": "sock", "sock": "plug"}
    found: list[Row] = []
    for n, (uid, place, name, kind, part, ways) in enumerate(FITTINGS):
        found.append(
            Fitting(uid=uid, position=n, place_uid=place, name=name, kind=kind, part_uid=part,
                    mate_uid=mates.get(uid), run_uid="r2" if uid in mates else None)
        )  # fmt: skip
        found += [
            Way(uid=way(uid, label), position=m, fitting_uid=uid, label=label, contact=contact,
                takes=takes)
            for m, (label, contact, takes) in enumerate(ways)
        ]  # fmt: skip
    bridges = [
        ("b-supply", "supply", "+", "−", "source"),
        ("b-fuse", "fuse", "in", "out", "fuse"),
        ("b-switch", "switch", "in", "out", "contact"),
        ("b-pump", "pump", "+", "−", "load"),
        ("b-lamp", "lamp", "+", "−", "load"),
        ("b-s1", "splice", "1", "2", "joined"),
        ("b-s2", "splice", "1", "3", "joined"),
    ]
    for uid, fitting, a, b, kind in bridges:
        fuse_a = 5.0 if kind == "fuse" else None
        found.append(
            Bridge(uid=uid, fitting_uid=fitting, way_a_uid=way(fitting, a),
                   way_b_uid=way(fitting, b), kind=kind, fuse_a=fuse_a)
        )  # fmt: skip
    return found


NEEDS = (
    Need(uid="n-pump", name="Bilge pump", place_uid="p2", kind="motor", rating=3.5,
         rating_unit="A", rated_at_v=12, control="permanent", service="bilge pump"),
    Need(uid="n-lamp", name="Bow lamp", place_uid="p3", kind="lamp", rating=10, rating_unit="W",
         rated_at_v=12, control="switch", control_place_uid="p1"),
    Need(uid="n-radio", name="Radio", place_uid="p1", kind="electronics", rating=6,
         rating_unit="A", rated_at_v=12, control="permanent", own_lead=True),
)  # fmt: skip
CIRCUITS = (
    Circuit(uid="c1", number=1, name="bilge pump", need_uid="n-pump"),
    Circuit(uid="c2", number=2, name="bow lamp", need_uid="n-lamp"),
    Circuit(uid="c3", number=3, name="radio", need_uid="n-radio"),
)
# uid, number, circuit, from, to, route, mm², main, tracer
LINKS = (
    ("l1", 1, "c1", "supply.+", "fuse.in", (), 2.5, "red", ""),
    ("l2", 2, "c1", "fuse.out", "pump.+", ("r1", "r2"), 2.5, "brown", "red"),
    ("l3", 3, "c1", "splice.2", "pump.−", ("r2",), 2.5, "yellow", ""),
    ("l4", 4, "c2", "switch.out", "lamp.+", ("r3",), 1.5, "dark grey", ""),
    ("l5", 5, "c2", "splice.3", "lamp.−", ("r3",), 1.5, "yellow", ""),
    ("l6", 6, "c1", "splice.1", "supply.−", ("r1",), 4.0, "yellow", ""),
    ("l7", 7, "c2", None, "switch.in", (), 1.5, "orange", ""),
    ("l8", 8, "c3", "radio.+", None, (), 1.5, "red", "black"),
)
TERMINALS = {
    "stud M8": "t-ring", "tab 6.3": "t-tab", "housed tab 6.3": "t-pin",
    "housed receptacle 6.3": "t-pin", "lead": "t-butt", "splice": None, "cup": "t-cup",
}  # fmt: skip


def contact_of(way_uid: str) -> str:
    fitting, label = way_uid.split(".")
    ways = next(row[5] for row in FITTINGS if row[0] == fitting)
    return next(contact for name, contact, _ in ways if name == label)


def end(uid: str, link: str, way_uid: str | None) -> WireEnd:
    if way_uid is None:
        return WireEnd(uid=uid, link_uid=link, loose_mm=300)
    contact = contact_of(way_uid)
    spliced = contact == "splice"
    return WireEnd(
        uid=uid, link_uid=link, terminal_part_uid=TERMINALS[contact],
        strip_mm=6.4 if spliced else None,
        shrink_part_uid="t-shrink", shrink_mm=25, allowance_mm=50,
        solder=not spliced and uid == "l4:from",
    )  # fmt: skip


def links() -> list[Row]:
    found: list[Row] = []
    for uid, number, circuit, a, b, route, mm2, main, tracer in LINKS:
        found.append(
            Link(uid=uid, number=number, circuit_uid=circuit, from_way_uid=a, to_way_uid=b,
                 route=route, csa_mm2=mm2, main=main, tracer=tracer, own_lead=uid == "l8",
                 cable_part_uid=f"t-{mm2:g}")
        )  # fmt: skip
        if uid == "l8":
            continue
        found += [end(f"{uid}:from", uid, a), end(f"{uid}:to", uid, b)]
    for n, uid in enumerate(("l2", "l3"), 1):
        found.append(
            Crossing(uid=f"x{uid}", link_uid=uid, way_a_uid=f"plug.{n}", way_b_uid=f"sock.{n}")
        )
        found += [
            end(f"{uid}:x{uid}.a", uid, f"plug.{n}"),
            end(f"{uid}:x{uid}.b", uid, f"sock.{n}"),
        ]
    return found


def design_rows() -> list[Row]:
    return [*places_and_runs(), *NEEDS, *fittings(), *CIRCUITS, *links()]


def begin(session: Session, *, quantity: int = 2) -> Launch:
    """A workshop, a customer, a job, and its loom with the whole design; not signed off yet."""
    person_id = workshop.set_up(
        session,
        WorkshopValues(name="Slack Tide Looms", address_url="http://bench.invalid:8000"),
        person_name="Ada Marr",
        initials="AM",
        demo=False,
    )
    session.add_all(
        Part(uid=uid, kind=kind, name=name, facts=facts, confirmed=uid == "t-tab")
        for uid, kind, name, facts in PARTS
    )
    session.flush()
    customer_id = customers.add(session, CustomerValues(name="Harbour Launch Club"))
    values = JobValues(
        customer_id=customer_id, title="Day launch", equipment="day launch 6.4 m",
        setting="craft", nominal_v=12, polarity="insulated return", due_on=None, notes="",
    )  # fmt: skip
    project_id = jobs.new(
        session, values, new_customer="", loom_name="main loom", loom_quantity=quantity,
        person_id=person_id,
    )  # fmt: skip
    (loom,) = looms.of_jobs(session, (project_id,))[project_id]
    revision_id = revisions.open_for_edit(session, loom.id)
    write(session, revision_id, "Enter the design", map(added, design_rows()), person_id)
    session.flush()
    return Launch(person_id, project_id, loom.id, revision_id)


def sign_off(session: Session, launch: Launch) -> None:
    """Through the gates of quote and design, as their own pages do it."""
    if stage_line.stage_of_loom(session, launch.loom_id) == "quote":
        stage_line.move(session, launch.loom_id, None, "design", launch.person_id)
    revisions.freeze(session, launch.revision_id, launch.person_id, None)


def signed_off(session: Session, *, quantity: int = 2) -> Launch:
    launch = begin(session, quantity=quantity)
    sign_off(session, launch)
    return launch
