"""Two server processes on one PostgreSQL: callers cannot tell which one answers them."""

import uuid
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, closing
from pathlib import Path
from typing import Any

import httpx
import pytest

from api.demo.server import running_server
from db.engine import Sessions, make_engine
from db.migrate import upgrade
from db.queries.access import make_shop_and_key
from tests.api import bodies
from tests.postgres import Cluster

Two = tuple[httpx.Client, httpx.Client]


@pytest.fixture(scope="module")
def two(cluster: Cluster, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Two]:
    """Clients of two servers, with the key of one shop."""
    url, folder = cluster.new_database(), tmp_path_factory.mktemp("servers")
    upgrade(url)
    with closing(Sessions(make_engine(url))) as sessions, sessions.writing() as session:
        _, key = make_shop_and_key(session, "Workshop with two counters")
    with ExitStack() as stack:

        def client(log: Path) -> httpx.Client:
            base_url = stack.enter_context(running_server(url, key, log))
            headers = {"Authorization": f"Bearer {key}"}
            return stack.enter_context(
                httpx.Client(base_url=f"{base_url}/v1", headers=headers, timeout=60)
            )

        yield client(folder / "one.log"), client(folder / "two.log")


def post(client: httpx.Client, path: str, body: Any, key: str | None = None) -> httpx.Response:
    return client.post(path, json=body, headers={"Idempotency-Key": key or str(uuid.uuid4())})


def test_what_one_stores_the_other_reads(two: Two) -> None:
    one, other = two
    made = post(one, "/parts", bodies.part())
    assert made.status_code == 201, made.text
    read = other.get(f"/parts/{made.json()['id']}")
    assert read.json() == made.json()
    assert read.headers["etag"] == made.headers["etag"]


def test_a_cursor_of_one_is_good_at_the_other(two: Two) -> None:
    one, other = two
    made = [post(one, "/assemblies", bodies.assembly()).json()["id"] for _ in range(5)]
    seen: list[str] = []
    page = one.get("/assemblies", params={"limit": "2"})
    for client in (other, one, other):
        assert page.status_code == 200, page.text
        seen += [item["id"] for item in page.json()["items"]]
        following = page.json().get("next")
        if following is None:
            break
        page = client.get(following.removeprefix("/v1"))
    assert seen == made


@pytest.mark.parametrize(
    ("path", "body"), [("/suppliers", bodies.supplier), ("/parts", bodies.part)]
)
def test_one_key_sent_to_both_at_once_stores_one_record(two: Two, path: str, body: Any) -> None:
    """Of the same part sent twice, the later is a repeat of the request and no duplicate."""
    with ThreadPoolExecutor(8) as threads:
        for _ in range(8):
            key, sent = str(uuid.uuid4()), body()
            calls = [threads.submit(post, two[n % 2], path, sent, key) for n in range(8)]
            answers = [call.result() for call in calls]
            assert {answer.status_code for answer in answers} == {201}, [a.text for a in answers]
            assert len({answer.content for answer in answers}) == 1
            repeated = [answer for answer in answers if "answer-repeated" in answer.headers]
            assert len(repeated) == len(answers) - 1
    listed = [two[0].get(path, params={"limit": "200"}).json()["items"]]
    assert len({item["id"] for item in listed[0]}) >= 8
    name = "name" if path == "/suppliers" else "number"
    assert len({item[name] for item in listed[0]}) == len(listed[0]), "nothing is there twice"


def test_settings_sent_to_both_at_once_get_versions_without_gap(two: Two) -> None:
    with ThreadPoolExecutor(8) as threads:
        calls = [
            threads.submit(post, two[n % 2], "/shop-settings", bodies.settings()) for n in range(16)
        ]
        answers = [call.result() for call in calls]
    assert {answer.status_code for answer in answers} == {201}, [a.text for a in answers]
    assert sorted(answer.json()["version"] for answer in answers) == list(range(1, 17))


def test_connections_that_were_cut_are_made_anew(two: Two, cluster: Cluster) -> None:
    for client in two:
        assert client.get("/parts").status_code == 200
    cluster.run(
        "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
        " WHERE backend_type = 'client backend' AND pid <> pg_backend_pid()"
    )
    for client in two:
        assert client.get("/parts").status_code == 200
