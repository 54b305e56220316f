"""How far a position is taken apart to be inspected, by the rulings on it and around it."""

from collections.abc import Collection, Iterator, Mapping
from typing import Final

from shared.assemblies.model import Position, Ruling
from shared.condition.sheet.model import Treatment
from shared.condition.sheet.order import sealed_by

_BY_RULING: Final = {
    Ruling.SERVICEABLE: (Treatment.OPEN, "taken apart as far as its inner positions ask"),
    Ruling.INSPECT_ONLY: (
        Treatment.OPEN_TO_INSPECT,
        "opened to inspect and clean; no inner part of it is renewed",
    ),
    Ruling.REPLACE_AS_ASSEMBLY: (Treatment.OUTSIDE_ONLY, "from outside only, never opened"),
}


def treatment_of(
    position: Position, by_id: Mapping[str, Position], parents: Collection[str | None]
) -> tuple[Treatment, str]:
    """Return how a position is inspected, and the same in words. The strictest ruling counts.

    ``parents``: ids of the positions that have inner ones.

    >>> whole = Position("p", "a", "Pump")
    >>> treatment_of(whole, {"p": whole}, ())
    (<Treatment.OPEN: 'open'>, 'taken out and looked at')
    """
    sealed = sealed_by(position, by_id)
    if sealed is not None:
        return (
            Treatment.NEVER_REACHED,
            f"lies inside {sealed.name}, which is never opened: judged with it as a whole",
        )
    treatment, told = _BY_RULING[position.serviceability.ruling]
    if treatment is Treatment.OPEN:
        for around in _around(position, by_id):
            if around.serviceability.ruling is Ruling.INSPECT_ONLY:
                return (
                    Treatment.OPEN_TO_INSPECT,
                    f"inspected and cleaned only: {around.name} around it is ruled inspect-only",
                )
        if position.id not in parents:
            return treatment, "taken out and looked at"
    return treatment, told


def _around(position: Position, by_id: Mapping[str, Position]) -> Iterator[Position]:
    seen, above = {position.id}, by_id.get(position.parent_id or "")
    while above is not None and above.id not in seen:
        yield above
        seen.add(above.id)
        above = by_id.get(above.parent_id or "")
