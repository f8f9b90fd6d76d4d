"""Plugs put in at a place on a run, and taken out again: the wires are then as before."""

from webapp.stages.catalogue import Catalogue
from webapp.stages.design.editing.edit import Edit, Editing, get, mark_removed, take
from webapp.stages.design.editing.settling import keep_lengths, with_new_ends
from webapp.stages.design.halves import spare_labels
from webapp.stages.design.names import listed
from webapp.stages.design.proposal.plugs import Plugs
from webapp.stages.design.rows import Crossing, Design, Fitting, Run
from webapp.stages.refusals import Refused


def put_in(place_uid: str, run_uid: str, *, sealed: bool = False) -> Editing:
    """Put plugs in at one end of a run: every link that passes there gets a way, heaviest first.

    Spare ways of plugs that are there are filled before new ones come.

    The edit raises Refused: no link passes there without a plug, or no plug takes one of them.
    """

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        run: Run | None = design.run.get(run_uid)
        if run is None:
            raise Refused("run_uid", "This run is no longer there: choose another.")
        if place_uid not in (run.from_place_uid, run.to_place_uid):
            raise Refused("run_uid", "A plug stands at one end of a run.")
        plugs = Plugs(design, catalogue)
        plugs.insert(place_uid, run_uid, sealed=sealed)
        said = [named.sentence for named in plugs.said]
        new = [each for uid, each in plugs.design.crossing.items() if uid not in design.crossing]
        place = design.place[place_uid].name
        if not new:
            why = " ".join(said) or "No wire passes there without one."
            raise Refused("run_uid", f"No plug was put in. {why}")
        links = list(dict.fromkeys(each.link_uid for each in new))
        after = keep_lengths(design, plugs.design, links, said)
        after, more = with_new_ends(design, after, catalogue, links)
        for uid, half in after.fitting.items():
            if uid not in design.fitting and half.run_uid:
                said.append(_filled(after, half))
        said += _splices_in_the_way(design, place_uid, run_uid)
        return Edit(after, f"{_done(design, after)} at {place}", (*said, *more))

    return edit


def _done(before: Design, after: Design) -> str:
    pairs = (len(after.fitting) - len(before.fitting)) // 2
    if not pairs:
        return "Lead wires through the plug"
    return "Put in a plug and socket" if pairs == 1 else f"Put in {pairs} plugs and sockets"


def _splices_in_the_way(design: Design, place_uid: str, run_uid: str) -> list[str]:
    """A splice that joins wires beyond the plug cannot lie in the run before it."""
    return [
        f"{splice.name} is set back into this run: with a plug at its end, let it lie at its place "
        f"or in another run."
        for splice in design.fitting.values()
        if splice.place_uid == place_uid and splice.along_run_uid == run_uid
    ]


def _filled(design: Design, half: Fitting) -> str:
    ways, spare = len(design.ways_of[half.uid]), len(spare_labels(design, half))
    left = f"{spare} spare" if spare else "none spare"
    return f"{half.name}: {ways - spare} of {ways} ways used, {left}."


def take_out(fitting_uid: str) -> Editing:
    """Take out a plug and its socket, given either half: the wires run through again.

    The edit raises Refused: a wire of its own ends there.
    """

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        half: Fitting = get(design, "fitting", fitting_uid)
        halves = [half, *filter(None, [design.fitting.get(half.mate_uid or "")])]
        ways = {way.uid for each in halves for way in design.ways_of[each.uid]}
        ending = [
            f"wire {link.number}"
            for link in design.link.values()
            if {link.from_way_uid, link.to_way_uid} & ways
        ]
        if ending:
            raise Refused(
                "remove",
                f"{half.name} cannot be taken out: {listed(ending)} ends there. Lead that "
                f"elsewhere, or take it out first.",
            )
        crossings = crossings_by(design, ways)
        after = take(design, "crossing", [each.uid for each in crossings])
        after = take(take(after, "way", ways), "fitting", [each.uid for each in halves])
        links = list(dict.fromkeys(each.link_uid for each in crossings))
        after = keep_lengths(design, after, links)
        after, _ = with_new_ends(design, after, catalogue, links)
        name = half.name.rpartition(",")[0] or half.name
        after = mark_removed(after, [(each, name) for each in halves])
        return Edit(after, f"Take out {name}")

    return edit


def crossings_by(design: Design, ways: set[str]) -> list[Crossing]:
    """The crossings by any of these ways."""
    return [each for each in design.crossing.values() if {each.way_a_uid, each.way_b_uid} & ways]
