"""Queries, headers, paths and methods that are wrong are refused, and by name."""

from typing import Any

import pytest

from api.app import Api
from tests.api import bodies
from tests.api.bodies import Shop, error_of


@pytest.mark.parametrize(
    "limit", ["0", "-1", "201", "1" + "0" * 23, "ten", "1.0", "", "+5", "\uff15", "%00", "1e1"]
)
def test_a_limit_out_of_bounds_is_refused(shop: Shop, limit: str) -> None:
    assert error_of(shop.call("GET", f"/units?limit={limit}"), "/limit")


@pytest.mark.parametrize("limit", ["1", "50", "200"])
def test_a_limit_within_bounds_is_kept(shop: Shop, limit: str) -> None:
    assert shop.get("/units", limit=limit).json()["limit"] == int(limit)


@pytest.mark.parametrize("sequence", ["-1", "01", "1.0", "", "\uff11", str(2**53), "9" * 16])
def test_a_sequence_out_of_bounds_is_refused(shop: Shop, sequence: str) -> None:
    assert error_of(shop.get("/units", updated_since=sequence), "/updated_since")


def test_an_unknown_parameter_is_named_with_the_nearest(shop: Shop) -> None:
    answer = shop.get("/units", asembly_id="x")
    assert answer.status_code == 422
    assert answer.json()["type"] == "/problems/unknown-parameter"
    assert answer.json()["parameter"] == "asembly_id"
    assert answer.json()["nearest"] == "assembly_id"


@pytest.mark.parametrize(
    "query",
    [
        "limit=5&limit=5",
        "kind=donor&kind=stock",
        "colour=red",
        "order=-created_at",
        "LIMIT=5",
        "&".join(f"f{n}=1" for n in range(100)),
        "%F0%9F%98%80=1",
    ],
)
def test_parameters_are_known_and_stand_once(shop: Shop, query: str) -> None:
    answer = shop.call("GET", f"/units?{query}")
    assert answer.status_code == 422
    assert answer.json()["type"] == "/problems/unknown-parameter"


@pytest.mark.parametrize(
    "query", ["kind=%FF", "kind=a%00b", "kind=%20", "kind=", "kind=" + "x" * 16_000, "kind=Donor"]
)
def test_values_of_parameters_are_checked_as_text(shop: Shop, query: str) -> None:
    answer = shop.call("GET", f"/units?{query}")
    assert answer.status_code == 422
    assert answer.json()["type"] == "/problems/validation"


def test_paths_without_a_query_take_none(shop: Shop) -> None:
    assert shop.call("GET", "/health?verbose=1").status_code == 422
    assert shop.call("GET", "/units/unt_1?x=1").status_code == 422


def two_pages(shop: Shop) -> str:
    for _ in range(3):
        shop.make("/suppliers", bodies.supplier())
    answer = shop.get("/suppliers", limit="1")
    return str(answer.json()["next"]).split("cursor=")[1]


def test_a_cursor_fits_its_list_its_shop_and_its_filter_alone(shop: Shop, other_shop: Shop) -> None:
    cursor = two_pages(shop)
    assert shop.get("/suppliers", cursor=cursor).status_code == 200
    assert shop.get("/suppliers", cursor=cursor, limit="1").status_code == 200
    wrong = [
        shop.get("/offers", cursor=cursor),
        other_shop.get("/suppliers", cursor=cursor),
        shop.get("/suppliers", cursor=cursor, limit="2"),
        shop.get("/suppliers", cursor=cursor, name="x"),
        shop.get("/suppliers", cursor=cursor[:-4] + "AAAA"),
        shop.get("/suppliers", cursor="A" + cursor[1:]),
        shop.get("/suppliers", cursor="forged"),
        shop.get("/suppliers", cursor="ü"),
        shop.get("/suppliers", cursor="A" * 1990),
    ]
    for answer in wrong:
        assert answer.status_code == 400, answer.text
        assert answer.json()["type"] == "/problems/cursor-invalid"


def test_a_cursor_holds_the_longest_filters_there_are(shop: Shop) -> None:
    words = {"maker": "\U00013000" * 200, "kind": "\U00013001" * 200}
    for _ in range(2):
        shop.make("/parts", bodies.part(**words))
    answer = shop.get("/parts", limit="1", **words)
    following = shop.get(answer.json()["next"])
    assert following.status_code == 200, following.text
    assert len(following.json()["items"]) == 1
    assert "next" not in following.json()


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"Authorization": ""},
        {"Authorization": "Bearer"},
        {"Authorization": "Bearer "},
        {"Authorization": "Bearer wrong"},
        {"Authorization": "Bearer " + "x" * 10_000},
        {"Authorization": "Basic dXNlcjpwYXNz"},
        {"Authorization": "Bearer caf\u00e9".encode("latin-1")},
        {"X-Api-Key": "cw_x"},
    ],
    ids=str,
)
def test_without_a_good_key_nothing_is_told(client: Any, headers: dict[str, Any]) -> None:
    answer = client.get("/v1/units?nonsense=1", headers=headers)
    assert answer.status_code == 401
    assert answer.headers["www-authenticate"] == 'Bearer realm="shop"'
    assert answer.json()["type"] == "/problems/unauthenticated"


def test_two_authorization_headers_are_none(client: Any, shop: Shop) -> None:
    headers = [*shop.headers.items(), ("Authorization", "Bearer other")]
    assert client.get("/v1/units", headers=headers).status_code == 401


def test_the_scheme_of_the_key_has_no_case(client: Any, shop: Shop) -> None:
    token = shop.headers["Authorization"].removeprefix("Bearer ")
    assert client.get("/v1/units", headers={"Authorization": f"bearer {token}"}).status_code == 200


def test_health_and_documents_need_no_key(client: Any) -> None:
    for path in ("/health", "/openapi.json", "/problems/validation"):
        assert client.get(path).status_code == 200


def test_every_other_path_needs_a_key(app: Api, client: Any) -> None:
    for path, operations in client.get("/openapi.json").json()["paths"].items():
        if not path.startswith("/v1"):
            continue
        for method in operations:
            answer = client.request(method, path.replace("{", "").replace("}", ""))
            assert answer.status_code == 401, (method, path)


@pytest.mark.parametrize(
    "path",
    [
        "/v1",
        "/v1/",
        "/v2/units",
        "/v1/units/",
        "/v1//units",
        "/v1/units/a%2Fb",
        "/v1/units/a%2e%2e",
        "/v1/units/a%00",
        "/v1/units/%FF",
        "/v1/units/" + "x" * 10_000,
        "/v1/units/sup_1",
        "/problems/none",
        "/schema",
        "/docs",
    ],
)
def test_where_nothing_is_nothing_is_found(shop: Shop, path: str) -> None:
    answer = shop._client.get(path, headers=shop.headers)
    assert answer.status_code == 404
    assert answer.json()["type"] == "/problems/not-found"
    assert answer.headers["content-type"] == "application/problem+json"


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE", "TRACE", "PROPFIND"])
def test_another_method_is_told_which_are_allowed(shop: Shop, method: str) -> None:
    answer = shop.call(method, "/units", headers={"X-HTTP-Method-Override": "GET"})
    assert answer.status_code == 405
    assert answer.json()["allowed"] == ["GET", "HEAD", "OPTIONS", "POST"]
    assert answer.headers["allow"] == "GET, HEAD, OPTIONS, POST"


def test_options_tells_all_methods_of_a_path(client: Any) -> None:
    assert client.options("/v1/units").headers["allow"] == "GET, HEAD, OPTIONS, POST"
    assert client.options("/v1/units/unt_1").headers["allow"] == (
        "DELETE, GET, HEAD, OPTIONS, PATCH"
    )
    assert client.options("/v1/calculations/decision").headers["allow"] == "OPTIONS, POST"


def test_head_is_get_without_the_body(shop: Shop) -> None:
    full, bare = shop.call("GET", "/units"), shop.call("HEAD", "/units")
    assert bare.status_code == 200
    assert bare.content == b""
    assert bare.headers["content-length"] == full.headers["content-length"]
    assert shop.call("HEAD", "/units/unt_none").status_code == 404


@pytest.mark.parametrize(
    ("accept", "status"),
    [
        ("application/xml", 406),
        ("text/html", 406),
        ("application/json;q=0", 406),
        ("application/json", 200),
        ("application/*", 200),
        ("text/html, */*;q=0.1", 200),
        ("application/problem+json", 200),
    ],
)
def test_only_json_is_on_offer(shop: Shop, accept: str, status: int) -> None:
    answer = shop.call("GET", "/units", headers={"Accept": accept})
    assert answer.status_code == status
    if status == 406:
        assert answer.headers["content-type"] == "application/problem+json"


def test_every_answer_carries_the_common_headers(shop: Shop) -> None:
    for answer in (
        shop.call("GET", "/units"),
        shop.call("GET", "/units/none"),
        shop.call("PUT", "/units"),
        shop.call("OPTIONS", "/units"),
        shop.call("GET", "/units/"),
    ):
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["x-request-id"].startswith("req_")
        assert answer.headers["cache-control"] == "no-store"


def test_a_problem_names_the_request_that_the_header_names(shop: Shop) -> None:
    answer = shop.get("/units/none")
    assert answer.json()["request_id"] == answer.headers["x-request-id"]


def test_the_callers_own_request_id_is_not_taken_over(shop: Shop) -> None:
    answer = shop.call("GET", "/units", headers={"X-Request-Id": "mine"})
    assert answer.headers["x-request-id"] != "mine"


def test_two_hundred_headers_do_no_harm(shop: Shop) -> None:
    headers = {f"X-More-{n}": "x" for n in range(200)}
    assert shop.call("GET", "/units", headers=headers).status_code == 200
