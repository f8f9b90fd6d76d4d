"""Case of the rule about parts in stock."""

from dataclasses import replace

from tests.stages.design.findings.case import Case, Seen
from tests.stages.design.findings.samples import SOUND, fed
from tests.stages.design.need_lists import CATALOGUE
from webapp.stages.catalogue import Catalogue


def out_of_stock() -> Seen:
    """The stores no longer keep the cable of one wire."""
    part = CATALOGUE.parts[fed().cable_part_uid or ""]
    return Seen(SOUND, Catalogue(CATALOGUE.parts | {part.uid: replace(part, stocked=False)}))


CASES = (Case("not stocked", out_of_stock),)
