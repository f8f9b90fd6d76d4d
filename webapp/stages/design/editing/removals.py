"""Taking out wires and fittings: what goes with them is named first, and nothing goes unsaid."""

from webapp.stages.catalogue import Catalogue
from webapp.stages.design.commands import Clash
from webapp.stages.design.editing.cables import without_empty
from webapp.stages.design.editing.edit import Edit, Editing, get, mark_removed, take
from webapp.stages.design.editing.plugs import take_out
from webapp.stages.design.editing.settling import on_ways
from webapp.stages.design.rows import Design, Fitting, Link


def remove_wire(link_uid: str) -> Editing:
    """Take out a wire, with its ends and its ways through plugs."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        link: Link = get(design, "link", link_uid)
        return Edit(without_wires(design, [link]), f"Take out {wire_words(design, link)}")

    return edit


def wire_words(design: Design, link: Link) -> str:
    """Wire 12, Horn · + to Negative bar · 5."""
    a, b = design.way_name(link.from_way_uid), design.way_name(link.to_way_uid)
    return f"wire {link.number}, {a} to {b}"


def without_wires(design: Design, links: list[Link]) -> Design:
    """The design without these links, their ends and their ways through plugs."""
    uids = {link.uid for link in links}
    after = design
    for table in ("wire_end", "crossing"):
        rows = design.table(table).items()
        after = take(after, table, [uid for uid, row in rows if row.link_uid in uids])
    after = without_empty(take(after, "link", uids))
    marked = []
    for link in links:
        words = wire_words(design, link)
        marked.append((link, f"{words[:1].upper()}{words[1:]}"))
    return mark_removed(after, marked)


def wires_of_fitting(design: Design, fitting_uid: str) -> list[Link]:
    """The wires that go with a fitting when it is taken out; a plug lets them run through."""
    fitting: Fitting = get(design, "fitting", fitting_uid)
    if fitting.mate_uid is not None:
        return []
    return [design.link[uid] for uid in on_ways(design, _ways(design, fitting_uid))]


def _ways(design: Design, fitting_uid: str) -> list[str]:
    return [way.uid for way in design.ways_of[fitting_uid]]


def remove_fitting(fitting_uid: str, agreed: tuple[str, ...]) -> Editing:
    """Take out a fitting and its wires; `agreed` has the uids of the wires that were named.

    The edit raises Clash: other wires go to it by now.
    """

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        fitting: Fitting = get(design, "fitting", fitting_uid)
        if fitting.mate_uid is not None:
            return take_out(fitting_uid)(design, catalogue)
        links = wires_of_fitting(design, fitting_uid)
        standing = tuple(sorted(link.uid for link in links))
        if standing != tuple(sorted(agreed)):
            raise Clash("wires", agreed, standing, ())
        after = without_wires(design, links)
        inside = [uid for uid, each in after.bridge.items() if each.fitting_uid == fitting_uid]
        after = take(after, "bridge", inside)
        after = take(after, "way", _ways(design, fitting_uid))
        after = take(after, "fitting", [fitting_uid])
        after = mark_removed(after, [(fitting, fitting.name)])
        words = f", with {len(links)} wires" if len(links) > 1 else ", with its wire"
        return Edit(after, f"Take out {fitting.name}{words if links else ''}")

    return edit
