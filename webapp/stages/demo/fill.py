"""Fills an empty database with the demo workshop."""

from dataclasses import dataclass
from datetime import timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.jobs import Loom
from webapp.stages import catalogue, instruments, jobs, people, pricing, quotes, received, workshop
from webapp.stages.building import bench, crimp_records, crimp_standing, taking, units
from webapp.stages.building.crimp_groups import group_of_key
from webapp.stages.building.crimp_records import SetUpValues
from webapp.stages.building.gate import pass_to_test
from webapp.stages.clock import today
from webapp.stages.demo.need_lists import rows
from webapp.stages.design import commands, proposing, revisions, sign_off
from webapp.stages.design.commands import added, changed, write
from webapp.stages.design.rows import load
from webapp.stages.instruments import InstrumentValues
from webapp.stages.jobs import JobValues
from webapp.stages.testing import readings
from webapp.stages.testing.first_off import FIRST, crimp_items
from webapp.stages.testing.gate import pass_to_done
from webapp.stages.testing.items import FOUR_WIRE, Item
from webapp.stages.testing.readings import Measured
from webapp.stages.testing.standing import plan_of
from webapp.stages.workshop import WorkshopValues

METERS = ("Multimeter", "Four-wire ohmmeter", "Insulation tester", "Pull gauge", "Crimp micrometer")


@dataclass(frozen=True)
class DemoJob:
    folder: str
    customer: str
    title: str
    equipment: str
    setting: str
    nominal_v: int
    polarity: str
    loom: str
    quantity: int
    due_in_days: int
    supply: str
    isolator: str = ""
    plugs: tuple[str, ...] = ()


TENDER = DemoJob(
    "tender", "Dunlin Day Boats", "Harbour tender", "harbour tender 5.2 m, inboard diesel",
    "craft", 12, "insulated return", "main loom", 2, 18, "battery locker", "battery locker",
    ("console",),
)  # fmt: skip
TROLLEY = DemoJob(
    "trolley", "Harrow Vale Light Railway", "Inspection trolley",
    "narrow-gauge inspection trolley no. 3", "railway", 24, "insulated return", "frame loom", 1, 40,
    "battery tray", "battery tray",
)  # fmt: skip
TRACTOR = DemoJob(
    "tractor", "T. Alder, Withy Farm", "Old tractor", "grey two-cylinder tractor, dynamo removed",
    "plant", 6, "positive earth", "lamp loom", 1, 25, "battery carrier",
)  # fmt: skip
DREDGER = DemoJob(
    "dredger", "Saltings Drainage Board", "Dredger priming pump", "bucket dredger, pump house",
    "plant", 24, "insulated return", "pump house loom", 3, 60, "battery box",
)  # fmt: skip


def fill(session: Session) -> None:
    """One job at each stage: needs only, quoted, in design, at the bench and done."""
    demo = _Demo(session)
    demo.begin()
    demo.enter(DREDGER)
    trolley = demo.enter(TROLLEY)
    demo.propose(trolley)
    demo.issue(trolley)
    tractor = demo.enter(TRACTOR)
    demo.propose(tractor)
    demo.accept(demo.issue(tractor), "T. Alder")
    tender = demo.enter(TENDER)
    demo.propose(tender)
    demo.accept(demo.issue(tender), "J. Dunlin")
    demo.build(tender)


class _Demo:
    def __init__(self, session: Session) -> None:
        self.session = session
        self.owner = 0
        self.maker = 0

    def begin(self) -> None:
        values = WorkshopValues(
            name="Tern Lane Looms",
            address="Unit 4, The Ropewalk\nTern Lane",
            phone="01632 960 118",
            email="bench@ternlane.example",
            vat_number="",
        )
        self.owner = workshop.set_up(
            self.session, values, person_name="Ada Quill", initials="AQ", demo=True
        )
        self.maker = people.add(self.session, name="Ben Sable", initials="BS", role="bench")
        people.add(self.session, name="Cora Finch", initials="CF", role="office")
        for name in METERS:
            self._instrument(name)

    def _instrument(self, name: str) -> int:
        values = InstrumentValues(
            name=name,
            serial=f"TL-{len(name):03d}",
            calibrated_on=today() - timedelta(days=60),
            calibration_due_on=today() + timedelta(days=305),
        )
        return instruments.add(self.session, values)

    def enter(self, demo: DemoJob) -> int:
        """A job with its needs, as if typed. Returns the id of its loom."""
        values = JobValues(
            customer_id=0,
            title=demo.title,
            equipment=demo.equipment,
            setting=demo.setting,
            nominal_v=demo.nominal_v,
            polarity=demo.polarity,
            due_on=today() + timedelta(days=demo.due_in_days),
            notes="",
        )
        project_id = jobs.new(
            self.session,
            values,
            new_customer=demo.customer,
            loom_name=demo.loom,
            loom_quantity=demo.quantity,
            person_id=self.owner,
        )
        loom_id = self.session.scalars(select(Loom.id).where(Loom.project_id == project_id)).one()
        self._type(demo, loom_id)
        return loom_id

    def _type(self, demo: DemoJob, loom_id: int) -> None:
        revision_id = revisions.open_for_edit(self.session, loom_id)
        typed = rows(demo.folder)
        sentence = f"{len(typed)} places, runs and needs entered"
        write(self.session, revision_id, sentence, [added(row) for row in typed], self.owner)
        design = load(self.session, revision_id)
        place = {row.name: uid for uid, row in design.place.items()}
        basis = changed(
            design.basis,
            supply_place_uid=place[demo.supply],
            isolator_place_uid=place.get(demo.isolator),
            plug_place_uids=tuple(place[name] for name in demo.plugs),
        )
        write(self.session, revision_id, "What the sizing rests on entered", [basis], self.owner)

    def propose(self, loom_id: int) -> None:
        revision_id = revisions.latest(self.session, loom_id).id
        last = commands.last_id(self.session, revision_id)
        proposing.take(self.session, loom_id, last, self.owner)

    def issue(self, loom_id: int) -> int:
        price = pricing.read(self.session, loom_id).price
        assert price is not None
        return quotes.issue(
            self.session,
            loom_id,
            key=f"demo-{loom_id:08d}",
            seen_minor=price.pay.total.minor,
            person_id=self.owner,
        )

    def accept(self, quote_id: int, by_whom: str) -> None:
        quotes.accept(
            self.session,
            quote_id,
            by_whom=by_whom,
            accepted_on=today(),
            note="",
            person_id=self.owner,
        )

    def build(self, loom_id: int) -> None:
        """Signed off; the first unit done, the second half made."""
        session = self.session
        loom = session.get_one(Loom, loom_id)
        received.add(
            session,
            loom.project_id,
            what="Bilge pump with float switch",
            quantity=2,
            from_whom="Dunlin Day Boats",
            received_on=today(),
            condition="new, boxed",
            person_id=self.owner,
        )
        revision_id = revisions.latest(session, loom_id).id
        sign_off.sign_off(session, loom_id, revision_id, self.owner)
        first, second = units.start(session, loom_id, self.maker, "full")
        self._set_tools_up(first)
        self._tick(first, share=1.0)
        pass_to_test(session, first, self.maker)
        self._test(first)
        pass_to_done(session, first, self.owner)
        self._tick(second, share=0.45)

    def _tick(self, unit_id: int, *, share: float) -> None:
        steps = list(units.plan_of(self.session, units.get(self.session, unit_id)))
        entries = [
            bench.Entry(f"demo-{unit_id}-{n:06d}", step.uid, "done", self.maker)
            for n, step in enumerate(steps[: round(len(steps) * share)])
        ]
        taking.append(self.session, unit_id, entries, "bench tablet")

    def _set_tools_up(self, unit_id: int) -> None:
        """A tool for each terminal on each conductor, with its first-offs."""
        unit = units.get(self.session, unit_id)
        parts = catalogue.read(self.session).parts
        meters = self._meters()
        for n, group in enumerate(crimp_standing.groups(self.session, unit), 1):
            terminal_uid, csa_mm2 = group_of_key(group.key)
            values = SetUpValues(
                tool=parts[terminal_uid].text("tool") or "hand tool 2",
                die=f"{csa_mm2:g}",
                wire_lot=f"R{csa_mm2 * 10:.0f}-114",
                terminal_lot=f"K-{200 + n}",
            )
            key = f"demo-{unit_id}-crimp-{n:03d}"
            setup_id = crimp_records.begin(
                self.session, unit_id, group.key, values, key=key, person_id=self.maker
            )
            crimp_records.measure(
                self.session,
                unit_id,
                group.key,
                setup_id,
                FIRST,
                [_measured(item) for item in crimp_items(parts, group.key, FIRST)],
                instruments={"height": meters["Crimp micrometer"], "pull": meters["Pull gauge"]},
                key=key,
                person_id=self.maker,
            )

    def _meters(self) -> dict[str, int]:
        return {row.values.name: row.id for row in instruments.everything(self.session)}

    def _test(self, unit_id: int) -> None:
        plan = plan_of(self.session, units.get(self.session, unit_id))
        meters = self._meters()
        for n, item in enumerate(item for item in plan.items if not item.setup):
            readings.record(
                self.session,
                unit_id,
                _measured(item),
                key=f"demo-{unit_id}-{n:06d}",
                person_id=self.maker,
                instrument_id=meters[_meter(item)],
                plan=plan,
            )


def _meter(item: Item) -> str:
    return {
        "resistance": "Four-wire ohmmeter",
        "isolation": "Insulation tester",
    }.get(item.kind, "Multimeter")


def _measured(item: Item) -> Measured:
    """A reading well inside the item's limits."""
    method = FOUR_WIRE if item.kind == "resistance" else ""
    if not item.measured:
        return Measured(item.uid, verdict="pass")
    low, high = item.low, item.high
    if low is not None and high is not None:
        value = (low + high) / 2
    elif high is not None:
        value = high * 0.7
    else:
        value = (low or 1.0) * 1.4
    digits = 0 if item.unit == "N" else 3
    return Measured(item.uid, value=round(value, digits), verdict="pass", method=method)
