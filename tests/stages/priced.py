"""The launch of launch.py with every part priced: ready to be quoted.

Prices are round figures of this test's own, so that sums can be done by hand.
"""

from sqlalchemy.orm import Session

from tests.stages.launch import Launch, begin
from webapp.records.catalogue import Part
from webapp.stages.design import rows
from webapp.stages.design.commands import changed, write

# uid: price in minor units, per how many, unit
PRICES = {
    "t-ring": (2000, 100, "each"),
    "t-tab": (1000, 100, "each"),
    "t-pin": (1500, 100, "each"),
    "t-butt": (3000, 100, "each"),
    "t-cup": (400, 100, "each"),
    "t-shrink": (80, 1, "m"),
    "t-1.5": (4000, 100, "m"),
    "t-2.5": (6000, 100, "m"),
    "t-4": (9000, 100, "m"),
}
NEW_PARTS = (
    ("t-holder", "fuse holder", "Holder, launch", {"what": "fuse holder"}, 260, "each"),
    ("t-switch", "switchgear", "Switch, launch", {"what": "switch"}, 500, "each"),
    ("t-plug", "plug and socket", "Plug 3-way, launch", {"plug_ways": 3}, 510, "each"),
    ("t-splice", "splice", "Splice, launch", {"what": "splice"}, 35, "each"),
    ("t-conduit", "covering", "Conduit, launch", {"covering": "split conduit"}, 120, "m"),
    ("t-sleeve", "covering", "Sleeve, launch", {"covering": "PVC sleeve"}, 100, "m"),
    ("t-fuse", "fuse-link", "Fuse-link 5 A, launch", {"rating_a": 5}, 20, "each"),
)
PART_OF_FITTING = {
    "fuse": "t-holder", "switch": "t-switch", "plug": "t-plug", "sock": "t-plug",
    "splice": "t-splice",
}  # fmt: skip
CUSTOMERS = ("supply", "pump", "lamp", "radio")


def complete(session: Session, launch: Launch) -> None:
    """Gives the launch its prices, and the parts that nobody had chosen."""
    for uid, (price_minor, per, unit) in PRICES.items():
        part = session.get_one(Part, uid)
        part.price_minor, part.price_per, part.price_unit = price_minor, per, unit
    session.add_all(
        Part(uid=uid, kind=kind, name=name, facts=facts, price_minor=minor, price_unit=unit)
        for uid, kind, name, facts, minor, unit in NEW_PARTS
    )
    session.flush()
    design = rows.load(session, launch.revision_id)
    changes = [
        changed(design.fitting[uid], part_uid=part_uid) for uid, part_uid in PART_OF_FITTING.items()
    ]
    changes += [
        changed(design.fitting[uid], supplied_by="customer", part_uid=None) for uid in CUSTOMERS
    ]
    changes += [
        changed(design.run["r1"], covering_part_uid="t-conduit"),
        changed(design.run["r2"], covering_part_uid="t-sleeve"),
        changed(design.bridge["b-fuse"], fuse_part_uid="t-fuse"),
        changed(design.bridge["b-pump"], need_uid="n-pump"),
    ]
    write(session, launch.revision_id, "Choose the parts", changes, launch.person_id)
    session.flush()


def priced_launch(session: Session, *, quantity: int = 6) -> Launch:
    """A workshop, a customer, a job and its loom, all of it priced."""
    launch = begin(session, quantity=quantity)
    complete(session, launch)
    return launch
