"""What the look-ups of interchange cost, and whether it grows with the catalogue.

Every figure stands beside one read of a part by its id, through the same layer in the same run:
functions of the database layer beside ``records.read``, requests beside ``GET /v1/parts/{id}``. The
size of the answer (records read, or items answered) stands beside each, since an answer of five
thousand steps may take longer than one of five; what may not be seen is growth with the catalogue.
"""

import os
import shutil
import tempfile
import uuid
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from random import Random
from statistics import mean, median, quantiles
from time import perf_counter
from typing import Any, Final

import httpx
from sqlalchemy.orm import Session

from api.demo.server import running_server
from db.engine import Sessions, make_engine
from db.queries import records
from db.queries.access import Principal
from db.queries.interchange_walk import catalogue_slice, newest_slice
from db.queries.part_numbers import find_numbers
from shared.evidence import EvidenceKind
from shared.interchange.candidates import candidates
from shared.interchange.found import Place
from shared.interchange.model import Part
from shared.interchange.rules import InterchangeRules
from shared.interchange.supersession import newest
from tests.bench.catalogue import Catalogue, Size, filled
from tests.bench.catalogue_records import part_id, position_id
from tests.postgres import NoPostgres, running_cluster

SIZES: Final = (10_000, 100_000, 1_000_000)
DRAWS: Final = 200
WARMING: Final = 30
UNUSUAL_DRAWS: Final = 5
FEWEST_TYPED: Final = 3
TODAY: Final = date(2026, 11, 29)
REFERENCE: Final = "read of a part by id"


@dataclass(frozen=True)
class Measured:
    """Milliseconds that half and 99 of 100 took at most, the mean size of the answers.

    ``ratio``: the median beside that of reads by id, one read between every two questions: what
    else the machine does slows down both.
    """

    p50_ms: float
    p99_ms: float
    answered: float
    ratio: float


@dataclass(frozen=True)
class Asked:
    """One thing to measure: called with each of the draws, it returns the size of its answer."""

    name: str
    ask: Callable[[Any], int]
    draws: Sequence[Any]


def run(sizes: Sequence[int] = SIZES) -> None:
    """Print a table per engine and size, then how each ratio grows from the least to the most."""
    os.environ["COREWRIGHT_LIMIT_REQUESTS_PER_KEY"] = "100000000"
    folder = Path(tempfile.mkdtemp(prefix="corewright-bench-", dir=os.environ.get("BENCH_FOLDER")))
    try:
        print("SQLite")
        _growth([_sized(f"sqlite:///{folder}/{size}.db", size, folder) for size in sizes], sizes)
        with running_cluster() as cluster:
            print("PostgreSQL (its fsync off, as in the tests)")
            _growth([_sized(cluster.new_database(), size, folder) for size in sizes], sizes)
    except NoPostgres as error:
        print(f"PostgreSQL: left out, {error}")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


# --- one size on one engine ------------------------------------------------------------------


def _sized(url: str, parts: int, folder: Path) -> dict[str, float]:
    """Fill a database, measure, print; the ratios by name."""
    catalogue, principal, key = filled(url, Size(parts))
    return figures(url, catalogue, principal, key, folder)


def figures(
    url: str, catalogue: Catalogue, principal: Principal, key: str, folder: Path
) -> dict[str, float]:
    """Measure on a filled database and print; the ratios to a read by name."""
    found: dict[str, float] = {}
    print(f"{'':<44}{'p50 ms':>9}{'p99 ms':>9}{'ratio':>8}{'answer':>9}{'us each':>9}")
    sessions = Sessions(make_engine(url))
    found |= _show("in the layer", _layer(sessions, principal, catalogue))
    sessions.close()
    with (
        running_server(url, key, folder / "server.log") as base_url,
        httpx.Client(
            base_url=f"{base_url}/v1", headers={"Authorization": f"Bearer {key}"}, timeout=120
        ) as client,
    ):
        found |= _show("over HTTP", _http(client, catalogue))
    return found


def _show(where: str, every: Iterable[Asked]) -> dict[str, float]:
    """Measure all, the reference first; print each; its ratios by name."""
    ratios: dict[str, float] = {}
    reference: Asked | None = None
    for asked in every:
        reference = reference or asked
        found = measured(asked, reference)
        ratios[f"{where}: {asked.name}"] = found.ratio
        each = 1_000 * found.p50_ms / found.answered if found.answered else 0.0
        print(
            f"  {where + ': ' + asked.name:<42}{found.p50_ms:>9.2f}{found.p99_ms:>9.2f}"
            f"{found.ratio:>8.1f}{found.answered:>9.1f}{each:>9.0f}",
            flush=True,
        )
    return ratios


def measured(asked: Asked, reference: Asked) -> Measured:
    """Ask for every draw; the first few are asked once before, so that caches are warm."""
    for draw in asked.draws[: min(WARMING, len(asked.draws) // 4)]:
        asked.ask(draw)
    times, reads, sizes = [], [], []
    for number, draw in enumerate(asked.draws):
        start = perf_counter()
        reference.ask(reference.draws[number % len(reference.draws)])
        between = perf_counter()
        sizes.append(asked.ask(draw))
        times.append((perf_counter() - between) * 1_000)
        reads.append((between - start) * 1_000)
    cuts = quantiles(times, n=100, method="inclusive")
    return Measured(cuts[49], cuts[98], mean(sizes), cuts[49] / median(reads))


def _growth(found: Sequence[dict[str, float]], sizes: Sequence[int]) -> None:
    first, last = found[0], found[-1]
    print(f"{'  times a read':<52}{sizes[0]:>11,}{sizes[-1]:>11,}{'growth':>9}")
    for name, ratio in last.items():
        print(f"  {name:<50}{first[name]:>11.1f}{ratio:>11.1f}{ratio / first[name]:>9.2f}")


# --- what is asked ---------------------------------------------------------------------------


@dataclass(frozen=True)
class Draws:
    """Random parts of the catalogue, and text as people type it."""

    catalogue: Catalogue
    random: Random

    def parts(self, count: int = DRAWS) -> list[str]:
        return [part_id(number) for number in self.random.sample(self.catalogue.ordinary, count)]

    def numbers(self, count: int = DRAWS) -> list[str]:
        chosen = self.random.sample(self.catalogue.ordinary, count)
        return [self.catalogue.number_of(number) for number in chosen]

    def typed(self) -> list[str]:
        """Each beginning of a number, from the third character on."""
        return [
            number[:end]
            for number in self.numbers(DRAWS // 6)
            for end in range(FEWEST_TYPED, len(number))
        ]

    def mistyped(self) -> list[str]:
        """A number with one character too many: at a place in the middle."""
        return [f"{one[:4]}{self.random.randint(0, 9)}{one[4:]}" for one in self.numbers()]

    def hubs(self) -> list[str]:
        return [part_id(number) for number in self.catalogue.hubs]

    def chain_starts(self) -> list[str]:
        return [part_id(chain[0]) for chain in self.catalogue.chains] * UNUSUAL_DRAWS

    def in_loops(self) -> list[str]:
        return [part_id(loop[0]) for loop in self.catalogue.loops]

    def positions(self, count: int = DRAWS) -> list[str]:
        some = self.catalogue.positions
        return [position_id(n) for n in self.random.sample(some, min(count, len(some)))]


def _layer(sessions: Sessions, principal: Principal, catalogue: Catalogue) -> Iterator[Asked]:
    """What the database layer and the pure walk do, each in a reading transaction of its own."""
    draws = Draws(catalogue, Random(7))
    rules, accepted = InterchangeRules(), tuple(EvidenceKind)

    def reading(work: Callable[[Session, str], int]) -> Callable[[str], int]:
        def ask(drawn: str) -> int:
            with sessions.reading() as session:
                return work(session, drawn)

        return ask

    def one(session: Session, drawn: str) -> int:
        records.read(session, principal, Part, drawn)
        return 1

    def taking_its_place(session: Session, drawn: str) -> int:
        slice_ = catalogue_slice(session, principal, [drawn], rules, accepted)
        candidates(Place(drawn, TODAY), slice_)
        return len(slice_.claims) + len(slice_.supersessions) + len(slice_.parts)

    def read_only(session: Session, drawn: str) -> int:
        slice_ = catalogue_slice(session, principal, [drawn], rules, accepted)
        return len(slice_.claims) + len(slice_.supersessions) + len(slice_.parts)

    def number(session: Session, drawn: str) -> int:
        return len(find_numbers(session, principal, drawn).matches)

    def later(session: Session, drawn: str) -> int:
        supersessions, orderable, unread = newest_slice(session, principal, drawn, TODAY)
        newest(Place(drawn, TODAY), supersessions, orderable, unread=unread)
        return len(supersessions)

    yield Asked(REFERENCE, reading(one), draws.parts())
    yield Asked("candidates of a part", reading(taking_its_place), draws.parts())
    yield Asked("the same, without the walk", reading(read_only), draws.parts())
    yield Asked("candidates of a hub", reading(taking_its_place), draws.hubs())
    yield Asked("newest numbers", reading(later), draws.parts())
    yield Asked("newest numbers, a chain of 1,000", reading(later), draws.chain_starts())
    yield Asked("newest numbers, in a loop", reading(later), draws.in_loops())
    yield Asked("number as written", reading(number), draws.numbers())
    yield Asked("number as one types", reading(number), draws.typed())
    yield Asked("number with a typing error", reading(number), draws.mistyped())


def _http(client: httpx.Client, catalogue: Catalogue) -> Iterator[Asked]:
    """The same from the request to the whole answer, one request at a time."""
    draws = Draws(catalogue, Random(8))

    def got(path: str, member: str | None = None, **fixed: str) -> Callable[[Any], int]:
        def ask(drawn: Any) -> int:
            named = {"text": drawn} if path == "/part-numbers" else {}
            answer = client.get(path.format(drawn), params={**fixed, **named})
            assert answer.status_code == httpx.codes.OK, answer.text
            return len(answer.json()[member]) if member else 1

        return ask

    def listed(drawn: str) -> int:
        query = {"kind": "donor", "gives_position_id": drawn}
        answer = client.get("/units", params=query)
        assert answer.status_code == httpx.codes.OK, answer.text
        return len(answer.json()["items"])

    yield Asked(REFERENCE, got("/parts/{}"), draws.parts())
    yield Asked("candidates of a part", got("/parts/{}/candidates", "candidates"), draws.parts())
    yield Asked("candidates of a hub", got("/parts/{}/candidates", "candidates"), draws.hubs())
    yield Asked("newest numbers", got("/parts/{}/newest-numbers", "newest"), draws.parts())
    yield Asked("number as written", got("/part-numbers", "items"), draws.numbers())
    yield Asked("number as one types", got("/part-numbers", "items"), draws.typed())
    yield Asked("number with a typing error", got("/part-numbers", "items"), draws.mistyped())
    yield Asked("donors that give a position", listed, draws.positions())
    yield Asked("a claim stored", _stored(client, "/interchange-claims"), _claims(draws))
    yield Asked("a supplier stored, to compare", _stored(client, "/suppliers"), _suppliers())


def _stored(client: httpx.Client, path: str) -> Callable[[dict[str, Any]], int]:
    def ask(body: dict[str, Any]) -> int:
        answer = client.post(path, json=body, headers={"Idempotency-Key": str(uuid.uuid4())})
        assert answer.status_code == httpx.codes.CREATED, answer.text
        return 1

    return ask


def _claims(draws: Draws) -> list[dict[str, Any]]:
    return [
        {
            "part_id": part,
            "stand_in_part_id": stand_in,
            "evidence_kind": "measured-match",
            "evidence": "Measured on the bench",
        }
        for part, stand_in in zip(draws.parts(), draws.parts(), strict=True)
        if part != stand_in
    ]


def _suppliers() -> list[dict[str, Any]]:
    return [
        {"name": f"Bench supplier {number}", "freight": {"amount": "9.50", "currency": "EUR"}}
        for number in range(DRAWS)
    ]
