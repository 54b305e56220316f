"""Servers to be killed, and a log that nobody reads."""

from collections.abc import Iterator

import pytest
import structlog

from tests.fire.nursery import Nursery, running_nursery


@pytest.fixture(scope="session")
def nursery() -> Iterator[Nursery]:
    with running_nursery() as nursery:
        yield nursery


@pytest.fixture(scope="module")
def quiet_log() -> Iterator[None]:
    """Thousands of errors are logged here: nobody reads them, and printing one takes seconds."""
    before = structlog.get_config()
    structlog.configure(processors=[lambda *_: ""], logger_factory=structlog.ReturnLoggerFactory())
    yield
    structlog.configure(**before)
