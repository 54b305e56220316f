"""The API's own document, and a page of text for each type of problem; no key needed."""

from typing import Any, cast

from litestar import MediaType, Request, Response, get
from litestar.exceptions import NotFoundException
from litestar.params import FromPath

from api.access import Right, needs
from api.answers import JSON_TYPE
from api.problems import CATALOGUE


@get(
    "/openapi.json",
    operation_id="readOpenapi",
    summary="The document of this API",
    tags=["service"],
    sync_to_thread=False,
    opt=needs(Right.NOTHING),
)
def read_openapi(request: Request[Any, Any, Any]) -> Response[bytes]:
    """Return the OpenAPI 3.1 document."""
    document = cast(bytes, request.app.state.openapi_json)
    return Response(document, media_type=JSON_TYPE)


@get(
    "/problems/{problem_type:str}",
    operation_id="readProblem",
    summary="What a type of problem means and what to do",
    tags=["service"],
    media_type=MediaType.TEXT,
    sync_to_thread=False,
    opt={**needs(Right.NOTHING), "offered": ("text/plain",), "text": True},
)
def read_problem(problem_type: FromPath[str]) -> str:
    """Return the page of one type of problem, in plain text."""
    if problem_type not in CATALOGUE:
        raise NotFoundException
    return CATALOGUE[problem_type].page()


ROUTES = (read_openapi, read_problem)
