"""Circles in a directed graph, and among supersessions."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from shared.interchange.found import Loop
from shared.interchange.model import Supersession


def loops_among(supersessions: Iterable[Supersession]) -> tuple[Loop, ...]:
    """Return every circle among supersessions once, by rising part id; conditions are not asked.

    A part that supersedes itself is a circle of one.
    """
    records = [record for _, record in sorted({one.id: one for one in supersessions}.items())]
    successors: dict[str, list[str]] = {}
    for record in records:
        later = successors.setdefault(record.earlier_part_id, [])
        later.extend(line.part_id for line in record.later_lines)
    circles = circles_in(successors)
    circle_of = {part: circle for circle in circles for part in circle}
    made_by: dict[tuple[str, ...], list[str]] = {circle: [] for circle in circles}
    for record in records:
        circle = circle_of.get(record.earlier_part_id, ())
        if any(line.part_id in circle for line in record.later_lines):
            made_by[circle].append(record.id)
    return tuple(Loop(circle, tuple(made_by[circle])) for circle in circles)


def circles_in(successors: Mapping[str, Sequence[str]]) -> tuple[tuple[str, ...], ...]:
    """Return the components in which something leads back to itself, by rising id."""
    return tuple(
        sorted(
            one
            for one in components(successors)
            if len(one) > 1 or one[0] in successors.get(one[0], ())
        )
    )


def components(successors: Mapping[str, Sequence[str]]) -> tuple[tuple[str, ...], ...]:
    """Return the strongly connected components of a directed graph, each by rising id.

    A component comes after all that it leads to. Source: Tarjan, Depth-first search and linear
    graph algorithms, SIAM Journal on Computing 1 (1972); a stack takes the place of recursion.

    >>> components({"a": ["b"], "b": ["c"], "c": ["b"]})
    (('b', 'c'), ('a',))
    """
    number: dict[str, int] = {}
    lowest: dict[str, int] = {}
    pending: list[str] = []
    is_pending: set[str] = set()
    found: list[tuple[str, ...]] = []
    way: list[tuple[str, Iterator[str]]] = []

    def enter(part: str) -> None:
        number[part] = lowest[part] = len(number)
        pending.append(part)
        is_pending.add(part)
        way.append((part, iter(successors.get(part, ()))))

    for start in successors:
        if start not in number:
            enter(start)
        while way:
            part, later = way[-1]
            one = next(later, None)
            if one is None:
                way.pop()
                if way:
                    before = way[-1][0]
                    lowest[before] = min(lowest[before], lowest[part])
                if lowest[part] == number[part]:
                    found.append(_taken_off(pending, is_pending, part))
            elif one not in number:
                enter(one)
            elif one in is_pending:
                lowest[part] = min(lowest[part], number[one])
    return tuple(found)


def _taken_off(pending: list[str], is_pending: set[str], root: str) -> tuple[str, ...]:
    taken: list[str] = []
    while not taken or taken[-1] != root:
        taken.append(pending.pop())
    is_pending.difference_update(taken)
    return tuple(sorted(taken))


def came_back_to(circle: Sequence[str], records: Sequence[Supersession | None]) -> str | None:
    """Return what the last record of a circle names, where days tell which is the last.

    None where a day is missing, two are the last, or the last names several of the circle.
    """
    dated = [(one.effective_on, one) for one in records if one is not None and one.effective_on]
    if len(dated) < len(circle):
        return None
    last_day = max(day for day, _ in dated)
    (_, last), *others = [pair for pair in dated if pair[0] == last_day]
    ends = [line.part_id for line in last.later_lines if line.part_id in circle]
    return ends[0] if len(ends) == 1 and not others else None
