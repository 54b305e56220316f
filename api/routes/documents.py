"""The API's own document, a page for each type of problem, and one of the tables; no key needed."""

from typing import Any, cast

from litestar import MediaType, Request, Response, get
from litestar.exceptions import NotFoundException
from litestar.params import FromPath

from api.access import Right, needs
from api.answers import JSON_TYPE
from api.problems import CATALOGUE
from api.standards_page import STYLESHEET, standards_page
from shared.standards.catalogue import catalogue


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


@get(
    "/standards",
    operation_id="readStandardsPage",
    media_type=MediaType.HTML,
    sync_to_thread=True,
    opt={**needs(Right.NOTHING), "offered": ("text/html",), "page": True},
)
def read_standards_page() -> str:
    """Return the page of tables, their sources and editions."""
    return standards_page(catalogue())


@get(
    "/standards.css",
    operation_id="readStandardsStylesheet",
    media_type="text/css",
    sync_to_thread=False,
    opt={**needs(Right.NOTHING), "offered": ("text/css",), "page": True},
)
def read_standards_stylesheet() -> str:
    """Return what the page of tables looks like: its own policy allows no style within it."""
    return STYLESHEET


ROUTES = (read_openapi, read_problem, read_standards_page, read_standards_stylesheet)
