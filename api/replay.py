"""A kept decision computed again: whether it comes out the same, where not, and why not."""

import hashlib
import json
from collections.abc import Callable, Iterator, Sequence
from dataclasses import fields, replace
from itertools import zip_longest
from typing import Any, Final, NamedTuple

import msgspec

from api.schemas.decision import Difference, Matter, ReplayAnswer, ReplayCause
from shared.decision.codec import from_builtins, snapshot_from_bytes, to_bytes
from shared.decision.decide import ENGINE_VERSION, decide
from shared.decision.frozen import FrozenDecision
from shared.decision.result import DecisionResult
from shared.errors import InvalidInput

_MOST_DIFFERENCES: Final = 100
_LONGEST: Final = 1000
_ABSENT: Final = object()

_MATTERS: Final = tuple(Matter)
_TOTALS: Final = frozenset(
    "expected_total to_pay net_total price cost tax margin inspection outlay gap gap_to_next_best"
    " extra".split()
)
_HOW: Final = ("/engine_version", "/effort")
"""Members that tell how it was computed, not what came out."""
_TOIL: Final = ("/effort/used", "/effort/solves")
"""How long was searched: no part of the answer, and another on another kind of machine."""


class _Now(NamedTuple):
    """What came out of the stored snapshot now: the result's members, or why there is none."""

    result: dict[str, Any] | None
    refusal: str = ""


def replay(
    decision: FrozenDecision, is_cancelled: Callable[[], bool] | None = None
) -> ReplayAnswer:
    """Compute a decision again from its stored snapshot and compare, member by member.

    What a release of before did not work out yet is no difference; it is told. ``is_cancelled`` is
    handed on to the computation.
    """
    # Of the bytes as they were stored: read and written again they would gain later members.
    found_hash = hashlib.sha256(decision.snapshot_json.encode()).hexdigest()
    is_intact = found_hash == decision.snapshot_hash
    stored = json.loads(decision.result_json)
    now = _computed_now(decision, found_hash, is_cancelled)
    solvers = (_solver(stored), _solver(now.result))
    unknown_then = _unknown_then(stored)
    is_older = decision.engine_version != ENGINE_VERSION or bool(unknown_then)
    is_older = is_older or (None not in solvers and solvers[0] != solvers[1])
    compared = stored if is_older else _with_what_is_left_out(stored)
    differences = _sorted_differences(compared, now.result, is_older=is_older)
    agrees = is_intact and now.result is not None and not differences
    cause = _cause(agrees, is_intact, is_older)
    return ReplayAnswer(
        decision_id=decision.id,
        agrees=agrees,
        cause=cause,
        explanation=_explained(cause, decision, solvers, unknown_then, now.refusal),
        differences=tuple(differences[:_MOST_DIFFERENCES]),
        engine_version=ENGINE_VERSION,
        stored_engine_version=decision.engine_version,
        solver=solvers[1],
        stored_solver=solvers[0],
        snapshot_hash=found_hash,
        snapshot_is_intact=is_intact,
    )


def _computed_now(
    decision: FrozenDecision, found_hash: str, is_cancelled: Callable[[], bool] | None
) -> _Now:
    try:
        snapshot = snapshot_from_bytes(decision.snapshot_json.encode())
        result = decide(snapshot, is_cancelled=is_cancelled)
    except msgspec.MsgspecError as error:
        return _Now(None, f"The stored snapshot cannot be read: {error}.")
    except InvalidInput as error:
        return _Now(None, f"The stored snapshot is refused now, at {error.pointer}: {error.detail}")
    return _Now(json.loads(to_bytes(replace(result, snapshot_hash=found_hash))))


def _solver(result: Any) -> str | None:
    effort = result.get("effort") if isinstance(result, dict) else None
    solver = effort.get("solver") if isinstance(effort, dict) else None
    return solver if isinstance(solver, str) else None


def _unknown_then(stored: Any) -> list[str]:
    """Return the members of a result that the release of then did not have."""
    if not isinstance(stored, dict):
        return []
    return [one.name for one in fields(DecisionResult) if one.name not in stored]


def _with_what_is_left_out(stored: Any) -> Any:
    """Return the stored result, members that it does not have with what they stand for then."""
    try:
        return json.loads(to_bytes(from_builtins(stored, DecisionResult)))
    except msgspec.ValidationError:  # What does not read as a result is compared as it lies there.
        return stored


# --- why -----------------------------------------------------------------------------------------


def _cause(agrees: bool, is_intact: bool, is_older: bool) -> ReplayCause:
    if agrees:
        return ReplayCause.NONE
    if not is_intact:
        return ReplayCause.SNAPSHOT_DAMAGED
    return ReplayCause.ENGINE_CHANGED if is_older else ReplayCause.SAME_ENGINE


def _explained(
    cause: ReplayCause,
    decision: FrozenDecision,
    solvers: tuple[str | None, str | None],
    unknown_then: list[str],
    refusal: str,
) -> str:
    then = f"engine {decision.engine_version} with {solvers[0] or 'a solver that was not kept'}"
    now = f"engine {ENGINE_VERSION} with {solvers[1] or 'a solver that is not told'}"
    told = {
        ReplayCause.NONE: f"It was computed by {then}; computed again by {now}, it comes out the"
        " same.",
        ReplayCause.SNAPSHOT_DAMAGED: "The stored snapshot has not the hash that it was stored"
        " with: its text was changed since. What comes out now says nothing of the decision, which"
        f" was computed by {then}; now computes {now}.",
        ReplayCause.ENGINE_CHANGED: f"It was computed by {then}; now computes {now}. The snapshot"
        " is intact, so the difference comes of the computation.",
        ReplayCause.SAME_ENGINE: f"Then and now computes {now}, and the snapshot is intact: the"
        " stored result was changed since, or the computation does not repeat itself.",
    }
    sentences = [told[cause]]
    if unknown_then:
        sentences.append(f"Not worked out then, and not compared: {', '.join(unknown_then)}.")
    if refusal:
        sentences.append(refusal)
    return " ".join(sentences)[: 2 * _LONGEST]


# --- where ---------------------------------------------------------------------------------------


def _sorted_differences(stored: Any, again: Any, *, is_older: bool) -> list[Difference]:
    """Return the differences, those that matter most first, each kind in the order of the result.

    Of an older result only what it has is compared, and not how it was come by; of no result how
    long was searched.
    """
    if again is None:
        return []
    left_out = _HOW if is_older else _TOIL
    found = _differences("", stored, again, is_older)
    found = (one for one in found if not one.pointer.startswith(left_out))
    return sorted(found, key=lambda one: _MATTERS.index(one.matter))


def _differences(pointer: str, stored: Any, again: Any, is_older: bool) -> Iterator[Difference]:
    if isinstance(stored, dict) and isinstance(again, dict):
        for name in sorted(stored.keys() | again.keys()):
            if name in stored or not is_older:
                yield from _differences(
                    f"{pointer}/{name}",
                    stored.get(name, _ABSENT),
                    again.get(name, _ABSENT),
                    is_older,
                )
    elif isinstance(stored, list) and isinstance(again, list):
        for index, (before, after) in enumerate(_paired(stored, again)):
            yield from _differences(f"{pointer}/{index}", before, after, is_older)
    elif stored != again or type(stored) is not type(again):
        yield Difference(
            matter=_matter(pointer),
            pointer=pointer[:_LONGEST],
            stored=_text(stored),
            replayed=_text(again),
        )


def _paired(stored: list[Any], again: list[Any]) -> Iterator[tuple[Any, Any]]:
    """Pair what stands in two lists: by what names it where it has a name, else by place."""
    name = next((name for name in ("id", "route") if _are_named(name, (*stored, *again))), None)
    if name is None:
        yield from zip_longest(stored, again, fillvalue=_ABSENT)
        return
    left = {item[name]: item for item in again}
    for item in stored:
        yield item, left.pop(item[name], _ABSENT)
    for item in left.values():
        yield _ABSENT, item


def _are_named(name: str, items: Sequence[Any]) -> bool:
    return bool(items) and all(isinstance(one, dict) and name in one for one in items)


def _matter(pointer: str) -> Matter:
    """Return what a place in the result is about.

    >>> [_matter(at).value for at in ("/recommended", "/plans/0/to_pay/amount", "/aim")]
    ['recommended-plan', 'total', 'other']
    """
    steps = pointer.split("/")[1:]
    if steps[:1] == ["recommended"]:
        return Matter.RECOMMENDED_PLAN
    if not _TOTALS.isdisjoint(steps):
        return Matter.TOTAL
    return Matter.DATE if any(step.endswith("_on") for step in steps) else Matter.OTHER


def _text(value: Any) -> str | None:
    if value is _ABSENT:
        return None
    return json.dumps(value, ensure_ascii=False)[:_LONGEST]
