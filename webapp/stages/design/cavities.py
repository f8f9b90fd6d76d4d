"""Cavities of sealed plug halves that no wire goes into: water comes in unless blanked."""

from collections.abc import Collection, Mapping

from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.rows import Design, Fitting, Way


def is_sealed(parts: Mapping[str, CatalogPart], fitting: Fitting) -> bool:
    """Whether a half's housing is sealed."""
    part = parts.get(fitting.part_uid or "")
    return part is not None and part.kind == "plug and socket" and bool(part.text("sealed"))


def empty_cavities(
    design: Design, parts: Mapping[str, CatalogPart], used_ways: Collection[str | None]
) -> list[tuple[Fitting, list[Way]]]:
    """Each sealed half that has empty cavities, with them; `used_ways` are those with a wire."""
    found = []
    for fitting in design.fitting.values():
        if is_sealed(parts, fitting):
            empty = [way for way in design.ways_of[fitting.uid] if way.uid not in used_ways]
            if empty:
                found.append((fitting, empty))
    return found
