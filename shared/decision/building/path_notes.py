"""A candidate's path in words: by which numbers, on what evidence, how sure, what differs."""

from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import Final

from shared.decision.building.planned import Bench
from shared.decision.telling.figures import percent_down
from shared.interchange.candidates import Candidate, Path
from shared.interchange.found import Standing, Step, StepKind
from shared.interchange.model import Sameness

_MOST_NAMED: Final = 10
"""Numbers of a path that are told; of a longer one its beginning and its end."""


def path_notes(bench: Bench, candidate: Candidate, called: str) -> tuple[str, ...]:
    """What a person must know of a candidate before it is fitted where ``called`` sits.

    Of the part that is called for itself only what its own notes say.
    """
    if candidate.path is Path.ITSELF:
        return (*candidate.notes, *candidate.cautions)
    return (
        *(_step_note(bench, candidate, step, called) for step in candidate.steps),
        *_sure_notes(bench, candidate),
        *(f"rework: {note}" for note in candidate.rework_notes),
        *_sameness_notes(candidate),
        *(
            f"differs in {one.aspect}: {one.difference}: {one.effect}"
            for one in candidate.differences
        ),
        *(f"check before fitting: {one.rstrip('.')}" for one in candidate.to_check),
        *candidate.notes,
        *candidate.cautions,
    )


def why_not_planned(bench: Bench, candidate: Candidate) -> str:
    """Why a part that was found is not planned with: how sure it is, or what is not known."""
    told = "; ".join(_once((*candidate.questions, *candidate.cautions)))
    if candidate.standing is Standing.CANNOT_BE_TOLD:
        told = f"whether it fits here cannot be told: {told}"
    return f"{told}; path {_path(bench, candidate)}"


def _once(told: Sequence[str]) -> Iterator[str]:
    """Each sentence, but for one that an earlier one ends with already."""
    for place, one in enumerate(told):
        if not any(earlier.endswith(one) for earlier in told[:place]):
            yield one


def _step_note(bench: Bench, candidate: Candidate, step: Step, called: str) -> str:
    hop = f"{bench.number_of(step.from_part_id)} -> {bench.number_of(step.to_part_id)}"
    if step.kind is StepKind.GENERIC:
        designation = bench.parts[step.to_part_id].generic_designation
        if step.to_part_id == candidate.part.id and candidate.notes:
            return f"same size by its standard designation: {designation}"
        return f"same standard designation as the maker's part: {designation}"
    on = f"on evidence '{step.evidence_kind}': {step.evidence}"
    if step.kind is StepKind.CLAIM:
        alone = len(candidate.steps) == 1
        return f"interchange for {called} {on}" if alone else f"interchange {hop} {on}"
    if step.kind is StepKind.SUPERSESSION_BACK:
        return f"by an earlier number of the maker, which may serve again: {hop}, {on}"
    return f"by the maker's later number: {hop}, {on}"


def _sure_notes(bench: Bench, candidate: Candidate) -> Iterator[str]:
    told = f"confidence that it fits: {_percent(candidate.confidence)}"
    if len(candidate.steps) > 1:
        told += f", by {len(candidate.steps)} steps: {_path(bench, candidate)}"
    yield told
    if candidate.other_paths:
        ways = (
            "1 further path leads"
            if candidate.other_paths == 1
            else (f"{candidate.other_paths} further paths lead")
        )
        yield f"{ways} to it, which are not counted as further evidence"
    if candidate.ratio != 1:
        yield (
            f"{candidate.ratio.numerator} x {candidate.part.number} take the place of "
            f"{candidate.ratio.denominator}"
        )


def _sameness_notes(candidate: Candidate) -> Iterator[str]:
    """In what form, fit or function somebody has said that it is another."""
    named = (("form", candidate.form), ("fit", candidate.fit), ("function", candidate.function))
    differing = [name for name, said in named if said is Sameness.DIFFERS]
    if differing:
        yield f"another {' and '.join(differing)} than that of the part called for"


def _path(bench: Bench, candidate: Candidate) -> str:
    steps = candidate.steps
    ids = [steps[0].from_part_id, *(step.to_part_id for step in steps)] if steps else []
    if len(ids) <= _MOST_NAMED:
        return " -> ".join(bench.number_of(one) for one in ids)
    half = _MOST_NAMED // 2
    first, last = (
        " -> ".join(bench.number_of(one) for one in some) for some in (ids[:half], ids[-half:])
    )
    return f"{first} -> ({len(ids) - 2 * half} more) -> {last}"


def _percent(confidence: float) -> str:
    return percent_down(Decimal(repr(confidence)))
