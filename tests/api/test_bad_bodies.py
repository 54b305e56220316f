"""Bodies that are no single JSON document are refused at once, and nothing is stored."""

import gzip
import json
import time

import pytest

from api.settings import BODY_LIMIT
from tests.api import bodies
from tests.api.bodies import Shop, error_of

pytestmark = pytest.mark.engines("sqlite")  # refused before any table is touched
GOOD = json.dumps(bodies.supplier(name="Said twice")).encode()

BROKEN = {
    "empty": b"",
    "blank": b"  \n",
    "cut short": GOOD[:-1],
    "two documents": GOOD + GOOD,
    "byte-order mark": b"\xef\xbb\xbf" + GOOD,
    "UTF-16": GOOD.decode().encode("utf-16"),
    "UTF-16 without a mark": GOOD.decode().encode("utf-16-le"),
    "invalid UTF-8": GOOD.replace(b"Said", b"Sa\xffd"),
    "200,000 brackets": b"[" * 200_000,
    "200,000 braces": b'{"a":' * 200_000,
    "brackets inside": b'{"name": ' + b"[" * 40 + b"]" * 40 + b"}",
    "repeated names": b'{"name": "a", "name": "b"}',
    "repeated names below": b'{"freight": {"amount": "1", "amount": "2"}}',
    "NaN": b'{"name": NaN}',
    "Infinity": b'{"name": -Infinity}',
    "many members": b"{" + b",".join(b'"m%d": 1' % n for n in range(100_000)) + b"}",
    "half-open strings": b"[" * 40 + b'"\\' * 500_000,
    "raw control character": b'{"name": "a\x01b"}',
    "single quotes": b"{'name': 'a'}",
    "trailing comma": b'{"name": "a",}',
}


@pytest.mark.parametrize("what", BROKEN)
def test_a_body_that_is_no_document_is_malformed(shop: Shop, what: str) -> None:
    began = time.monotonic()
    answer = shop.raw("/suppliers", BROKEN[what])
    assert time.monotonic() - began < 1
    assert answer.status_code == 400, answer.text[:300]
    assert answer.json()["type"] == "/problems/malformed-body"
    assert "position" in answer.json()
    assert shop.get("/suppliers").json()["items"] == []


def test_the_position_of_the_break_is_told(shop: Shop) -> None:
    assert shop.raw("/suppliers", b'{"name" "a"}').json()["position"] == 8
    assert shop.raw("/suppliers", b'{"name": "\xff"}').json()["position"] == 10
    assert shop.raw("/suppliers", b"[" * 40).json()["position"] == 32


@pytest.mark.parametrize("body", [b"null", b"[]", b"7", b'"text"', b"true", b"1e400"])
def test_a_document_that_is_no_object_is_invalid(shop: Shop, body: bytes) -> None:
    assert error_of(shop.raw("/suppliers", body), "")["code"] == "object-type"


def test_a_body_over_the_limit_is_too_large(shop: Shop) -> None:
    body = json.dumps({"name": "x" * BODY_LIMIT}).encode()
    answer = shop.raw("/suppliers", body)
    assert answer.status_code == 413
    assert answer.json()["limit_bytes"] == BODY_LIMIT
    assert shop.raw("/suppliers", json.dumps({"name": "x" * 1_900_000}).encode()).status_code == 422


def test_a_streamed_body_over_the_limit_is_too_large(shop: Shop) -> None:
    headers = {
        **shop.headers,
        "Idempotency-Key": "streamed",
        "Content-Type": "application/json",
    }

    def chunks():
        for _ in range(50):
            yield b" " * 100_000

    answer = shop._client.post("/v1/suppliers", content=chunks(), headers=headers)
    assert answer.status_code == 413


def test_a_whole_snapshot_may_be_larger(shop: Shop) -> None:
    body = json.dumps({"as_of": "x" * 3_000_000}).encode()
    answer = shop.raw("/calculations/decision", body)
    assert answer.status_code == 422
    answer = shop.raw("/calculations/decision", b" " * 9_000_000)
    assert answer.json()["limit_bytes"] == 8 * 1024 * 1024


@pytest.mark.parametrize(
    "kind",
    [None, "", "text/plain", "application/xml", "application/json; charset=utf-16", "json"],
)
def test_another_kind_of_body_is_not_taken(shop: Shop, kind: str | None) -> None:
    answer = shop.raw("/suppliers", GOOD, kind)
    assert answer.status_code == 415
    assert answer.json()["accepted"] == ["application/json"]


def test_utf_8_may_be_said(shop: Shop) -> None:
    assert shop.raw("/suppliers", GOOD, "application/json; charset=UTF-8").status_code == 201


def test_a_compressed_body_is_not_taken(shop: Shop) -> None:
    headers = {"Content-Encoding": "gzip", "Content-Type": "application/json"}
    packed = gzip.compress(b"0" * 30_000_000)
    answer = shop.call("POST", "/suppliers", content=packed, headers=headers)
    assert answer.status_code == 415


def test_unknown_members_are_refused_at_every_depth(shop: Shop) -> None:
    answer = shop.post("/suppliers", bodies.supplier(colour="red"))
    assert error_of(answer, "/colour")["code"] == "unknown-member"
    freight = {"amount": "1.00", "currency": "EUR", "vat": "2"}
    assert error_of(shop.post("/suppliers", bodies.supplier(freight=freight)), "/freight/vat")


def test_null_and_missing_mean_the_same(shop: Shop) -> None:
    body = bodies.supplier(notes=None, delivery=None)
    stored = shop.get(f"/suppliers/{shop.make('/suppliers', body)}").json()
    assert stored["notes"] is None
    assert stored["delivery"] == "consolidated"
    answer = shop.post("/suppliers", bodies.supplier(name=None))
    assert error_of(answer, "/name")["code"] == "missing"


def test_of_very_many_errors_the_first_are_listed(shop: Shop) -> None:
    body = bodies.supplier(**{f"m{n}": 1 for n in range(1500)})
    answer = shop.post("/suppliers", body)
    assert answer.status_code == 422
    assert len(answer.json()["errors"]) == 100
    assert answer.json()["detail"].startswith("1500 values are invalid")


def test_a_pointer_escapes_what_json_pointers_escape(shop: Shop) -> None:
    assert error_of(shop.post("/suppliers", bodies.supplier(**{"a/b~c": 1})), "/a~1b~0c")


def test_a_member_name_that_cannot_be_written_is_still_answered(shop: Shop) -> None:
    body = GOOD[:-1] + b', "\\ud800": 1}'
    answer = shop.raw("/suppliers", body)
    assert answer.status_code == 422
