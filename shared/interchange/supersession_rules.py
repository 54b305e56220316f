"""What may be so for one part of one unit, by what its supersessions say."""

from collections import Counter, defaultdict
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import chain, islice

from shared.evidence import EvidenceKind
from shared.interchange.conditions import (
    Judged,
    holds,
    later_of,
    not_accepted,
    pieces_of,
    without_rivals,
)
from shared.interchange.found import Holds, Place
from shared.interchange.model import PartLine, Supersession

_Later = tuple[tuple[str, int], ...]
_MOST_TOLD = 3


@dataclass(frozen=True, slots=True)
class Along:
    """What goes in along, by records that name the same later lines.

    ``companions``: the greatest quantity of each by all records that hold; of those that may hold
    where none does. ``record_ids``: of the surest record, and of those that add some.
    ``may_add``: records that may hold and would add some.
    """

    best: Supersession
    companions: Counter[str]
    record_ids: tuple[str, ...]
    may_add: tuple[Supersession, ...]


@dataclass(slots=True)
class Rules:
    """The supersessions of one earlier part as a place sees them.

    ``alone``: whether each holds by its own conditions; ``here``: once rivals are seen. Evidence
    that is not ``accepted`` adds nothing to what counts, and takes nothing from it.
    """

    records: tuple[Supersession, ...]
    accepted: Container[EvidenceKind]
    alone: dict[str, Judged]
    here: dict[str, Judged]
    _later: dict[str, _Later] = field(default_factory=dict)
    _equals: dict[_Later, list[Supersession]] = field(default_factory=lambda: defaultdict(list))
    _uncounted: dict[_Later, list[Supersession]] = field(default_factory=dict)
    _along: dict[tuple[_Later, bool], Along] = field(default_factory=dict)

    @classmethod
    def at(
        cls, records: Iterable[Supersession], place: Place, accepted: Container[EvidenceKind]
    ) -> "Rules":
        """Judge the supersessions of one earlier part at a place."""
        own = tuple(records)
        alone = {one.id: holds(one, place) for one in own}
        rules = cls(own, accepted, alone, without_rivals(own, alone, accepted))
        for one in own:
            if rules.may_hold(one):
                later = rules._later[one.id] = later_of(one)
                rules._equals[later].append(one)
        for later, equal in rules._equals.items():
            left = [one for one in equal if not rules.counts(one)]
            if left:
                rules._uncounted[later] = left
        return rules

    def counts(self, record: Supersession) -> bool:
        """Whether the shop takes evidence of its kind."""
        return record.evidence_kind in self.accepted

    def may_hold(self, record: Supersession) -> bool:
        """Whether its own conditions do not say no."""
        return self.alone[record.id][0] is not Holds.NO

    def along(self, record: Supersession) -> Along:
        """Return what goes in along with the later lines of a record that may hold."""
        key = later, is_counted = self._later[record.id], self.counts(record)
        if key not in self._along:
            equal = self._equals[later]
            group = [one for one in equal if self.counts(one)] if is_counted else equal
            self._along[key] = self._added_up(group)
        return self._along[key]

    def groups(self) -> Iterator[list[Supersession]]:
        """Yield records that count and may hold, those of the same later lines together."""
        for equal in self._equals.values():
            group = [one for one in equal if self.counts(one)]
            if group:
                yield group

    def may_take_more(
        self, record: Supersession, besides: Supersession | None = None
    ) -> tuple[str, ...]:
        """Tell what may go in along, by records (``besides`` one) of which it cannot be told."""
        return tuple(
            f"it may take more along, by the supersession {one.id}: {self.here[one.id][1]}"
            for one in self.along(record).may_add
            if one is not besides
        )

    def spoken_against(self, record: Supersession) -> tuple[Supersession, ...]:
        """Return records not counted that say other than one that may hold: a few of them."""
        if not self._uncounted:
            return ()
        later = self._later[record.id]
        rivals = chain.from_iterable(
            some for other, some in self._uncounted.items() if other != later
        )
        companions = self.along(record).companions
        adding = (
            one
            for one in self._uncounted.get(later, ())
            if one is not record and not pieces_of(one.companion_lines) <= companions
        )
        return tuple(islice(chain(rivals, adding), _MOST_TOLD))

    def _added_up(self, group: Sequence[Supersession]) -> Along:
        if len(group) == 1:
            (one,) = group
            return Along(one, pieces_of(one.companion_lines), (one.id,), ())
        firm = [one for one in group if self.alone[one.id][0] is Holds.YES] or list(group)
        firm.sort(key=_surest)
        companions, ids = Counter[str](), []
        for one in firm:
            more = companions | pieces_of(one.companion_lines)
            if one is firm[0] or more != companions:
                companions = more
                ids.append(one.id)
        may_add = tuple(one for one in group if not pieces_of(one.companion_lines) <= companions)
        return Along(firm[0], companions, tuple(ids), may_add)


@dataclass(frozen=True, slots=True)
class Option:
    """One thing that may be so for a part: a record takes it further, or (None) it stays.

    ``companions`` are those of every record that says the same, the greatest quantity of each;
    ``record_ids`` of the record and of those that add companions. Without ``questions`` it is so
    for sure.
    """

    record: Supersession | None = None
    questions: tuple[str, ...] = ()
    companions: tuple[PartLine, ...] = ()
    record_ids: tuple[str, ...] = ()


STAYS = Option()


@dataclass(frozen=True, slots=True)
class Said:
    """What the supersessions of one part come to: options, of which exactly one is so.

    ``heeded`` are the records that hold or may hold, ``refused`` those that do not or that do not
    count, with reasons.
    """

    options: tuple[Option, ...]
    heeded: tuple[Supersession, ...]
    refused: tuple[tuple[Supersession, str], ...]


def said_by(
    records: Sequence[Supersession],
    place: Place,
    accepted: Container[EvidenceKind] = tuple(EvidenceKind),
) -> Said:
    """Return what records of one earlier part say at a place; of equal ones the surest stands.

    Where rules rival each other each is an option; the part itself is one only where it may be
    that no record holds. Evidence that is not ``accepted`` is not counted, and told as that.
    """
    rules = Rules.at(records, place, accepted)
    heeded = tuple(one for one in records if rules.counts(one) and rules.may_hold(one))
    found = [_option(group, rules) for group in rules.groups()]
    if not any(rules.alone[one.id][0] is Holds.YES for one in heeded):
        questions = dict.fromkeys(text for option in found for text in option.questions)
        found.insert(0, Option(None, tuple(questions)))
    refused = tuple(
        (one, why_not(one, rules.alone))
        for one in records
        if not (rules.counts(one) and rules.may_hold(one))
    )
    return Said(tuple(found), heeded, refused)


def why_not(record: Supersession, judged: Mapping[str, Judged]) -> str:
    """Why a record leads nowhere: it does not hold, or its evidence does not count."""
    outcome, reason = judged[record.id]
    if outcome is Holds.NO:
        return reason or "it does not hold here"
    return f"not counted: {not_accepted(record)}"


def _option(group: Sequence[Supersession], rules: Rules) -> Option:
    """Return what records of the same later lines come to."""
    along = rules.along(group[0])
    questions: Iterable[str] = rules.may_take_more(group[0])
    if rules.here[along.best.id][0] is not Holds.YES:
        questions = [rules.here[one.id][1] or "it cannot be told" for one in group]
    lines = tuple(PartLine(part, quantity) for part, quantity in along.companions.items())
    return Option(along.best, tuple(dict.fromkeys(questions)), lines, along.record_ids)


def _surest(record: Supersession) -> tuple[int, str]:
    return list(EvidenceKind).index(record.evidence_kind), record.id
