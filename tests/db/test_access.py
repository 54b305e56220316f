"""Keys, kept answers, audit, secrets."""

import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from sqlalchemy import select, update

from db.engine import Sessions
from db.models.access import audit_entries, kept_answers, keys
from db.queries.access import (
    KEPT_FOR,
    KeptAnswer,
    Principal,
    claim_key,
    find_answer,
    find_principal,
    keep_answer,
    make_shop_and_key,
    now,
    server_secret,
)
from tests.db.workshop import Workshop

ANSWER = KeptAnswer("a" * 64, 201, {"Location": "/v1/parts/prt_1"}, b'{"id": "prt_1"}')


def test_a_token_leads_to_its_shop_and_is_not_kept_itself(sessions: Sessions) -> None:
    with sessions.writing() as session:
        made, token = make_shop_and_key(session, "Mill Street Repairs")
    with sessions.reading() as session:
        assert find_principal(session, token) == made
        assert find_principal(session, token + "x") is None
        assert find_principal(session, "\ud800") is None
        rows = session.execute(select(keys)).all()
    assert all(token not in str(row) for row in rows)


def test_a_second_key_of_the_same_name_is_of_the_same_shop(sessions: Sessions) -> None:
    with sessions.writing() as session:
        first, _ = make_shop_and_key(session, "Mill Street Repairs")
        second, _ = make_shop_and_key(session, " mill  street REPAIRS ", role="reader")
    assert (second.shop_id, second.shop_name) == (first.shop_id, "Mill Street Repairs")
    assert (first.role, second.role) == ("admin", "reader")


@pytest.mark.parametrize(("name", "role"), [("Mill", "owner"), (" ", "admin")])
def test_a_key_needs_a_name_and_a_known_role(sessions: Sessions, name: str, role: str) -> None:
    with sessions.writing() as session, pytest.raises(ValueError, match="role"):
        make_shop_and_key(session, name, role)


@pytest.mark.parametrize("column", ["revoked_at", "expires_at"])
def test_a_revoked_or_expired_key_opens_nothing(sessions: Sessions, column: str) -> None:
    with sessions.writing() as session:
        _, token = make_shop_and_key(session, "Mill")
        session.execute(update(keys).values({column: now() - timedelta(seconds=1)}))
    with sessions.reading() as session:
        assert find_principal(session, token) is None


def keep(sessions: Sessions, shop: Principal, key: str = "k1") -> None:
    with sessions.writing() as session:
        assert claim_key(session, shop, "POST /v1/parts", key) is None
        keep_answer(session, shop, "POST /v1/parts", key, ANSWER)


def test_an_answer_is_kept_per_shop_route_and_key(
    sessions: Sessions, shop: Principal, other_shop: Principal
) -> None:
    keep(sessions, shop)
    with sessions.reading() as session:
        assert find_answer(session, shop, "POST /v1/parts", "k1") == ANSWER
        assert find_answer(session, shop, "POST /v1/units", "k1") is None
        assert find_answer(session, shop, "POST /v1/parts", "k2") is None
        assert find_answer(session, other_shop, "POST /v1/parts", "k1") is None


def test_whoever_claims_a_key_again_gets_the_answer_that_is_kept(
    sessions: Sessions, shop: Principal
) -> None:
    keep(sessions, shop)
    with sessions.writing() as session:
        assert claim_key(session, shop, "POST /v1/parts", "k1") == ANSWER


def test_a_claim_that_fails_leaves_no_key(sessions: Sessions, shop: Principal) -> None:
    with pytest.raises(ZeroDivisionError), sessions.writing() as session:
        claim_key(session, shop, "POST /v1/parts", "k1")
        raise ZeroDivisionError
    keep(sessions, shop)


def test_equal_requests_at_the_same_moment_wait_for_the_first(
    sessions: Sessions, shop: Principal
) -> None:
    claimed, told = threading.Event(), []

    def second() -> None:
        claimed.wait()
        with sessions.writing() as session:
            told.append(claim_key(session, shop, "POST /v1/parts", "k1"))

    thread = threading.Thread(target=second)
    thread.start()
    with sessions.writing() as session:
        claim_key(session, shop, "POST /v1/parts", "k1")
        claimed.set()
        thread.join(0.1)
        assert told == []
        keep_answer(session, shop, "POST /v1/parts", "k1", ANSWER)
    thread.join()
    assert told == [ANSWER]


def test_an_answer_is_forgotten_after_seven_days(sessions: Sessions, shop: Principal) -> None:
    keep(sessions, shop)
    with sessions.writing() as session:
        session.execute(update(kept_answers).values(created_at=now() - KEPT_FOR))
    with sessions.reading() as session:
        assert find_answer(session, shop, "POST /v1/parts", "k1") is None
    keep(sessions, shop)
    with sessions.reading() as session:
        assert find_answer(session, shop, "POST /v1/parts", "k1") == ANSWER


def test_a_secret_is_made_once_and_is_the_same_for_all(sessions: Sessions) -> None:
    with ThreadPoolExecutor(8) as threads:
        asked = [
            threads.submit(sessions.write, lambda session: server_secret(session, "cursors"))
            for _ in range(8)
        ]
    secrets = {one.result() for one in asked}
    assert len(secrets) == 1
    assert len(secrets.pop()) == 32
    with sessions.writing() as session:
        assert server_secret(session, "another") != server_secret(session, "cursors")


def test_keys_for_one_new_shop_at_the_same_moment_are_of_one_shop(sessions: Sessions) -> None:
    def make(_: int) -> str:
        return sessions.write(lambda session: make_shop_and_key(session, "Mill"))[0].shop_id

    with ThreadPoolExecutor(6) as threads:
        assert len(set(threads.map(make, range(6)))) == 1


def test_each_creation_writes_one_audit_row(workshop: Workshop) -> None:
    position = workshop.position(workshop.assembly())
    with workshop.sessions.reading() as session:
        rows = session.execute(select(audit_entries).where(audit_entries.c.kind != "key")).all()
    assert [(row.kind, row.action) for row in rows] == [
        ("assembly", "create"),
        ("position", "create"),
    ]
    assert rows[1].record_id == position.id
    assert (rows[1].shop_id, rows[1].key_id) == (
        workshop.principal.shop_id,
        workshop.principal.key_id,
    )
