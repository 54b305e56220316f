"""The newest numbers of a part: chains, splits, dead ends, circles of supersession.

A supersession runs one way; going back is a statement of its own. Where it cannot be told which
record holds for the unit, every outcome is shown with what would have to be known.
"""

from collections import Counter, deque
from collections.abc import Container, Iterable
from dataclasses import dataclass, field
from fractions import Fraction

from shared.evidence import EvidenceKind
from shared.interchange.found import Holds, Loop, Place, Refused
from shared.interchange.loops import came_back_to, circles_in, components, loops_among
from shared.interchange.model import PartLine, Supersession
from shared.interchange.rules import MOST_PIECES
from shared.interchange.supersession_rules import STAYS, Option, Rules, said_by, why_not

MOST_RECORDS = 2_000
"""Records that are followed for one question, about; and refused ones, or ways back, shown."""
MOST_ANSWERS = 100
MOST_STEPS = 100_000
"""Lines added up, all ways in which it may be taken together."""


@dataclass(frozen=True, slots=True)
class NewestNumber:
    """What takes the place of ONE piece of the part asked for; without questions: for sure.

    ``lines`` go in together, ``companions`` must be changed along with them, quantities multiplied
    along the chain. ``supersession_ids``: the records followed, in order. ``is_orderable``: every
    line and companion can be ordered; ``not_orderable`` names those that cannot; None and nothing
    where it is not known what can be. ``last_orderable``: where a line cannot be ordered, the last
    number along the chain that can. ``dead_ends``: lines that ended without a successor.
    """

    lines: tuple[PartLine, ...]
    companions: tuple[PartLine, ...] = ()
    supersession_ids: tuple[str, ...] = ()
    is_orderable: bool | None = None
    not_orderable: tuple[str, ...] = ()
    last_orderable: str | None = None
    dead_ends: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class EarlierNumber:
    """A number that the part asked for superseded and that may still serve in its place.

    ``ratio``: pieces of it for one piece of the part asked for. ``question``: what would have to be
    known; None: it may for sure.
    """

    part_id: str
    supersession_id: str
    ratio: Fraction = Fraction(1)
    question: str | None = None


@dataclass(frozen=True, slots=True)
class Resolution:
    """Where a part number leads at a place: its newest numbers, those without questions first.

    Several numbers are each a whole answer. ``may_go_back_to`` is one step back, never more.
    ``refused``: records met that do not hold here or whose evidence does not count (one that ends
    the part is told of the part itself). ``stopped``: what was not looked at, None if
    all was.
    """

    part_id: str
    newest: tuple[NewestNumber, ...]
    may_go_back_to: tuple[EarlierNumber, ...] = ()
    loops: tuple[Loop, ...] = ()
    refused: tuple[Refused, ...] = ()
    stopped: str | None = None


def newest(
    place: Place,
    supersessions: Iterable[Supersession],
    orderable: frozenset[str] | None,
    accepted: Container[EvidenceKind] = tuple(EvidenceKind),
    unread: Container[str] = frozenset(),
) -> Resolution:
    """Return the newest numbers of ``place.part_id`` for the unit of ``place``.

    ``orderable``: ids of the parts that can be ordered; None: not known. ``accepted``: kinds of
    evidence that the shop's policy takes; by others nothing is followed or called in doubt.
    ``unread``: ids of parts of which not all supersessions are given: no answer goes past them, and
    none that ends at one is sure. A part that nothing supersedes here is its own newest number. In
    a circle whose records all tell their day the last of them stands: the maker came back to that
    number. In others the numbers that can be ordered are the newest, the part asked for alone if it
    is one of them; where none can, each is shown with the question. About 2,000 records are
    followed (those of one part are looked at together), 100 answers given: ``stopped`` says what
    was left.
    """
    by_earlier: dict[str, list[Supersession]] = {}
    for _, record in sorted({one.id: one for one in supersessions}.items()):
        by_earlier.setdefault(record.earlier_part_id, []).append(record)
    for part_id in [one for one in by_earlier if one in unread]:
        del by_earlier[part_id]
    met = _met(place, by_earlier, accepted, unread)
    back, not_counted = _earlier_numbers(place, by_earlier, accepted)
    refused = (*met.refused, *not_counted)
    hidden = max(0, len(back) - MOST_RECORDS) + max(0, len(refused) - MOST_RECORDS)
    more = f"{hidden} more ways back and refused records are not shown" if hidden else None
    answers, left = _answers(place.part_id, met, orderable)
    return Resolution(
        part_id=place.part_id,
        newest=tuple(sorted(answers, key=lambda one: (bool(one.questions), not one.is_orderable))),
        may_go_back_to=back[:MOST_RECORDS],
        loops=loops_among(met.records),
        refused=refused[:MOST_RECORDS],
        stopped="; ".join(one for one in (met.stopped, left, more) if one) or None,
    )


@dataclass(slots=True)
class _Met:
    """What is met from the part asked for on."""

    options: dict[str, tuple[Option, ...]] = field(default_factory=dict)
    records: list[Supersession] = field(default_factory=list)
    refused: list[Refused] = field(default_factory=list)
    stopped: str | None = None


def _met(
    place: Place,
    by_earlier: dict[str, list[Supersession]],
    accepted: Container[EvidenceKind],
    unread: Container[str],
) -> _Met:
    met = _Met()
    waiting, seen, looked_at = deque([place.part_id]), {place.part_id}, 0
    while waiting:
        part = waiting.popleft()
        records = by_earlier.get(part, [])
        if part in unread or (records and looked_at >= MOST_RECORDS):
            met.stopped = f"more than {MOST_RECORDS:,} supersessions: the rest was not looked at"
            met.options[part] = (Option(None, ("what supersedes it was not looked at",)),)
            continue
        looked_at += len(records)
        said = said_by(records, place, accepted)
        met.options[part] = said.options
        met.records.extend(said.heeded)
        for record, reason in said.refused:
            later = dict.fromkeys(line.part_id for line in record.later_lines)
            met.refused.extend(Refused(one, reason, record.id) for one in later or (part,))
        for record in said.heeded:
            later = dict.fromkeys(line.part_id for line in record.later_lines)
            waiting.extend(one for one in later if one not in seen)
            seen.update(later)
    return met


def _earlier_numbers(
    place: Place, by_earlier: dict[str, list[Supersession]], accepted: Container[EvidenceKind]
) -> tuple[tuple[EarlierNumber, ...], tuple[Refused, ...]]:
    """Return what may serve still, and what would if its evidence counted."""
    found, not_counted = [], []
    for earlier, records in by_earlier.items():
        if not any(_goes_back(record, place.part_id) for record in records):
            continue
        rules = Rules.at(records, place, accepted)
        for record in records:
            if not (rules.may_hold(record) and _goes_back(record, place.part_id)):
                continue
            if not rules.counts(record):
                not_counted.append(Refused(earlier, why_not(record, rules.alone), record.id))
                continue
            outcome, reason = rules.here[record.id]
            ratio = Fraction(1, record.later_lines[0].quantity)
            question = (reason or "it cannot be told") if outcome is not Holds.YES else None
            found.append(EarlierNumber(earlier, record.id, ratio, question))
    found.sort(key=lambda one: (one.part_id, one.supersession_id))
    return tuple(found), tuple(not_counted)


def _goes_back(record: Supersession, later: str) -> bool:
    lines = record.later_lines
    return (
        record.may_go_back
        and len(lines) == 1
        and lines[0].part_id == later != record.earlier_part_id
    )


# Every way in which it may be, one answer each

_Chosen = dict[str, Option]


def _answers(
    asked: str, met: _Met, orderable: frozenset[str] | None
) -> tuple[tuple[NewestNumber, ...], str | None]:
    """Return one answer for every combination of options, and what was left out."""
    found: dict[NewestNumber, None] = {}
    waiting: list[_Chosen] = [{}]
    steps = 0
    left = None
    while waiting:
        if len(found) >= MOST_ANSWERS or steps > MOST_STEPS:
            left = f"it may be in too many ways: {len(found)} of them are shown"
            break
        chosen = waiting.pop()
        world, open_part = _followed(asked, met, chosen)
        steps += sum(
            1 + len(one.record.later_lines if one.record else ()) for one in world.values()
        )
        if open_part is not None:
            further = met.options[open_part]
            waiting.extend({**chosen, open_part: option} for option in reversed(further))
            continue
        circles = circles_in(_successors(world))
        if circles:
            ends = _ends_of(circles[0], world, asked, orderable)
            waiting.extend({**chosen, part: option} for part, option in reversed(ends))
            continue
        number = _summed(asked, world, orderable)
        if number is None:
            left = f"a chain of more than {MOST_PIECES:,} pieces is not shown"
        else:
            found[number] = None
    return tuple(found), left


def _followed(asked: str, met: _Met, chosen: _Chosen) -> tuple[_Chosen, str | None]:
    """Return the option of every part reached, and the first part that has several open ones."""
    world: _Chosen = {}
    waiting = deque([asked])
    while waiting:
        part = waiting.popleft()
        if part in world:
            continue
        choice = (chosen[part],) if part in chosen else met.options.get(part, (STAYS,))
        if len(choice) > 1:
            return world, part
        world[part] = choice[0]
        if choice[0].record is not None:
            waiting.extend(line.part_id for line in choice[0].record.later_lines)
    return world, None


def _successors(world: _Chosen) -> dict[str, list[str]]:
    return {
        part: [line.part_id for line in option.record.later_lines] if option.record else []
        for part, option in world.items()
    }


def _ends_of(
    circle: tuple[str, ...], world: _Chosen, asked: str, orderable: frozenset[str] | None
) -> list[tuple[str, Option]]:
    """Return the members of a circle that may be its newest number.

    Every question on its records stays: without one of them there may be no circle.
    """
    questions = [text for part in circle for text in world[part].questions]
    last = came_back_to(circle, [world[part].record for part in circle])
    if last is not None:
        return [(last, Option(None, tuple(dict.fromkeys(questions))))]
    ordered = [part for part in circle if orderable is not None and part in orderable]
    if not ordered:
        questions.append(
            f"it is one of {len(circle)} numbers that supersede each other in a circle: ask the "
            "maker which of them is supplied"
        )
    end = Option(None, tuple(dict.fromkeys(questions)))
    return [(part, end) for part in ([asked] if asked in ordered else ordered or circle)]


def _summed(asked: str, world: _Chosen, orderable: frozenset[str] | None) -> NewestNumber | None:
    """Add up what one piece of the part comes to; None beyond measure."""
    pieces = Counter({asked: 1})
    lines, companions = Counter[str](), Counter[str]()
    passed: list[str] = []
    record_ids: list[str] = []
    dead_ends: list[str] = []
    questions: list[str] = []
    for (part,) in reversed(components(_successors(world))):
        option, record, quantity = world[part], world[part].record, pieces[part]
        questions.extend(option.questions)
        if record is None or not record.later_lines:
            lines[part] = quantity
            dead_ends.extend([part] if record is not None else [])
            record_ids.extend(option.record_ids[:1])
            continue
        passed.append(part)
        record_ids.extend(option.record_ids)
        for line in record.later_lines:
            pieces[line.part_id] += quantity * line.quantity
        for line in option.companions:
            companions[line.part_id] += quantity * line.quantity
        if any(pieces[line.part_id] > MOST_PIECES for line in record.later_lines):
            return None
        if any(companions[line.part_id] > MOST_PIECES for line in option.companions):
            return None
    missing = [] if orderable is None else [p for p in (*lines, *companions) if p not in orderable]
    has_no_end = any(part in lines for part in missing)
    last = next((p for p in reversed(passed) if orderable and p in orderable), None)
    return NewestNumber(
        lines=_as_lines(lines),
        companions=_as_lines(companions),
        supersession_ids=tuple(record_ids),
        is_orderable=None if orderable is None else not missing,
        not_orderable=tuple(sorted(set(missing))),
        last_orderable=last if has_no_end else None,
        dead_ends=tuple(sorted(dead_ends)),
        questions=tuple(dict.fromkeys(questions)),
    )


def _as_lines(pieces: Counter[str]) -> tuple[PartLine, ...]:
    return tuple(PartLine(part, quantity) for part, quantity in sorted(pieces.items()))
