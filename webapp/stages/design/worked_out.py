"""The last few designs that were worked out: the next request asks about the same one again.

A view follows from its inputs alone, so one is taken again only where every input is equal; nothing
has to be told to it when something is written.
"""

from collections import OrderedDict
from threading import Lock

from webapp.sizing.colours import Palette
from webapp.stages.catalogue import Catalogue
from webapp.stages.design.findings import View
from webapp.stages.design.rows import Design

# A design before and after an edit, for as many as work in a workshop.
MOST = 8

_lock = Lock()
_views: OrderedDict[int, View] = OrderedDict()


def worked_out(
    design: Design, catalogue: Catalogue, *, palette: Palette, signed: Design | None
) -> View:
    """The view of these, with what was worked out in it before."""
    with _lock:
        known = list(_views.items())
    for key, view in reversed(known):
        if (view.design, view.signed, view.palette) == (design, signed, palette) and (
            view.catalogue == catalogue
        ):
            with _lock:
                if key in _views:
                    _views.move_to_end(key)
            return view
    made = View(design, catalogue, palette=palette, signed=signed)
    with _lock:
        _views[id(made)] = made
        while len(_views) > MOST:
            _views.popitem(last=False)
    return made
