"""Assemblies and what hangs on them."""

from dataclasses import replace
from typing import Any

from litestar import Request, Response, get
from litestar.params import FromPath

from api.access import Right, caller_of, needs, sessions_of
from api.lists import list_response
from api.routes.records import RecordKind, record_routes
from api.schemas.assemblies import (
    AccessGroupCreate,
    AccessGroupRead,
    AssemblyCreate,
    AssemblyRead,
    CautionNoteCreate,
    CautionNoteRead,
    LabourOperationCreate,
    LabourOperationRead,
    PositionCreate,
    PositionRead,
    PositionSetCreate,
    PositionSetRead,
    ServiceabilityRulingCreate,
    ServiceabilityRulingRead,
)
from api.schemas.characteristics import CharacteristicCreate, CharacteristicRead
from api.schemas.queries import list_query
from db.queries.listing import Place
from db.queries.mapping import Stored
from db.queries.records import lists_of, page, read
from shared.assemblies.model import (
    AccessGroup,
    Assembly,
    CautionNote,
    Characteristic,
    LabourOperation,
    Position,
    PositionSet,
    ServiceabilityRuling,
)

TAG = "assemblies"

KINDS = (
    RecordKind(
        "/assemblies",
        "an assembly",
        "assemblies",
        TAG,
        "asm",
        Assembly,
        AssemblyCreate,
        AssemblyRead,
    ),
    RecordKind(
        "/positions", "a position", "positions", TAG, "pos", Position, PositionCreate, PositionRead
    ),
    RecordKind(
        "/access-groups",
        "an access group",
        "access groups",
        TAG,
        "grp",
        AccessGroup,
        AccessGroupCreate,
        AccessGroupRead,
    ),
    RecordKind(
        "/position-sets",
        "a set of positions",
        "sets of positions",
        TAG,
        "pst",
        PositionSet,
        PositionSetCreate,
        PositionSetRead,
    ),
    RecordKind(
        "/labour-operations",
        "a labour operation",
        "labour operations",
        TAG,
        "opr",
        LabourOperation,
        LabourOperationCreate,
        LabourOperationRead,
    ),
    RecordKind(
        "/characteristics",
        "a characteristic",
        "characteristics",
        TAG,
        "chr",
        Characteristic,
        CharacteristicCreate,
        CharacteristicRead,
    ),
    RecordKind(
        "/serviceability-rulings",
        "a serviceability ruling",
        "serviceability rulings",
        TAG,
        "rul",
        ServiceabilityRuling,
        ServiceabilityRulingCreate,
        ServiceabilityRulingRead,
    ),
    RecordKind(
        "/cautions",
        "a caution",
        "cautions",
        TAG,
        "cau",
        CautionNote,
        CautionNoteCreate,
        CautionNoteRead,
    ),
)

_LISTS = lists_of(Position)
_OWN_FILTERS = tuple(name for name in _LISTS.filters if name != "assembly_id")
_QUERY = list_query("AssemblyPositionQuery", PositionRead, replace(_LISTS, filters=_OWN_FILTERS))


@get(
    "/assemblies/{record_id:str}/positions",
    operation_id="listPositionsOfAssembly",
    summary="List the positions of an assembly",
    tags=[TAG],
    sync_to_thread=True,
    opt={**needs(Right.READ), "query": _QUERY, "items": PositionRead},
)
def list_positions_of_assembly(
    record_id: FromPath[str], request: Request[Any, Any, Any]
) -> Response[bytes]:
    """List the parts list of one assembly, by rising id."""

    def load(place: Place) -> list[Stored[Any]]:
        with sessions_of(request).reading() as session:
            read(session, caller_of(request), Assembly, record_id)
            filters = {**place.filters, "assembly_id": record_id}
            return page(session, caller_of(request), Position, replace(place, filters=filters))

    return list_response(request, _QUERY, load)


ROUTES = (
    *(route for kind in KINDS for route in record_routes(kind)),
    list_positions_of_assembly,
)
