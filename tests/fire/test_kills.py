"""A server killed while it writes loses nothing that it acknowledged, and does nothing twice."""

from collections.abc import Callable
from pathlib import Path

import pytest

from db.migrate import upgrade
from tests.fire.kills import run_kills
from tests.fire.nursery import Nursery

SEED = 20_261
KILLS = 50
SERVERS = {"sqlite": 1, "postgresql": 3}
BROKEN = {
    "forgets_to_commit": "LOST",
    "answers_before_it_stores": "LOST",
    "keeps_the_key_apart": "DOUBLED",
    "loses_a_child": "CHANGED",
    "audits_twice": "1 writes, 2 audit rows",
    "audits_the_wrong_record": "1 writes, 0 audit rows",
}


def test_what_was_acknowledged_before_a_kill_is_there_once_and_whole(
    nursery: Nursery, engine_name: str, new_url: Callable[[], str], tmp_path: Path
) -> None:
    url = new_url()
    upgrade(url)
    account = run_kills(
        nursery, url, tmp_path, kills=KILLS, requests=8, seed=SEED, servers=SERVERS[engine_name]
    )
    print(account)
    assert not account.findings, str(account)
    assert account.acknowledged > KILLS, str(account)
    assert account.lost > KILLS / 5, str(account)


@pytest.mark.engines("sqlite")
@pytest.mark.parametrize(("breakage", "word"), BROKEN.items())
def test_a_server_broken_on_purpose_is_found_out(
    nursery: Nursery, new_url: Callable[[], str], tmp_path: Path, breakage: str, word: str
) -> None:
    """Or the test above would prove nothing."""
    url = new_url()
    upgrade(url)
    account = run_kills(nursery, url, tmp_path, kills=2, requests=60, seed=SEED, breakage=breakage)
    assert any(word in finding for finding in account.findings), str(account)
