"""Whether a claim or a supersession holds for a place and unit, and why not or what to find out."""

from collections import Counter
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from typing import Final

from shared.assemblies.serials import serial_in_range
from shared.assemblies.traits import is_same_ratio
from shared.evidence import EvidenceKind
from shared.interchange.found import Holds, Place
from shared.interchange.model import InterchangeClaim, PartLine, Supersession

Record = InterchangeClaim | Supersession
Judged = tuple[Holds, str | None]
"""Whether it holds; why not, or what would have to be known."""

_MOST_NAMED: Final = 3
_MOST_LETTERS: Final = 60


def holds(record: Record, place: Place) -> Judged:
    """Whether every condition of a record holds at a place, with the reasons where not.

    A condition on a fact that the place does not give cannot be told. One that fails outweighs
    those that cannot be told.
    """
    if _is_free(record):
        return Holds.YES, None
    judged = [*_where(record, place), *_which_unit(record, place), *_when(record, place)]
    for outcome in (Holds.NO, Holds.CANNOT_BE_TOLD):
        reasons = [reason for found, reason in judged if found is outcome]
        if reasons:
            return outcome, "; ".join(reasons)
    return Holds.YES, None


def without_rivals(
    rules: Sequence[Supersession],
    alone: Mapping[str, Judged],
    accepted: Container[EvidenceKind] = tuple(EvidenceKind),
) -> dict[str, Judged]:
    """By id of each rule of one part, whether it holds once those that rival it are seen.

    ``alone``: each as ``holds`` has it by itself. Two rules that name other later lines cannot both
    be right. Where both hold, or one holds and of the other it cannot be told, neither is a yes:
    look at the unit. A rule by evidence that is not ``accepted`` leaves those that are as they are.
    """
    counted = [one for one in rules if one.evidence_kind in accepted]
    found = _undecided(counted, alone)
    return found if len(counted) == len(rules) else _undecided(rules, alone) | found


def later_of(rule: Supersession) -> tuple[tuple[str, int], ...]:
    """What a rule names as later, in one order: rules that share it are no rivals."""
    if len(rule.later_lines) == 1:  # As most have, and many are looked at.
        return ((rule.later_lines[0].part_id, rule.later_lines[0].quantity),)
    return tuple(sorted(pieces_of(rule.later_lines).items()))


def pieces_of(lines: Iterable[PartLine]) -> Counter[str]:
    """Count the pieces of each part."""
    pieces = Counter[str]()
    for line in lines:
        pieces[line.part_id] += line.quantity
    return pieces


def not_accepted(record: Record) -> str:
    """That the shop does not reckon with this kind of evidence, in words."""
    return f"evidence '{record.evidence_kind}' is not accepted by the shop's policy"


def _undecided(rules: Sequence[Supersession], alone: Mapping[str, Judged]) -> dict[str, Judged]:
    judged = {one.id: alone[one.id] for one in rules}
    sure = [one for one in rules if judged[one.id][0] is Holds.YES]
    open_ = [one for one in rules if judged[one.id][0] is Holds.CANNOT_BE_TOLD]
    if not sure or len({later_of(one) for one in (*sure, *open_)}) == 1:
        return judged
    if len({later_of(one) for one in sure}) > 1:
        why = f"two rules claim this unit: {_named(sure)}; look at the unit"
    else:
        why = (
            f"another rule may claim this unit: {_named(open_)} "
            f"({judged[open_[0].id][1]}); look at the unit"
        )
    return judged | {one.id: (Holds.CANNOT_BE_TOLD, why) for one in sure}


def _is_free(record: Record) -> bool:
    """Whether a record has no condition at all, as most have none."""
    own: tuple[object, ...] = (record.assembly_id, record.serial_from, record.serial_to)
    own += (record.built_from_on, record.built_to_on)
    if isinstance(record, Supersession):
        own += (record.effective_on,)
    else:
        own += (record.position_id, record.hand, record.ratio, record.generation, record.stated_on)
    return own.count(None) == len(own)


def _named(rules: Sequence[Supersession]) -> str:
    told = ", ".join(f"{_shortly(one.evidence)} ({one.id})" for one in rules[:_MOST_NAMED])
    more = len(rules) - _MOST_NAMED
    return f"{told} and {more} more" if more > 0 else told


def _shortly(text: str) -> str:
    return text if len(text) <= _MOST_LETTERS else f"{text[: _MOST_LETTERS - 3]}..."


def _verb(record: Record) -> str:
    return "claimed" if isinstance(record, InterchangeClaim) else "stated"


def _where(record: Record, place: Place) -> Iterator[tuple[Holds, str]]:
    wanted = [("assembly", record.assembly_id, place.assembly_id)]
    if isinstance(record, InterchangeClaim):
        wanted.append(("position", record.position_id, place.position_id))
    for what, asked, given in wanted:
        if asked is None or asked == given:
            continue
        if given is None:
            yield (
                Holds.CANNOT_BE_TOLD,
                f"{what} not given: it is {_verb(record)} for one {what} only",
            )
        else:
            yield Holds.NO, f"it is {_verb(record)} for another {what}"


def _which_unit(record: Record, place: Place) -> Iterator[tuple[Holds, str]]:
    yield from _serial(record, place)
    yield from _build_day(record, place)
    if isinstance(record, InterchangeClaim):
        yield from _kind_of_unit(record, place)


def _serial(record: Record, place: Place) -> Iterator[tuple[Holds, str]]:
    serial = (place.traits.serial_number or "").strip()
    within = serial_in_range(serial, record.serial_from, record.serial_to)
    if within:
        return
    asked = _range(record.serial_from, record.serial_to)
    if within is False:
        yield Holds.NO, f"serial number {serial} is outside {asked}"
    elif not serial:
        yield (
            Holds.CANNOT_BE_TOLD,
            f"serial number not given: it is {_verb(record)} for {asked}",
        )
    else:
        yield (
            Holds.CANNOT_BE_TOLD,
            f"it is {_verb(record)} for serial numbers {asked}; whether {serial} is one of them "
            "cannot be told: the letters before and after the number must be the same",
        )


def _build_day(record: Record, place: Place) -> Iterator[tuple[Holds, str]]:
    first, last = record.built_from_on, record.built_to_on
    if first is None and last is None:
        return
    built = place.traits.built_on
    asked = _range(first, last)
    if built is None:
        yield (
            Holds.CANNOT_BE_TOLD,
            f"day of build not given: it is {_verb(record)} for units built {asked}",
        )
    elif (first is not None and built < first) or (last is not None and built > last):
        yield Holds.NO, f"the unit was built on {built}, outside {asked}"


def _kind_of_unit(claim: InterchangeClaim, place: Place) -> Iterator[tuple[Holds, str]]:
    traits = place.traits
    if claim.ratio is not None:
        is_same = None if traits.ratio is None else is_same_ratio(claim.ratio, traits.ratio)
        yield from _trait("ratio", claim.ratio, traits.ratio, is_same=is_same)
    for what, asked, given in (
        ("hand", claim.hand, traits.hand),
        ("generation", claim.generation, traits.generation),
    ):
        if asked is not None:
            is_same = None if given is None else _word(asked) == _word(given)
            yield from _trait(what, asked, given, is_same=is_same)


def _trait(
    what: str, asked: object, given: object, *, is_same: bool | None
) -> Iterator[tuple[Holds, str]]:
    if is_same is None:
        yield Holds.CANNOT_BE_TOLD, f"{what} not given: it is claimed for {what} '{asked}'"
    elif not is_same:
        yield Holds.NO, f"it is claimed for {what} '{asked}', and the unit has '{given}'"


def _word(text: str) -> list[str]:
    return text.casefold().split()


def _when(record: Record, place: Place) -> Iterator[tuple[Holds, str]]:
    if isinstance(record, Supersession):
        if record.effective_on is not None and record.effective_on > place.as_of:
            yield Holds.NO, f"it takes effect on {record.effective_on}"
    elif record.stated_on is not None and record.stated_on > place.as_of:
        yield Holds.NO, f"its evidence is of {record.stated_on}, which is later than asked for"


def _range(first: object, last: object) -> str:
    """A range in words, both bounds included."""
    if first is None:
        return f"{last} and earlier"
    return f"{first} and later" if last is None else f"{first} to {last}"
