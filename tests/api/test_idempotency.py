"""What stores something runs once per Idempotency-Key, however often it is sent."""

import threading
from typing import Any

from tests.api import bodies
from tests.api.bodies import Shop, fresh


def test_the_same_key_and_body_give_the_first_answer_byte_for_byte(shop: Shop) -> None:
    body = bodies.supplier()
    first = shop.post("/suppliers", body, key='"one"')
    again = shop.post("/suppliers", body, key='"one"')
    assert again.status_code == 201
    assert again.content == first.content
    assert again.headers["answer-repeated"] == "true"
    assert "answer-repeated" not in first.headers
    for name in ("location", "etag", "content-type"):
        assert again.headers[name] == first.headers[name]
    assert len(shop.get("/suppliers").json()["items"]) == 1


def test_the_quotes_of_the_header_are_not_part_of_the_key(shop: Shop) -> None:
    body = bodies.supplier()
    first = shop.post("/suppliers", body, key='"one"')
    assert shop.post("/suppliers", body, key="one").content == first.content


def test_the_order_of_members_does_not_make_another_body(shop: Shop) -> None:
    body = bodies.supplier()
    first = shop.post("/suppliers", body, key="one")
    turned = dict(reversed(body.items()))
    assert shop.post("/suppliers", turned, key="one").content == first.content


def test_the_same_key_with_another_body_is_refused(shop: Shop) -> None:
    shop.post("/suppliers", bodies.supplier(), key="one")
    answer = shop.post("/suppliers", bodies.supplier(), key="one")
    assert answer.status_code == 422
    assert answer.json()["type"] == "/problems/idempotency-key-reused"
    assert len(shop.get("/suppliers").json()["items"]) == 1


def test_a_key_counts_for_one_path_and_one_shop(shop: Shop, other_shop: Shop) -> None:
    body = bodies.supplier()
    first = shop.post("/suppliers", body, key="one").json()["id"]
    assert shop.post("/shop-settings", bodies.settings(), key="one").status_code == 201
    assert other_shop.post("/suppliers", body, key="one").json()["id"] != first


def test_without_a_key_nothing_is_stored(shop: Shop) -> None:
    for headers in ({}, {"Idempotency-Key": ""}, {"Idempotency-Key": '""'}):
        answer = shop.call("POST", "/suppliers", json=bodies.supplier(), headers=headers)
        assert answer.status_code == 400, headers
        assert answer.json()["type"] == "/problems/idempotency-key-missing"
    for key in ("x" * 201, "y" * 10_000, "two words", "café".encode()):
        answer = shop.call(
            "POST", "/suppliers", json=bodies.supplier(), headers={"Idempotency-Key": key}
        )
        assert answer.status_code == 400, key
    assert shop.get("/suppliers").json()["items"] == []


def test_a_refused_attempt_leaves_no_key_behind(shop: Shop) -> None:
    wrong = bodies.offer("sup_none", part_id="prt_none")
    assert shop.post("/offers", wrong, key="one").status_code == 422
    supplier = shop.make("/suppliers", bodies.supplier())
    part = shop.make("/parts", bodies.part())
    right = bodies.offer(supplier, part_id=part)
    assert shop.post("/offers", right, key="one").status_code == 201


def test_equal_requests_at_the_same_moment_store_one_record(shop: Shop) -> None:
    body, answers = bodies.supplier(), []

    def send() -> None:
        answers.append(shop.post("/suppliers", body, key="one"))

    threads = [threading.Thread(target=send) for _ in range(10)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert {answer.status_code for answer in answers} == {201}
    assert len({answer.content for answer in answers}) == 1
    assert len(shop.get("/suppliers").json()["items"]) == 1


def test_calculations_need_no_key(shop: Shop) -> None:
    answer = shop.call("POST", "/calculations/decision", json={})
    assert answer.status_code == 422
    assert answer.json()["type"] == "/problems/validation"


def test_a_repeated_key_in_the_headers_is_refused(shop: Shop) -> None:
    headers: Any = [
        *shop.headers.items(),
        ("Idempotency-Key", fresh("a").replace(" ", "")),
        ("Idempotency-Key", "b"),
    ]
    answer = shop._client.post("/v1/suppliers", json=bodies.supplier(), headers=headers)
    assert answer.status_code == 400
