"""How often a caller may ask, what every answer carries, and what limits can be set."""

import re
import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

import pytest
from litestar.testing import TestClient

from api import access
from api.app import Api, _Answering, create_app
from api.rate import Quota, RateLimiter, Windows
from api.routes import health
from api.server import run_server
from api.settings import Limits, Settings
from db.models.access import keys
from db.queries.access import now
from tests.api import bodies
from tests.api.bodies import Shop, fresh
from tests.api.conftest import make_shop

POLICY = re.compile(r'"(shop|peer)";q=[1-9][0-9]*;w=[1-9][0-9]*')
STANDING = re.compile(r'"(shop|peer)";r=(0|[1-9][0-9]*);t=[1-9][0-9]*')


class Clock:
    """Stands still until it is told to go on."""

    def __init__(self) -> None:
        self.seconds = 1000.0

    def __call__(self) -> float:
        return self.seconds


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def strict(app: Api, clock: Clock, monkeypatch: pytest.MonkeyPatch) -> Iterator[Limits]:
    """The app with a limiter of its own: five requests a minute for a key, three for an address."""
    limits = Limits(requests_per_key=5, requests_per_peer=3, window_s=60)
    monkeypatch.setitem(app.state._state, "limiter", RateLimiter(limits, clock))
    yield limits


# --- what every answer carries --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("method", "path", "status"),
    [
        ("GET", "/health", 200),
        ("HEAD", "/health", 200),
        ("GET", "/openapi.json", 200),
        ("GET", "/problems/validation", 200),
        ("GET", "/problems/none", 404),
        ("GET", "/nothing/here", 404),
        ("GET", "/v1/units/", 404),
        ("GET", "//", 404),
        ("OPTIONS", "/v1/units", 204),
        ("GET", "/v1/units", 401),
        ("POST", "/v1/suppliers", 401),
        ("PUT", "/v1/units", 405),
        ("TRACE", "/health", 405),
        ("CONNECT", "/health", 400),
    ],
)
def test_every_answer_carries_the_headers(
    client: TestClient[Any], method: str, path: str, status: int
) -> None:
    answer = client.request(method, path)
    assert answer.status_code == status
    check_headers(answer)


def test_answers_to_a_key_carry_them_too(shop: Shop) -> None:
    part = bodies.part()
    made = shop.post("/parts", part)
    read = shop.get(f"/parts/{made.json()['id']}")
    for answer in (made, read, shop.post("/parts", part), shop.post("/parts", {})):
        check_headers(answer)
        assert POLICY.fullmatch(answer.headers["ratelimit-policy"]).group(1) == "shop"
    assert read.headers["cache-control"] == "private, no-cache"
    assert read.headers["vary"] == "Authorization"


def check_headers(answer: Any) -> None:
    assert POLICY.fullmatch(answer.headers["ratelimit-policy"])
    assert STANDING.fullmatch(answer.headers["ratelimit"])
    assert answer.headers["x-request-id"].startswith("req_")
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["cache-control"]
    for name in ("x-request-id", "ratelimit", "cache-control", "x-content-type-options"):
        assert len(answer.headers.get_list(name)) == 1, name


@pytest.mark.engines("sqlite")
@pytest.mark.parametrize("is_page", [True, False])
def test_a_page_may_load_nothing_from_elsewhere_and_run_nothing_within_it(
    app: Api, is_page: bool
) -> None:
    kind = b"text/html; charset=utf-8" if is_page else b"application/json"
    scope: Any = {"type": "http", "method": "GET", "path": "/", "headers": [], "client": None}
    answering = _Answering(scope, never, app)
    found = dict(answering._headers([(b"content-type", kind)]))
    assert (b"content-security-policy" in found) == is_page
    if is_page:
        policy = found[b"content-security-policy"].decode()
        assert "default-src 'none'" in policy
        assert "script-src 'self'" in policy
        assert "frame-ancestors 'none'" in policy
        assert "unsafe" not in policy
        assert found[b"referrer-policy"] == b"no-referrer"
        assert found[b"x-frame-options"] == b"DENY"


async def never(_: Any) -> None:
    raise AssertionError("nothing is sent here")


def test_a_foreign_host_and_forwarded_headers_change_no_link(shop: Shop) -> None:
    for _ in range(2):
        shop.make("/suppliers", bodies.supplier())
    foreign = {
        "Host": "elsewhere.invalid",
        "X-Forwarded-Host": "elsewhere.invalid",
        "X-Forwarded-Proto": "gopher",
        "X-Forwarded-Prefix": "/elsewhere",
        "Forwarded": "host=elsewhere.invalid",
        "X-Original-URL": "/elsewhere",
        "X-HTTP-Method-Override": "DELETE",
    }
    page = shop.call("GET", "/suppliers?limit=1", headers=foreign)
    assert page.status_code == 200
    assert page.json()["next"].startswith("/v1/suppliers?")
    made = shop.post("/suppliers", bodies.supplier(), **foreign)
    assert made.headers["location"].startswith("/v1/suppliers/")
    wrong = shop.call("GET", "/suppliers?colour=red", headers=foreign)
    for answer in (page, made, wrong):
        assert "elsewhere" not in answer.text + str(answer.headers)


# --- how often ------------------------------------------------------------------------------------


def test_a_key_over_its_limit_waits_for_its_next_window(
    strict: Limits, clock: Clock, shop: Shop
) -> None:
    for left in (4, 3, 2, 1, 0):
        answer = shop.get("/units")
        assert answer.status_code == 200
        assert answer.headers["ratelimit"] == f'"shop";r={left};t=60'
        assert answer.headers["ratelimit-policy"] == '"shop";q=5;w=60'
    clock.seconds += 12.5
    refused = shop.get("/units")
    assert refused.status_code == 429
    assert refused.json()["type"] == "/problems/rate-limited"
    assert refused.json()["retry_after_s"] == 48
    assert refused.headers["retry-after"] == "48"
    assert refused.headers["ratelimit"] == '"shop";r=0;t=48'
    clock.seconds += 47.5
    assert shop.get("/units").status_code == 200


def test_the_window_begins_with_the_first_request_and_refusals_do_not_lengthen_it(
    strict: Limits, clock: Clock, shop: Shop
) -> None:
    for _ in range(20):
        shop.get("/units")
        clock.seconds += 2
    clock.seconds += 20
    assert shop.get("/units").status_code == 200


def test_one_shop_over_its_limit_does_not_concern_another(
    strict: Limits, shop: Shop, other_shop: Shop
) -> None:
    for _ in range(6):
        last = shop.get("/units")
    assert last.status_code == 429
    assert other_shop.get("/units").status_code == 200


def test_many_keys_behind_one_address_do_not_use_up_its_quota(
    strict: Limits, app: Api, client: TestClient[Any]
) -> None:
    for _ in range(3 * strict.requests_per_peer):
        assert make_shop(app, client, fresh("Bench")).get("/units").status_code == 200
    answer = client.get("/openapi.json")
    assert answer.headers["ratelimit"] == '"peer";r=2;t=60'


def test_wrong_keys_over_the_limit_cost_no_look_into_the_database(
    strict: Limits, client: TestClient[Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    looks = count_looks(monkeypatch)
    for number in range(10):
        answer = client.get("/v1/units", headers={"Authorization": f"Bearer cw_wrong{number}"})
        assert answer.status_code == (401 if number < strict.requests_per_peer else 429)
    assert looks[0] == strict.requests_per_peer


def test_a_good_key_over_its_limit_costs_none_either(
    strict: Limits, shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    looks = count_looks(monkeypatch)
    for _ in range(10):
        shop.get("/units")
    assert looks[0] == strict.requests_per_key


def count_looks(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    looks = [0]
    real: Callable[..., Any] = access.find_principal

    def counting(*arguments: Any) -> Any:
        looks[0] += 1
        return real(*arguments)

    monkeypatch.setattr(access, "find_principal", counting)
    return looks


def test_a_key_known_as_good_gets_through_while_its_address_is_over_the_limit(
    strict: Limits, client: TestClient[Any], shop: Shop
) -> None:
    assert shop.get("/units").status_code == 200
    for _ in range(5):
        last = client.get("/openapi.json")
    assert last.status_code == 429
    assert shop.get("/units").status_code == 200


def test_a_revoked_key_is_refused_and_counts_for_its_address_again(
    strict: Limits, app: Api, shop: Shop
) -> None:
    assert shop.get("/units").status_code == 200
    with app.state.sessions.writing() as session:
        newest = session.execute(keys.select().order_by(keys.c.id.desc())).first()
        session.execute(keys.update().where(keys.c.id == newest.id).values(revoked_at=now()))
    answers = [shop.get("/units") for _ in range(5)]
    assert [answer.status_code for answer in answers] == [401, 401, 401, 401, 429]
    assert answers[-1].headers["ratelimit-policy"].startswith('"peer"')


def test_who_says_to_be_forwarded_is_counted_by_the_connection_all_the_same(
    strict: Limits, client: TestClient[Any]
) -> None:
    for number in range(5):
        headers = {"X-Forwarded-For": f"203.0.113.{number}", "Forwarded": f"for=203.0.113.{number}"}
        last = client.get("/openapi.json", headers=headers)
    assert last.status_code == 429


def test_health_is_counted_and_never_refused(strict: Limits, client: TestClient[Any]) -> None:
    for _ in range(5):
        answer = client.get("/health")
    assert answer.status_code == 200
    assert answer.headers["ratelimit"] == '"peer";r=0;t=60'


@pytest.mark.parametrize("method", ["HEAD", "OPTIONS", "POST"])
def test_no_method_goes_uncounted(strict: Limits, client: TestClient[Any], method: str) -> None:
    for _ in range(5):
        last = client.request(method, "/problems/validation")
    assert last.status_code == 429
    assert (last.text == "") == (method == "HEAD")


def test_what_is_remembered_of_callers_is_bounded(clock: Clock) -> None:
    windows = Windows(Quota("peer", 2, 60), clock, most=3)
    for number in range(50):
        windows.take(number)
    assert len(windows) == 3
    assert windows.take(49).left == 0, "the newest are remembered"
    assert windows.take(49).is_over


@pytest.mark.parametrize(
    ("one", "other", "is_same"),
    [
        ("2001:db8:0:1::5", "2001:db8:0:1:ffff::9", True),
        ("2001:db8:0:1::5", "2001:db8:0:2::5", False),
        ("::ffff:192.0.2.1", "192.0.2.1", True),
        ("192.0.2.1", "192.0.2.2", False),
        ("fe80::1%eth0", "fe80::2%eth0", True),
    ],
)
def test_an_ipv6_network_is_one_peer(clock: Clock, one: str, other: str, is_same: bool) -> None:
    limiter = RateLimiter(Limits(requests_per_peer=1), clock)
    for address in (one, other):
        visit = limiter.arrive({"headers": [], "client": (address, 4711)})
    assert visit.standing.is_over == is_same


# --- settings -------------------------------------------------------------------------------------


def test_limits_come_from_the_environment() -> None:
    given = {"COREWRIGHT_LIMIT_REQUESTS_PER_KEY": "7", "COREWRIGHT_LIMIT_BODY_GAP_S": "2.5"}
    limits = Limits.from_environment(given)
    assert limits == replace(Limits(), requests_per_key=7, body_gap_s=2.5)
    assert Limits.from_environment({}) == Limits()


@pytest.mark.parametrize("text", ["0", "-1", "many", "nan", "inf", "1e99", "2.5"])
def test_a_limit_that_is_none_is_refused_by_name(text: str) -> None:
    with pytest.raises(ValueError, match=r"COREWRIGHT_LIMIT_THREADS must be a whole number"):
        Limits.from_environment({"COREWRIGHT_LIMIT_THREADS": text})


def test_a_server_with_a_bad_limit_ends_with_a_plain_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COREWRIGHT_LIMIT_WINDOW_S", "soon")
    with pytest.raises(SystemExit, match=r"^COREWRIGHT_LIMIT_WINDOW_S must be"):
        run_server("127.0.0.1", 0)


# --- health ---------------------------------------------------------------------------------------


def test_health_tells_of_the_wal_reset_fault_and_how_it_is_met(
    client: TestClient[Any], engine_name: str
) -> None:
    database = client.get("/health").json()["database"]
    assert database["engine"] == engine_name
    assert re.match(r"[0-9]+\.[0-9]+", database["version"])
    if engine_name == "postgresql":
        assert database["wal_reset_fault"] is None
        assert database["wal_reset_fault_met_by"] is None
    else:
        assert isinstance(database["wal_reset_fault"], bool)
        has_answer = database["wal_reset_fault_met_by"] is not None
        assert has_answer == database["wal_reset_fault"]


@pytest.mark.engines("sqlite")
def test_health_does_not_wait_for_ever_and_many_who_ask_are_one_question(
    client: TestClient[Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    asked, answered = [], threading.Event()

    def stuck(_: Any) -> dict[str, Any]:
        asked.append(1)
        assert answered.wait(10)
        return {}

    monkeypatch.setattr(health, "_WAIT_S", 0.01)
    monkeypatch.setattr(health, "_database", stuck)
    try:
        for _ in range(3):
            answer = client.get("/health")
            assert answer.status_code == 503
            assert answer.json()["type"] == "/problems/database-away"
    finally:
        answered.set()
    assert asked == [1]


# --- long statements ------------------------------------------------------------------------------


def test_a_statement_that_takes_too_long_is_answered_busy(
    app: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    from api.routes import records  # noqa: PLC0415 - only here
    from tests.db.test_time_limits import LONG  # noqa: PLC0415

    monkeypatch.setattr(
        records, "page", lambda session, *_, **__: session.execute(LONG).scalar(), raising=False
    )
    settings = Settings(app.state.settings.database_url, limits=Limits(statement_s=0.05))
    impatient = create_app(settings)
    with TestClient(impatient, raise_server_exceptions=False) as client:
        shop = make_shop(impatient, client, fresh("Invented workshop"))
        answer = shop.get("/suppliers")
    assert answer.status_code == 503, answer.text
    assert answer.json()["type"] == "/problems/busy"
    assert int(answer.headers["retry-after"]) > 0
