"""A loom of some hundred wires to measure with: an invented survey launch.

Its list of needs stands here alone; the rest comes of a proposal, as in real work.
"""

from dataclasses import replace
from itertools import cycle, islice

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.jobs import Loom
from webapp.records.people import Person
from webapp.stages import jobs, quotes, workshop
from webapp.stages.building import units
from webapp.stages.catalogue import Catalogue, seed_parts
from webapp.stages.design import commands, proposing, revisions, sign_off
from webapp.stages.design.defaults import first_basis
from webapp.stages.design.needs import drop_percent
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Design, Need, Place, Run, load
from webapp.stages.jobs import JobValues
from webapp.stages.workshop import WorkshopValues

VOLTS, POLARITY, SETTING = 12, "insulated return", "craft"
# So many needs make a loom of about three hundred wires.
NEEDS = 63

BATTERY, HELM = "battery locker", "wheelhouse"
# Each leads on from a place that was reached before: length in mm, covering, °C around it.
RUNS = (
    (BATTERY, "engine box", 1200, "split conduit", 55.0),
    ("engine box", HELM, 2400, "split conduit", 45.0),
    (HELM, "chart table", 900, "PVC sleeve", 35.0),
    (HELM, "fore cabin", 1800, "PVC sleeve", 35.0),
    ("fore cabin", "foredeck", 2100, "split conduit", 40.0),
    (HELM, "mast foot", 1500, "PVC sleeve", 35.0),
    ("engine box", "aft deck", 2600, "split conduit", 40.0),
    ("aft deck", "lazarette", 1400, "split conduit", 40.0),
    ("aft deck", "port quarter", 1100, "PVC sleeve", 40.0),
    ("aft deck", "starboard quarter", 1300, "PVC sleeve", 40.0),
)
INSIDE = ("chart table", "fore cabin", HELM)
OUTSIDE = ("aft deck", "foredeck", "mast foot")
LOW = ("engine box", "lazarette", "fore cabin")
QUARTERS = ("port quarter", "starboard quarter", "foredeck")
# What is asked for again and again, each time at the next of its places.
LOADS = (
    ("Cabin lamp", "led", 5, "W", "switch", "cabin lamps", INSIDE),
    ("Deck lamp", "led", 10, "W", "switch", "work lamps", OUTSIDE),
    ("Navigation lamp", "led", 3, "W", "switch", "navigation", QUARTERS),
    ("Bilge pump", "motor", 2, "A", "float switch", "pump", LOW),
    ("Sounder", "electronics", 0.5, "A", "permanent", "instrument", ("chart table", "lazarette")),
    ("Horn", "motor", 2, "A", "push button via relay", "horn", ("foredeck", "mast foot")),
    ("Fan", "motor", 0.5, "A", "switch", "blower", INSIDE),
    ("Floodlamp", "led", 20, "W", "switch via relay", "work lamps", OUTSIDE),
    ("Wash pump", "motor", 1.5, "A", "switch", "pump", ("aft deck", "foredeck")),
)


def needed(needs: int = NEEDS) -> Design:
    """Places, runs and so many needs; nothing is proposed yet."""
    names = (BATTERY, *(to_place for _from, to_place, *_facts in RUNS))
    places = [Place(uid=_uid(name), position=n, name=name) for n, name in enumerate(names)]
    runs = [_run(n, *facts) for n, facts in enumerate(RUNS)]
    wanted = [_need(n, *facts) for n, facts in enumerate(islice(cycle(LOADS), needs))]
    basis = replace(
        first_basis(VOLTS, SETTING),
        supply_place_uid=_uid(BATTERY),
        isolator_place_uid=_uid(BATTERY),
        fuse_board_place_uid=_uid(HELM),
        plug_place_uids=(_uid(HELM), _uid("aft deck")),
    )
    return Design(
        VOLTS,
        POLARITY,
        SETTING,
        basis,
        place={row.uid: row for row in places},
        run={row.uid: row for row in runs},
        need={row.uid: row for row in wanted},
    )


def proposed(needs: int = NEEDS) -> Design:
    """The same with its proposal taken, from the catalogue as it is supplied."""
    catalogue = Catalogue({part.uid: part for part in seed_parts()})
    return propose(needed(needs), catalogue).design


def enter(session: Session, needs: int = NEEDS) -> int:
    """Sets up a workshop with this one job, and takes the proposal. Returns the loom's id."""
    values = WorkshopValues(name="Tern Lane Looms")
    owner = workshop.set_up(session, values, person_name="Ada Quill", initials="AQ", demo=False)
    job = JobValues(
        customer_id=0,
        title="Survey launch",
        equipment="survey launch 11 m, inboard diesel",
        setting=SETTING,
        nominal_v=VOLTS,
        polarity=POLARITY,
        due_on=None,
        notes="",
    )
    jobs.new(
        session,
        job,
        new_customer="Saltings Drainage Board",
        loom_name="main loom",
        loom_quantity=2,
        person_id=owner,
    )
    loom_id = session.scalars(select(Loom.id)).one()
    revision_id = revisions.open_for_edit(session, loom_id)
    before = load(session, revision_id)
    wanted = needed(needs)
    wanted = replace(wanted, basis=replace(wanted.basis, uid=before.basis.uid))
    entered = commands.difference(before, wanted)
    last = commands.write(session, revision_id, "Places, runs and needs entered", entered, owner)
    proposing.take(session, loom_id, last or 0, owner)
    return loom_id


def put_to_the_bench(session: Session, loom_id: int) -> None:
    """Signs the loom off and starts its units."""
    owner = session.scalars(select(Person.id)).one()
    quotes.without_quote(session, loom_id, reason="Measured only.", person_id=owner)
    revision_id = revisions.latest(session, loom_id).id
    sign_off.sign_off(session, loom_id, revision_id, owner)
    units.start(session, loom_id, owner, "full")


def _uid(name: str) -> str:
    return name.replace(" ", "-")


def _run(
    position: int, from_place: str, to_place: str, length_mm: int, covering: str, surround_c: float
) -> Run:
    return Run(
        uid=f"to-{_uid(to_place)}",
        position=position,
        from_place_uid=_uid(from_place),
        to_place_uid=_uid(to_place),
        length_mm=length_mm,
        covering=covering,
        surround_c=surround_c,
    )


def _need(
    position: int,
    name: str,
    kind: str,
    rating: float,
    unit: str,
    control: str,
    service: str,
    places: tuple[str, ...],
) -> Need:
    """The so-many-eth need: it is numbered, as those of one name must differ."""
    turn = position // len(LOADS)
    place = places[turn % len(places)]
    return Need(
        uid=f"need-{position}",
        position=position,
        name=f"{name} {turn + 1}",
        place_uid=_uid(place),
        kind=kind,
        rating=rating,
        rating_unit=unit,
        rated_at_v=float(VOLTS),
        control=control,
        control_place_uid=_uid(place if control == "float switch" else HELM),
        service=service,
        max_drop_percent=drop_percent(SETTING, service),
    )
