"""The requirements of a job in words, with what stands against each."""

from collections.abc import Iterable
from decimal import Decimal

from shared.decision.building.build import Built
from shared.decision.building.planned import WHOLE
from shared.decision.planning.case import CHANCE_ONE
from shared.decision.result import Route
from shared.decision.telling.figures import amount_told
from shared.money import Money

POSITIONS_TOLD = 3
_MUST_BE_FILLED = " must be filled"
_ALL_ELSE = "everything else that must be done"
_ALL = "everything that must be done"
_PLACES = (
    "deadline",
    "risk",
    "together",
    "matched",
    "always",
    "refit",
    "physical",
    "capacity",
    "available",
    "minimum",
    "forced",
    "position",
)
"""Kinds of requirement in the order in which they are told."""


def requirement(built: Built, key: str, route: Route | None = None) -> str:
    """One requirement in words, by the key that ``infeasible.py`` gives it."""
    kind, _, rest = key.partition(":")
    if kind == "position":
        return _position(built, rest, route)
    if kind in ("deadline", "risk", "refit", "physical"):
        return _of_the_job(built, kind)
    if kind in ("available", "minimum"):
        return _of_a_supplier(built, kind, rest)
    names = {planned.id: planned.name for planned in built.bench.planned}
    sets = {s.id: s.name for s in built.bench.snapshot.position_sets}
    return {
        "matched": f"the matched set {sets.get(rest, rest)} comes from one unit",
        "together": f"{sets.get(rest, rest)} are renewed together",
        "always": f"{names.get(rest, rest)} is renewed whenever its access group is open",
        "capacity": "a kit holds only so many of a part",
        "forced": f"{subject_of(built, rest)} is used" if kind == "forced" else "",
    }.get(kind, key)


def requirements_told(
    built: Built, keys: Iterable[str], route: Route | None = None
) -> tuple[str, ...]:
    """Requirements in words, date and rules first; in the same order whatever the ids are.

    That something must be done goes without saying; more than three positions that must be filled
    are told in one phrase.
    """
    telling = [key for key in keys if key != f"position:{WHOLE}"] or list(keys)
    positions = [key for key in telling if key.startswith("position:")]
    rest: tuple[str, ...] = ()
    if len(positions) > POSITIONS_TOLD:
        telling = [key for key in telling if key not in positions]
        rest = (_ALL_ELSE if telling else _ALL,)
    told = [(_PLACES.index(k.partition(":")[0]), requirement(built, k, route)) for k in telling]
    return (*(words for _, words in sorted(told)), *rest)


def in_short(told: Iterable[str]) -> str:
    """Requirements in one line: the rules and dates; without any, what must be filled, bare."""
    bare = [_bare(words) for words in told]
    rules = [words for words in bare if _MUST_BE_FILLED not in words and words != _ALL_ELSE]
    return "; ".join(rules or bare)


def _bare(words: str) -> str:
    """That a position must be filled, without what stands against each way of filling it."""
    name, filled, _ = words.partition(_MUST_BE_FILLED)
    return name + filled


def names_of(built: Built) -> dict[str, str]:
    """What the records behind requirements are called, by the key of the requirement."""
    found = {}
    for planned in built.bench.planned:
        found[f"position:{planned.id}"] = found[f"always:{planned.id}"] = planned.name
    for one in built.bench.snapshot.position_sets:
        found[f"matched:{one.id}"] = found[f"together:{one.id}"] = one.name
    for item in built.case.items:
        found[f"available:{item.id}"] = item.label
    for charge in built.case.charges:
        found[f"minimum:{charge.id}"] = charge.label
    return found


def subject_of(built: Built, source_id: str) -> str:
    """A source as a person would name it: position, what, from whom."""
    facts = built.draft.facts[source_id]
    by = f" from {facts.supplier_name}" if facts.supplier_name else ""
    return f"{facts.position_name}: {facts.description}{by}"


def _of_the_job(built: Built, kind: str) -> str:
    if kind == "deadline":
        by = built.bench.job.required_by_on
        chance = Decimal(built.confidence) * 100 / CHANCE_ONE
        return f"ready by {by}" if by is not None else f"ready, with a chance of {chance:g}%"
    return {
        "risk": "the chance of a comeback stays within what is allowed",
        "refit": "a nonconforming part is kept only where nothing else is done",
    }.get(kind, "a donor's part is used once")


def _of_a_supplier(built: Built, kind: str, record_id: str) -> str:
    if kind == "available":
        item = next(one for one in built.case.items if one.id == record_id)
        return f"no more than {item.available} of {item.label} are to be had"
    charge = next(one for one in built.case.charges if one.id == record_id)
    least = charge.order.minimum if charge.order else 0
    amount = Money.of_minor(least, built.bench.settings.currency)
    return f"{charge.label} takes no order below {amount_told(amount)}"


def _position(built: Built, position_id: str, route: Route | None) -> str:
    if position_id == WHOLE:
        return "the whole unit must be dealt with"
    name = next(p.name for p in built.bench.planned if p.id == position_id)
    against = [e for e in built.draft.exclusions if e.position_id == position_id]
    if route is Route.REFIT:
        against = [e for e in against if e.subject.startswith("keep ")]
    if against:
        told = "; ".join(f"{e.subject}: {e.detail}" for e in against)
        return f"{name}{_MUST_BE_FILLED} ({told})"
    if any(source.position_id == position_id for source in built.case.sources):
        return f"{name}{_MUST_BE_FILLED}"
    return f"{name}{_MUST_BE_FILLED}, and nothing is on offer for it"
