"""The process that servers are forked from: it imports everything once.

A fork runs ``corewright serve`` as the command line does. This process has one thread, so that it
may fork; with its standard input closed it ends all that it started.
"""

import functools
import gc
import json
import os
import signal
import sys
import tempfile
import traceback
from typing import Any

import alembic.command
import granian.server.embed
import psycopg

import api.app
import api.cli
import api.server
from api.settings import Settings
from db.migrate import newest
from tests.fire import broken

USED_BY_A_SERVER = (alembic.command, granian.server.embed, psycopg, api.server)
"""Imported here so that no fork has to."""


def serve(url: str, port: int, log: str, breakage: str | None) -> None:
    """Become a server; ``breakage`` names a function of ``broken.py`` that is called before."""
    os.setsid()
    nothing = os.open(os.devnull, os.O_RDONLY)
    output = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o644)
    for taken, place in ((nothing, 0), (output, 1), (output, 2)):
        os.dup2(taken, place)
    os.environ["DATABASE_URL"] = url
    if breakage is not None:
        getattr(broken, breakage)()
    api.cli.app(["serve", "--port", str(port)])


def fork(**order: Any) -> int:
    """Fork a server; its process id."""
    pid = os.fork()
    if pid:
        return pid
    try:
        serve(**order)
    except SystemExit as end:
        os._exit(end.code if isinstance(end.code, int) else 1)
    except BaseException:
        traceback.print_exc()
    os._exit(70)


def end(children: set[int], pid: int, number: int) -> int:
    """Signal a server and wait for its end; its exit status."""
    assert pid in children
    os.kill(pid, number)
    _, status = os.waitpid(pid, 0)
    children.discard(pid)
    return os.waitstatus_to_exitcode(status)


def warm_up() -> None:
    """Build everything once, without touching a database."""
    newest()
    with tempfile.TemporaryDirectory() as folder:
        made = api.app.create_app(Settings(f"sqlite:///{folder}/none.db"))
    # The API's document is most of what a start costs, and nothing that a kill could harm.
    document = json.loads(made.state.openapi_json)
    api.app.openapi_document = functools.partial(_given, document)
    gc.collect()
    gc.freeze()


def _given(document: dict[str, Any], *_: object) -> dict[str, Any]:
    return document


def main() -> None:
    """Answer one line of JSON per line of JSON, until there are no more."""
    warm_up()
    children: set[int] = set()
    try:
        for line in sys.stdin:
            words = json.loads(line)
            answer: dict[str, Any] = {}
            if words.pop("do") == "start":
                answer["pid"] = fork(**words)
                children.add(answer["pid"])
            else:
                answer["status"] = end(children, words["pid"], words["signal"])
            print(json.dumps(answer), flush=True)
    finally:
        for pid in tuple(children):
            end(children, pid, signal.SIGKILL)


if __name__ == "__main__":
    main()
