"""How long a drawer takes to be searched for a special tool's work, and how that grows.

Ratios are to one calculation of torque, in the same run.
"""

import tempfile
from collections.abc import Iterator
from decimal import Decimal
from functools import partial
from itertools import islice, product
from pathlib import Path
from typing import Any, Final

import httpx

from api.demo.server import running_server
from db.engine import Sessions, make_engine
from db.migrate import upgrade
from db.queries import records
from db.queries.access import Principal, make_shop_and_key
from shared.fasteners.asked import TorqueAsked
from shared.fasteners.asking import ask_torque
from shared.fasteners.model import (
    FeatureKind,
    ItemForm,
    ScrewTip,
    SpecialTool,
    StockItem,
    TightRing,
    ToolFeature,
    ToolFunction,
)
from shared.fasteners.substitutes.asked import SubstitutesAsked
from shared.fasteners.substitutes.asking import ask_substitutes, asked_of_stock, asked_of_tool
from shared.quantities import Quantity
from tests.bench.planner import milliseconds

REPEATS: Final = 3
SIZES: Final = (500, 1_000, 2_000, 5_000)
_THREADS: Final = ("M5", "M6", "M8", "M8x1", "M10", "M12", "1/4-20 UNC", "3/8-16 UNC")
_LENGTHS: Final = (16, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90)
_CLASSES: Final = ("8.8", "10.9", None)
_METALS: Final = ("S235", "S355", "EN AW-6082", None)


def run() -> None:
    """Print one table: milliseconds by tool and size of the drawer, the ratio, the growth."""
    one = TorqueAsked("M8x1.25x40 8.8", lubrication="oiled")
    reference = milliseconds(lambda: ask_torque(one), 200)
    print(f"{'a drawer, one tool':<34}{'ms':>10}{'x torque':>10}{'power':>8}")
    _show("one calculation of torque", reference, reference)
    for tool in TOOLS:
        before: tuple[int, float] | None = None
        for size in SIZES:
            asked = question(tool, size)
            taken = milliseconds(partial(ask_substitutes, asked), REPEATS)
            _show(f"{tool.name}, {size} items", taken, reference, _power(before, size, taken))
            before = size, taken
    _show(f"the same over HTTP, {SIZES[-1]} stored", over_http(), reference)


def _show(name: str, taken: float, reference: float, power: float | None = None) -> None:
    growth = "" if power is None else f"{power:.1f}"
    print(f"{name:<34}{taken:>10.1f}{taken / reference:>10.1f}{growth:>8}", flush=True)


def _power(before: tuple[int, float] | None, size: int, taken: float) -> float | None:
    """The power of the number of items by which the time rose since the last size."""
    if before is None:
        return None
    more, longer = Decimal(size) / before[0], Decimal(taken) / Decimal(before[1])
    return float(longer.ln() / more.ln())


def question(tool: SpecialTool, count: int) -> SubstitutesAsked:
    items = tuple(asked_of_stock(item) for item in drawer(count))
    return SubstitutesAsked(asked_of_tool(tool), items)


def mm(size: object) -> Quantity:
    return Quantity(Decimal(str(size)), "mm")


def sized(**sizes: object) -> tuple[ToolFeature, ...]:
    return tuple(
        ToolFeature(FeatureKind(name.replace("_", "-")), size=mm(size))
        for name, size in sizes.items()
    )


def drawer(count: int) -> tuple[StockItem, ...]:
    """A drawer of so many lots, no two alike, all sorts in like parts."""
    sorts = (_screws(), _bars(), _rounds(), _small())
    turns = zip(*sorts, strict=False)
    return tuple(islice((item for turn in turns for item in turn), count))


def _item(number: int, name: str, form: ItemForm, **more: Any) -> StockItem:
    plain = {"id": f"{form}-{number}", "name": f"{name}, lot {number}", "kind": form.value}
    return StockItem(**{**plain, "quantity": 1 + number % 9, "form": form, **more})


def _screws() -> Iterator[StockItem]:
    for number, (length, thread, strength, tip) in enumerate(
        product(_LENGTHS, _THREADS, _CLASSES, (*ScrewTip, None))
    ):
        yield _item(
            number,
            f"Screw {thread}, {length} mm",
            ItemForm.SCREW,
            designation=thread,
            property_class=None if thread.endswith("UNC") else strength,
            features=sized(length=length + number % 5, thread_length=length - 6),
            tip=tip,
        )


def _bars() -> Iterator[StockItem]:
    forms = (ItemForm.BAR, ItemForm.PLATE, ItemForm.STRIP)
    for number, (width, form, metal) in enumerate(product(range(10, 130), forms, _METALS)):
        sizes = sized(length=150 + width, width=width, thickness=2 + number % 17)
        yield _item(number, f"{form} of {width}", form, material=metal, features=sizes)


def _rounds() -> Iterator[StockItem]:
    forms = (ItemForm.RING, ItemForm.TUBE, ItemForm.SLEEVE)
    for number, (outside, form, metal) in enumerate(product(range(10, 130), forms, _METALS)):
        sizes = sized(outside_diameter=outside, bore=0.8 * outside, length=20 + number % 70)
        yield _item(number, f"{form} of {outside}", form, material=metal, features=sizes)


def _small() -> Iterator[StockItem]:
    threads = ("M6", "M8", "M10", "M12", "M16")
    for number, thread in enumerate(thread for _ in range(400) for thread in threads):
        match number % 4:
            case 0:
                yield _item(
                    number, f"Nut {thread}", ItemForm.NUT, designation=thread, property_class="8"
                )
            case 1:
                yield _item(number, f"Washer {thread}", ItemForm.WASHER, designation=thread)
            case 2:
                length = sized(length=100 + number)
                rod = f"Threaded rod {thread}"
                yield _item(number, rod, ItemForm.THREADED_ROD, designation=thread, features=length)
            case _:
                sizes = sized(outside_diameter=3 + number % 20, length=20 + number % 50)
                yield _item(number, "Pin", ItemForm.PIN, material="S355", features=sizes)


_SAID: Final[dict[str, Any]] = {
    "workpiece_material": "cast aluminium",
    "pushed_material": "S355",
    "is_symmetric": True,
    "uses": (),
    "in_the_way": "nothing",
    "lubrication": "oiled",
}
TOOLS: Final = (
    SpecialTool(
        "t-cover",
        "Cover puller",
        ToolFunction.SEPARATE,
        features=(
            ToolFeature(FeatureKind.THREAD, "M8x1.25", count=2),
            *sized(plate_thickness=14, reach=16, travel=9, wall=6),
        ),
        force=Quantity(Decimal("3.5"), "kN"),
        **_SAID,
    ),
    SpecialTool(
        "t-hub",
        "Hub puller",
        ToolFunction.PULL,
        features=(
            ToolFeature(FeatureKind.THREAD, "M8x1.25", count=2),
            *sized(depth=20, spacing=60, reach=10, travel=8, wall=6, outside_diameter=30),
            *sized(bore=62, face_inside=40, face_outside=60, width=20),
        ),
        force=Quantity(Decimal(4), "kN"),
        tight_ring=TightRing.OUTER,
        **_SAID,
    ),
)


def over_http() -> float:
    """Milliseconds from the request to the whole answer, the drawer in the database."""
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{folder}/bench.db"
        upgrade(url)
        sessions = Sessions(make_engine(url))
        with sessions.writing() as session:
            principal, key = make_shop_and_key(session, "Workshop on the bench")
        _fill(sessions, principal)
        sessions.close()
        headers = {"Authorization": f"Bearer {key}"}
        with (
            running_server(url, key, Path(folder) / "server.log") as base_url,
            httpx.Client(base_url=base_url, headers=headers, timeout=120) as client,
        ):

            def ask() -> None:
                answer = client.get(f"/v1/special-tools/{TOOLS[0].id}/substitutes")
                assert answer.status_code == 200, answer.text
                assert answer.json()["accepted_count"] > 0

            ask()
            return milliseconds(ask, REPEATS)


def _fill(sessions: Sessions, principal: Principal) -> None:
    with sessions.writing() as session:
        records.create(session, principal, TOOLS[0])
        for item in drawer(SIZES[-1]):
            records.create(session, principal, item)
