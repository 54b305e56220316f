"""The same storms in large numbers: ``python -m tests.storm --large [--engine sqlite] [FILTER]``.

Without ``--large`` they run as small as among the other tests. The number says how much: examples
of every random test, cases of every operation of the document.
"""

import argparse
import os
import sys
from pathlib import Path

import pytest

from tests.conftest import ENGINES


def main() -> int:
    """Run the tests of this folder, and let what they counted be seen."""
    parser = argparse.ArgumentParser(prog="python -m tests.storm", description=__doc__)
    parser.add_argument("--large", nargs="?", type=int, const=100, default=0, metavar="NUMBER")
    parser.add_argument("--engine", choices=ENGINES, default=None, help="both if not given")
    parser.add_argument("filter", nargs="?", default="", help="part of a test's name")
    asked = parser.parse_args()
    if asked.large:
        os.environ["STORM_LARGE"] = str(asked.large)
    words = [word for word in (asked.engine, asked.filter) if word]
    chosen = ["-k", " and ".join(words)] if words else []
    return int(pytest.main([str(Path(__file__).parent), "-s", "-q", "--durations=10", *chosen]))


if __name__ == "__main__":
    sys.exit(main())
