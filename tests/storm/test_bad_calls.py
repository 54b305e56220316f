"""Queries, headers and methods that are wrong are refused at every operation of the document."""

import json
import os
import uuid
from typing import Any

import pytest

from tests.api.example_bodies import QUERIES as EXAMPLE_QUERIES
from tests.conftest import ENGINES
from tests.storm.document import Document, Operation, kind_of
from tests.storm.yard import Yard

LARGE = int(os.environ.get("STORM_LARGE", "0"))
QUERIES = {**EXAMPLE_QUERIES, "readOptions": {"as_of": "2031-03-04T09:15:00Z"}}
BAD_VALUES: dict[str, tuple[str, ...]] = {
    "any": ("", "%00", "%FF", "a%00b", "%ED%A0%80", "%20", "%E2%80%AE", "x" * 7000),
    "integer": (
        "--1",
        "1.0",
        "1e1",
        "+5",
        "%EF%BC%95",
        "1" + "0" * 23,
        "ten",
        "0x1",
        "NaN",
        "9" * 16,
    ),
    "decimal": ("NaN", "1e3", "-0", "1,5", "%2B1", "9" * 100, "1_0", "."),
    "moment": ("2031-03-04T09:15:00", "2031-02-30T09:15:00Z", "now", "0000-03-04T09:15:00Z"),
    "date": ("2031-02-30", "20310304", "2200-01-01", "tomorrow"),
    "word": ("no-such-word", "a,b", "%27%3B--"),
}


def call(yard: Yard, operation: Operation, query: str = "", **headers: str) -> Any:
    """Call an operation with all that it needs, and a query and headers as they are given."""
    where = yard.filled(operation.path) + (f"?{query}" if query else "")
    more: dict[str, Any] = {}
    if operation.body is not None:
        more["content"] = json.dumps(yard.bodies.get(operation.path, {})).encode()
        headers = {"Content-Type": operation.body[0], **headers}
    if operation.takes("If-Match"):
        headers = {"If-Match": '"999"', **headers}
    if operation.takes("Idempotency-Key"):
        headers = {"Idempotency-Key": uuid.uuid4().hex, **headers}
    method = operation.method.upper()
    return yard.shop._client.request(
        method, where, headers={**yard.shop.headers, **headers}, **more
    )


def refused(answer: Any, *statuses: int) -> None:
    assert answer.status_code in statuses, (answer.request.url, answer.status_code, answer.text)
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.json()["status"] == answer.status_code
    assert answer.headers["x-request-id"] == answer.json()["request_id"]


@pytest.mark.engines("sqlite")
@pytest.mark.parametrize(
    "query",
    ["colour=red", "colour", "=", "%F0%9F%98%80=1", "&".join(f"f{n}=1" for n in range(100))],
)
def test_a_parameter_that_is_not_known_is_refused_everywhere(
    document: Document, owner: Yard, query: str
) -> None:
    for operation in document.operations:
        answer = call(owner, operation, query)
        refused(answer, 422)
        assert answer.json()["type"] == "/problems/unknown-parameter", operation.name


@pytest.mark.engines("sqlite")
def test_an_endless_query_is_refused_everywhere(document: Document, owner: Yard) -> None:
    for operation in document.operations:
        refused(call(owner, operation, "a=" + "x" * 16_000), 422)


@pytest.mark.engines(*(ENGINES if LARGE else ("sqlite",)))
def test_a_bad_value_in_a_query_is_refused_by_the_name_of_its_parameter(
    document: Document, owner: Yard
) -> None:
    tried = 0
    for number, operation in enumerate(document.operations):
        for place, parameter in enumerate(operation.told["parameters"]):
            if parameter["in"] != "query":
                continue
            name, kind = parameter["name"], kind_of(parameter["schema"])
            values = BAD_VALUES.get(kind, ()) + BAD_VALUES["any"][(number + place) % 4 :: 4]
            needed = {k: v for k, v in QUERIES.get(operation.name, {}).items() if k != name}
            rest = "".join(f"&{k}={v}" for k, v in needed.items())
            for value in values:
                answer = call(owner, operation, f"{name}={value}{rest}")
                refused(answer, 422, *([400] if name == "cursor" else []))
                tried += 1
            twice = call(owner, operation, f"{name}=a&{name}=a{rest}")
            refused(twice, 422)
            assert twice.json()["type"] == "/problems/unknown-parameter"
    assert tried > 500
    print(f"{tried} bad values in queries")


@pytest.mark.engines("sqlite")
def test_another_form_than_what_is_offered_is_not_acceptable_anywhere(
    document: Document, owner: Yard
) -> None:
    for operation in document.operations:
        for accept in ("application/xml", "text/html", "application/json;q=0", "image/*"):
            refused(call(owner, operation, Accept=accept), 406)


@pytest.mark.engines("sqlite")
@pytest.mark.parametrize("method", ["TRACE", "PUT", "PROPFIND", "get", "QUERY"])
def test_a_method_that_a_path_does_not_take_is_told_which_it_takes(
    document: Document, owner: Yard, method: str
) -> None:
    for path, told in document.served["paths"].items():
        headers = {
            "X-HTTP-Method-Override": "GET",
            "X-Method-Override": "DELETE",
            **owner.shop.headers,
        }
        answer = owner.shop._client.request(method, owner.filled(path), headers=headers)
        if method.upper().lower() in told:
            continue
        refused(answer, 405)
        allowed = (
            {one.upper() for one in told} | {"OPTIONS"} | ({"HEAD"} if "get" in told else set())
        )
        assert set(answer.json()["allowed"]) == allowed, path
        assert answer.headers["allow"] == ", ".join(sorted(allowed))


@pytest.mark.engines(*(ENGINES if LARGE else ("sqlite",)))
@pytest.mark.parametrize(
    ("tag", "status"),
    [
        ("", 428),
        ("*", 428),
        ("1", 400),
        ('"1', 400),
        ("'1'", 400),
        ('W/"1"', 412),
        ('""', 412),
        ('"0"', 412),
        ('"-1"', 412),
        ('"1.0"', 412),
        ('"' + "9" * 30 + '"', 412),
        ('"a", "b"', 412),
        (", ".join(['"7"'] * 21), 400),
        ('"' + "x" * 10_000 + '"', 412),
    ],
    ids=lambda value: str(value)[:12],
)
def test_a_broken_if_match_changes_nothing_anywhere(
    document: Document, owner: Yard, tag: str, status: int
) -> None:
    for operation in document.operations:
        if not operation.takes("If-Match"):
            continue
        where = owner.filled(operation.path)
        before = owner.shop.get(where).json()
        answer = call(owner, operation, **{"If-Match": tag})
        refused(answer, status)
        if status == 412:
            assert answer.json()["current_version"] == before["version"]
        assert owner.shop.get(where).json() == before


@pytest.mark.engines("sqlite")
@pytest.mark.parametrize(
    "key", ["", '""', "x" * 201, "y" * 10_000, "two words", 'in"side', "a,b c"], ids=lambda k: k[:9]
)
def test_a_broken_idempotency_key_stores_nothing_anywhere(
    document: Document, owner: Yard, key: str
) -> None:
    for operation in document.operations:
        if operation.takes("Idempotency-Key"):
            answer = call(owner, operation, **{"Idempotency-Key": key})
            refused(answer, 400)
            assert answer.json()["type"] == "/problems/idempotency-key-missing"


@pytest.mark.engines("sqlite")
def test_two_keys_are_no_key_anywhere(document: Document, owner: Yard) -> None:
    for operation in document.operations:
        if operation.path.startswith("/v1"):
            headers = [*owner.shop.headers.items(), *owner.shop.headers.items()]
            where = owner.filled(operation.path)
            answer = owner.shop._client.request(operation.method.upper(), where, headers=headers)
            refused(answer, 401)


@pytest.mark.engines("sqlite")
def test_very_many_headers_and_foreign_hosts_do_no_harm_anywhere(
    document: Document, owner: Yard
) -> None:
    foreign = {f"X-More-{n}": "x" * 100 for n in range(200)}
    foreign |= {"Host": "no-such-host.invalid", "X-Forwarded-Host": "no-such-host.invalid"}
    foreign |= {
        "Forwarded": "for=192.0.2.1;host=no-such-host.invalid",
        "X-Original-URL": "/no-such-host",
    }
    for operation in document.operations:
        if operation.method == "get" and "text/plain" not in str(
            operation.told["responses"]["200"]
        ):
            query = "&".join(f"{k}={v}" for k, v in QUERIES.get(operation.name, {}).items())
            answer = call(owner, operation, query, **foreign)
            assert answer.status_code == 200, answer.text
            assert "no-such-host" not in answer.text + str(answer.headers)


def test_a_cursor_serves_its_own_list_alone(document: Document, owner: Yard, other: Yard) -> None:
    lists = [
        one
        for one in document.operations
        if one.method == "get" and any(p["name"] == "cursor" for p in one.told["parameters"])
    ]
    cursors = {}
    for operation in lists:
        answer = owner.shop.get(owner.filled(operation.path), limit="1")
        assert answer.status_code == 200, answer.text
        if "next" in answer.json():
            cursors[operation.path] = answer.json()["next"].split("cursor=")[1]
    assert len(cursors) > 3
    for operation in lists:
        for path, cursor in cursors.items():
            if path != operation.path:
                refused(owner.shop.get(owner.filled(operation.path), cursor=cursor), 400)
            elif "{" not in path:
                refused(other.shop.get(path, cursor=cursor), 400)
                middle = len(cursor) // 2
                forged = (
                    cursor[:middle] + ("A" if cursor[middle] != "A" else "B") + cursor[middle + 1 :]
                )
                refused(owner.shop.get(path, cursor=forged), 400)
                assert owner.shop.get(path, cursor=cursor).status_code == 200
