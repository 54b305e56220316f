"""The demonstration run itself, with the real server, and what the README shows of it."""

import re
import socket
from pathlib import Path

import pytest

from api.demo.run import SHOP, run_demo
from api.demo.server import ServerFailed, command_line, running_server

DEEPER = [
    "What it may come to, and when",
    "Other good plans",
    "Price against date: the cheapest plan for every date wanted",
    "What would change the answer",
    "Look closer first?",
    "Why not",
    "If it were parted out instead",
    "For the customer",
]


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("DATABASE_URL", raising=False)
    return tmp_path


def is_answered(base_url: str) -> bool:
    port = int(base_url.rsplit(":", 1)[1])
    with socket.socket() as probe:
        return probe.connect_ex(("127.0.0.1", port)) == 0


def pieces_of_the_readme() -> list[str]:
    """What the README shows of the demo's output, cut where it is shortened at three dots."""
    readme = Path(__file__).parents[2] / "README.md"
    shown = re.findall(r"^```text\n(.*?)^```", readme.read_text("utf-8"), re.DOTALL | re.MULTILINE)
    cut = [re.split(r"^\.\.\.$", block, flags=re.MULTILINE) for block in shown]
    return [piece.strip("\n") for pieces in cut for piece in pieces if piece.strip("\n")]


def test_the_demo_ends_cleanly_and_can_be_read_in_80_columns_without_colour(
    here: Path, capsys: pytest.CaptureFixture[str]
):
    assert run_demo() == 0
    text = capsys.readouterr().out
    assert "\x1b[" not in text
    prose = [line for line in text.splitlines() if "$CW_" not in line and not line.startswith(" ")]
    shell = re.compile(r"^(curl|-H|-d|\{|\}|\[)")
    assert max(len(line) for line in prose if not shell.match(line)) <= 80
    for word in ("refit", "rebuild", "exchange", "used", "new", "send out", "agrees"):
        assert word in text
    assert text.count("curl -sS") == 24
    assert len([line for line in text.splitlines() if "margin" in line]) == 1
    lines = [line.rstrip() for line in text.splitlines()]
    headings = [line.rstrip("- ") for line in lines if line.endswith("-----")]
    assert [one for one in headings if one in DEEPER] == DEEPER
    for_the_customer = "\n".join(lines).partition("For the customer ---")[2].partition("\n\n")[0]
    assert "1135.13 EUR" in for_the_customer
    assert "Puddleford" not in for_the_customer, "no supplier is told to the customer"
    for piece in pieces_of_the_readme():
        assert piece in "\n".join(lines), "run the demo and put into the README what it prints"
    paragraph = lines[next(n for n, one in enumerate(lines) if one.startswith("Parts from")) :]
    assert paragraph.index("") <= 15


def test_the_server_is_gone_when_its_block_ends_even_by_an_error(here: Path):
    url = f"sqlite:///{here}/own.db"
    command_line(["migrate"], url)
    key = command_line(["make-key", "--shop", SHOP], url)
    base_urls: list[str] = []
    with (
        pytest.raises(KeyboardInterrupt),
        running_server(url, key, here / "server.log") as base_url,
    ):
        base_urls.append(base_url)
        assert is_answered(base_url)
        raise KeyboardInterrupt
    assert not is_answered(base_urls[0])


def test_a_server_that_does_not_know_our_key_is_not_taken_for_our_own(here: Path):
    url = f"sqlite:///{here}/own.db"
    command_line(["migrate"], url)
    with (
        pytest.raises(ServerFailed, match="Another server answers"),
        running_server(url, "a-key-of-another-database", here / "server.log"),
    ):
        pass


def test_a_database_without_tables_is_told_in_one_plain_line(here: Path):
    with (
        pytest.raises(ServerFailed, match="corewright migrate"),
        running_server(f"sqlite:///{here}/empty.db", "key", here / "server.log"),
    ):
        pass
