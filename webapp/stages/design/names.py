"""Places and needs are named, not numbered, where a person types: names to uids while a table is
taken in. A place that is named for the first time is made."""

from collections.abc import Iterable

from webapp.stages.design.commands import new_uid
from webapp.stages.design.rows import Design, Need, Place
from webapp.stages.refusals import Refused


def key(name: str) -> str:
    """What makes two names the same: not capitals, not the blanks between words."""
    return " ".join(name.split()).casefold()


class Names:
    """The names as they will stand after the save, with the old ones behind them."""

    def __init__(self, design: Design) -> None:
        self.design = design
        self.made: list[Place] = []
        self._before = {key(place.name): uid for uid, place in design.place.items()}
        self._places: dict[str, str] = {}
        self._needs: dict[str, list[str]] = {}

    def take_places(self, places: Iterable[Place]) -> None:
        """The places as typed; a name that one of them has given up still leads to it."""
        self._places = {key(place.name): place.uid for place in places}

    def take_needs(self, needs: Iterable[tuple[str, str]]) -> None:
        """Name and uid of every need that will be there."""
        self._needs = {}
        for name, uid in needs:
            self._needs.setdefault(key(name), []).append(uid)

    def place(self, name: str) -> str:
        """The uid of the place; made when nothing is called so."""
        known = key(name)
        uid = self._places.get(known) or self._before.get(known)
        if uid is None:
            place = Place(uid=new_uid(), name=" ".join(name.split()))
            self.made.append(place)
            uid = self._places[known] = place.uid
        return uid

    def place_if_any(self, name: str) -> str | None:
        return self.place(name) if name else None

    def need(self, field: str, name: str) -> str | None:
        """The uid of the need of this name; None for no name.

        Raises:
            Refused: no need, or more than one, is called so.
        """
        if not name:
            return None
        found = self._needs.get(key(name), [])
        if len(found) != 1:
            many = "More than one need is" if found else "No need is"
            raise Refused(field, f"{many} called “{name}”: give the name of one need of this loom.")
        return found[0]


def place_name(design: Design, uid: str | None) -> str:
    return "" if uid is None else design.place[uid].name


def need_name(design: Design, uid: str | None) -> str:
    need: Need | None = None if uid is None else design.need.get(uid)
    return "" if need is None else need.name


def listed(things: Iterable[str], most: int = 4) -> str:
    """a, b and c; after `most` of them only how many more."""
    found = list(things)
    if len(found) > most:
        found = [*found[: most - 1], f"{len(found) - most + 1} more"]
    return found[0] if len(found) == 1 else f"{', '.join(found[:-1])} and {found[-1]}"
