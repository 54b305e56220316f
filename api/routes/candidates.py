"""What may take a place: of a position, or wherever a part is called for; its newest numbers.

What is stored is read and the session closed before anything is computed.
"""

from collections.abc import Callable
from typing import Any

from litestar import Request, get
from litestar.params import FromPath
from sqlalchemy.orm import Session

from api.access import Right, caller_of, needs, sessions_of
from api.schemas.base import from_domain
from api.schemas.candidates import (
    AtHandOut,
    CandidateOut,
    CandidatesQuery,
    CautionOut,
    PartCandidatesQuery,
)
from api.schemas.candidates_found import CandidatesOut
from api.schemas.newest_numbers import NewestNumbersOut, NewestNumbersQuery
from db.queries.denials import claims_against
from db.queries.interchange_walk import AtHand, at_hand, catalogue_slice, newest_slice
from db.queries.places import (
    Described,
    ShopRules,
    cautions_of_parts,
    parts_by_id,
    place_of_part,
    place_of_position,
    rules_of,
)
from shared.evidence import Caution
from shared.interchange.candidates import candidates
from shared.interchange.found import Place
from shared.interchange.spoken_against import with_denials
from shared.interchange.supersession import Resolution, newest

TAG = "interchange"
AnyRequest = Request[Any, Any, Any]
Placed = tuple[Place, tuple[Caution, ...]]


@get(
    "/positions/{record_id:str}/candidates",
    operation_id="readPositionCandidates",
    summary="What may take a place, by which path, how sure, with what work",
    tags=[TAG],
    sync_to_thread=True,
    opt={**needs(Right.READ), "query": CandidatesQuery, "problems": ("state-conflict",)},
)
def read_position_candidates(record_id: FromPath[str], request: AnyRequest) -> CandidatesOut:
    """Follow claims, supersessions and equals by a standard from the part called for.

    What cannot be told for the unit is never a yes: the answer says what would have to be known.
    """
    query = CandidatesQuery.model_validate(dict(request.query_params.items()))
    unit = Described(query.unit_id, query.traits())

    def place(session: Session, rules: ShopRules) -> Placed:
        return place_of_position(session, caller_of(request), record_id, unit, rules.today)

    return _answer(request, query, place)


@get(
    "/parts/{record_id:str}/candidates",
    operation_id="readPartCandidates",
    summary="What may go in where a part is called for, by which path, how sure",
    tags=[TAG],
    sync_to_thread=True,
    opt={**needs(Right.READ), "query": PartCandidatesQuery},
)
def read_part_candidates(record_id: FromPath[str], request: AnyRequest) -> CandidatesOut:
    """Follow claims, supersessions and equals by a standard from a part.

    Without an assembly, what holds in some only cannot be told, and is never a yes.
    """
    query = PartCandidatesQuery.model_validate(dict(request.query_params.items()))
    unit = Described(query.unit_id, query.traits())

    def place(session: Session, rules: ShopRules) -> Placed:
        found = place_of_part(
            session,
            caller_of(request),
            record_id,
            unit,
            rules.today,
            assembly_id=query.assembly_id,
            position_id=query.position_id,
        )
        return found, ()

    return _answer(request, query, place)


def _answer(
    request: AnyRequest,
    query: CandidatesQuery,
    place_in: Callable[[Session, ShopRules], Placed],
) -> CandidatesOut:
    caller = caller_of(request)
    with sessions_of(request).reading() as session:
        rules = rules_of(session, caller, query.moment)
        place, cautions = place_in(session, rules)
        catalogue = catalogue_slice(
            session, caller, (place.part_id,), rules.interchange, rules.accepted
        )
    found = candidates(place, catalogue)
    listed = found.candidates[: query.limit]
    ids = [one.part.id for one in listed]
    with sessions_of(request).reading() as session:
        there = at_hand(session, caller, ids, rules.today)
        about = cautions_of_parts(session, caller, ids)
    parts = {part.id: part for part in catalogue.parts}
    shown = tuple(
        CandidateOut.of(one, parts, _held(there, one.part.id), _told(about.get(one.part.id, ())))
        for one in listed
    )
    return CandidatesOut.of(
        place,
        found,
        shown,
        limit=query.limit,
        parts=parts,
        records_left_out=catalogue.left_out,
        cautions=_told(cautions),
        rules=rules.interchange,
    )


def _held(there: dict[str, AtHand], part_id: str) -> AtHandOut:
    return from_domain(there.get(part_id, AtHand()), AtHandOut)


def _told(cautions: tuple[Caution, ...]) -> tuple[CautionOut, ...]:
    return tuple(from_domain(caution, CautionOut) for caution in cautions)


@get(
    "/parts/{record_id:str}/newest-numbers",
    operation_id="readNewestNumbers",
    summary="Where a part number leads by its maker's supersessions",
    tags=[TAG],
    sync_to_thread=True,
    opt={**needs(Right.READ), "query": NewestNumbersQuery},
)
def read_newest_numbers(record_id: FromPath[str], request: AnyRequest) -> NewestNumbersOut:
    """Follow chains, splits, dead ends and circles to the numbers that can be ordered now.

    Nothing is followed backwards but what a record allows, and that one step only.
    """
    query = NewestNumbersQuery.model_validate(dict(request.query_params.items()))
    caller = caller_of(request)
    with sessions_of(request).reading() as session:
        rules = rules_of(session, caller, query.moment)
        today = rules.today
        place = place_of_part(
            session,
            caller,
            record_id,
            Described(None, query.traits()),
            today,
            assembly_id=query.assembly_id,
        )
        supersessions, orderable, unread = newest_slice(session, caller, place.part_id, today)
    found = newest(place, supersessions, orderable, rules.accepted, unread)
    with sessions_of(request).reading() as session:
        newer = {line.part_id for one in found.newest for line in one.lines}
        against = claims_against(session, place.part_id, newer - {place.part_id})
        parts = parts_by_id(session, _named_in(found))
    found = with_denials(found, place, against, rules.accepted)
    return NewestNumbersOut.of(place, found, parts)


def _named_in(found: Resolution) -> list[str]:
    """Return the ids of all parts that an answer names."""
    ids = {found.part_id}
    for one in found.newest:
        ids.update(line.part_id for line in (*one.lines, *one.companions))
        ids.update((*one.not_orderable, *one.dead_ends))
        ids.update(() if one.last_orderable is None else (one.last_orderable,))
    ids.update(one.part_id for one in found.may_go_back_to)
    ids.update(one.part_id for one in found.refused)
    return sorted(ids)


ROUTES = (read_position_candidates, read_part_candidates, read_newest_numbers)
