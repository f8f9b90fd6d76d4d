"""Ways through the runs: the shortest, the others on offer, and whether one still leads there."""

from webapp.stages.design.proposal.builder import shortest
from webapp.stages.design.rows import Design, Link
from webapp.stages.design.wires import start_place, travelled

Route = tuple[str, ...]
MOST_ROUTES = 12
MOST_STEPS = 4000


def shortest_route(design: Design, a: str, b: str) -> Route | None:
    """The shortest way; through runs that are not measured only where nothing else leads."""
    measured = [run for run in design.run.values() if run.length_mm]
    found = shortest(measured, a, b)
    return shortest(list(design.run.values()), a, b) if found is None else found


def leads(design: Design, route: Route, a: str, b: str) -> bool:
    """Whether these runs lead, one after the other, from a to b."""
    here = a
    for uid in route:
        run = design.run.get(uid)
        if run is None or here not in (run.from_place_uid, run.to_place_uid):
            return False
        here = run.to_place_uid if here == run.from_place_uid else run.from_place_uid
    return here == b


def routes_between(design: Design, a: str, b: str) -> list[Route]:
    """The ways that pass no place twice, the shortest first; at most a dozen."""
    runs_at: dict[str, list[tuple[str, str]]] = {}
    for run in design.run.values():
        runs_at.setdefault(run.from_place_uid, []).append((run.uid, run.to_place_uid))
        runs_at.setdefault(run.to_place_uid, []).append((run.uid, run.from_place_uid))
    found: list[Route] = []
    waiting: list[tuple[str, Route, frozenset[str]]] = [(a, (), frozenset({a}))]
    for _ in range(MOST_STEPS):
        if not waiting or len(found) >= MOST_ROUTES:
            break
        here, route, seen = waiting.pop(0)
        if here == b:
            found.append(route)
            continue
        for uid, there in runs_at.get(here, ()):
            if there not in seen:
                waiting.append((there, (*route, uid), seen | {there}))
    return sorted(found, key=lambda route: (route_mm(design, route), len(route)))


def route_mm(design: Design, route: Route) -> int:
    return sum(design.run[uid].length_mm or 0 for uid in route)


def route_words(design: Design, start: str, route: Route) -> str:
    """battery box – helm – bow."""
    here, names = start, [design.place[start].name]
    for uid in route:
        run = design.run[uid]
        here = run.to_place_uid if here == run.from_place_uid else run.from_place_uid
        names.append(design.place[here].name)
    return " – ".join(names)


def ends_at(design: Design, link: Link) -> tuple[str | None, str | None]:
    """The places at the two ends of a link, also of one that is left loose."""
    start = start_place(design, link)
    if link.to_way_uid is not None:
        return start, design.place_of_way(link.to_way_uid)
    steps = travelled(design, link)
    return start, steps[-1][1] if steps else start
