"""Plug and socket halves in a design: which stand where, and which of their ways are free."""

from webapp.stages.design.rows import Design, Fitting


def halves_at(design: Design, run_uid: str | None, place_uid: str) -> list[Fitting]:
    """The halves, on the run's side, of every plug at one end of a run."""
    return [
        fitting
        for fitting in design.fitting.values()
        if fitting.mate_uid and fitting.run_uid == run_uid and fitting.place_uid == place_uid
    ]


def spare_labels(design: Design, half: Fitting) -> list[str]:
    """Labels of a plug's ways that neither half uses."""
    used = used_ways(design)
    mates = {way.label: way.uid for way in design.ways_of.get(half.mate_uid or "", ())}
    return [
        way.label
        for way in design.ways_of[half.uid]
        if way.uid not in used and way.label in mates and mates[way.label] not in used
    ]


def used_ways(design: Design) -> set[str | None]:
    """Ways that some wire goes to."""
    used: set[str | None] = set()
    for link in design.link.values():
        used |= {link.from_way_uid, link.to_way_uid}
    for crossing in design.crossing.values():
        used |= {crossing.way_a_uid, crossing.way_b_uid}
    return used
