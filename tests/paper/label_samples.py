"""One label of each kind for the invented launch, and stocks to print them on."""

# ruff: noqa: E501 - one label a line

from tests.paper.samples import CIRCUITS, HEXES, QR_TEXT
from webapp.paper.label_values import Label, LabelKind
from webapp.paper.stock import LabelStock, TapeStock

LABELS = (
    Label(LabelKind.JOB_TICKET, "26-041", ("Day launch, main loom", "Dunlin Day Boats", "6 units, due 12 December 2026"), "K7M4", QR_TEXT),
    Label(LabelKind.CUSTOMER_PART, "VHF radio lead", ("26-041 Day launch", "from Dunlin Day Boats", "received 2 November 2026"), "P3X9", QR_TEXT),
    Label(LabelKind.WIRE_TAG, "5", ("Pump fuse · out", "26-041 B"), "", None, (HEXES["N"], HEXES["R"]), "NR"),
    Label(LabelKind.WIRE_TAG, "111A", ("Searchlight relay behind the wheelhouse panel · 87",), "", None, (HEXES["W"], None), "W"),
    Label(LabelKind.PLUG_TAG, "Roof plug", ("wheelhouse roof", "6 way, 5 used"), "F2C8", QR_TEXT),
    Label(LabelKind.BRANCH_TAG, "helm to foredeck", ("2,400 mm, 4 wires", "PVC sleeve"), "B6T1", QR_TEXT),
    Label(LabelKind.CUT_BUNDLE, "N R 2.5 mm²", ("wires 5, 16, 29", "6 of each, 36.4 m", "units 1 to 6"), "C4N2", QR_TEXT, (HEXES["N"], HEXES["R"]), "NR"),
    Label(LabelKind.KIT_BAG, "Unit 2", ("26-041 Day launch", "terminals and seals"), "U2Q7", QR_TEXT),
    Label(LabelKind.PART_BIN, "Tab receptacle 6.3", ("1.0 to 2.5 mm², tin", "bin T-04"), "T-04", QR_TEXT),
    Label(LabelKind.TRAVELLER, "02-0417", ("26-041 Day launch, unit 2 of 6", "revision B"), "U2Q7", QR_TEXT),
    Label(LabelKind.PASSED, "02-0417", ("tested 20 November 2026", "certificate 26-041-02"), "U2Q7", QR_TEXT),
    Label(LabelKind.FAILED, "03-0417", ("tested 20 November 2026", "wire 12: 31 mΩ"), "U3R1", QR_TEXT),
    Label(LabelKind.FUSE_CHART, "Fuse board", tuple(f"{c.number} {c.name} {c.fuse}" for c in CIRCUITS * 2), "K7M4", QR_TEXT),
    Label(LabelKind.HAND_OVER, "Day launch", ("main loom 02-0417", "Tern Lane Looms 01632 960 417"), "K7M4", QR_TEXT),
)  # fmt: skip

SMALL = LabelStock(38, 21, 5, 13, 8, 10, 38.5, 21.2)
MIDDLE = LabelStock(63.5, 38.1, 3, 7, 7, 15, 66, 38.1)
LARGE = LabelStock(100, 50, 2, 5, 4, 15, 101, 52)
TAPE_8 = TapeStock(8, 50)
TAPE_12 = TapeStock(12, 60)
TAPE_24 = TapeStock(24, 70)
STOCKS = {
    "small": SMALL,
    "middle": MIDDLE,
    "large": LARGE,
    "tape8": TAPE_8,
    "tape12": TAPE_12,
    "tape24": TAPE_24,
}
