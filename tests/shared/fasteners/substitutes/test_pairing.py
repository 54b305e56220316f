"""The pairs that are answered against every pair of small random drawers, each tried by itself."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from itertools import product
from math import inf
from random import Random
from time import perf_counter
from types import ModuleType
from typing import Any

import pytest

from shared.designations.model import Hand
from shared.fasteners.model import FeatureKind, ItemForm, ToolFunction
from shared.fasteners.substitutes.families import counterhold_bar, pins_in_a_plate
from shared.fasteners.substitutes.lots import COUNT, lot_of, put_together
from shared.fasteners.substitutes.model import Candidate, Drawer, Piece, Requirement
from shared.fasteners.substitutes.pairing import best_pairs, standing_of
from shared.money import Money

from .bench import bar, drawer, need, piece, requirement, screw, with_sizes

Search = Callable[[Requirement, Drawer], Iterator[Candidate]]
Stock = tuple[Requirement, list[Piece], list[Piece]]
FRAMES = {ItemForm.BAR, ItemForm.PLATE}
TIMES = 60


def held_at(dice: Random, many: int = 5) -> Stock:
    """A hub with two tapped holes, bars and screws, many of them at the edge of what holds."""
    sizes = {
        "spacing": 40, "depth": dice.choice((11.0, 14.0, 18.0)), "wall": dice.choice((1.8, 4, 8)),
        "reach": dice.choice((0.01, 2.0)), "chamfer": dice.choice((0.5, 3.0)),
    }  # fmt: skip
    work = requirement(
        ToolFunction.HOLD_ROTATION,
        "M8x1.25",
        2,
        with_room(dice, sizes, 28.0, 600.0),
        torque=dice.uniform(30, 110),
        workpiece=dice.choice(("S235", "C45", "ductile iron")),
        nothing_in_the_way=dice.random() < 0.8,
    )
    bars = [
        bar(
            dice.choice((150, 200, 300, 500)),
            dice.choice((25, 30, 40)),
            dice.choice((4, 5, 6, 8, 10)),
            dice.choice(("S235", "S355", "C45", "42CrMo4+QT")),
            name=f"bar {number}",
            quantity=1,
        )
        for number in range(many)
    ]
    screws = [
        screw(
            f"M8x{dice.choice((16, 20, 25, 30))} ISO 4017 {dice.choice(('5.6', '8.8', '10.9'))}",
            thread_length=dice.choice((10, 14, 18, 25)),
        )
        for _ in range(many)
    ]
    named = [replace(one, key=f"screw {at}", name=f"screw {at}") for at, one in enumerate(screws)]
    return work, bars, named


def turned_by(dice: Random, many: int = 5) -> Stock:
    """A nut with holes in its face, plates and pins, many of them at the edge of what holds."""
    sizes: dict[str, float] = {"pin": 6, "pin_circle": 50, "depth": dice.choice((4, 6, 8))}
    work = requirement(
        ToolFunction.TURN,
        sizes=with_room(dice, sizes, 25.0, 400.0),
        torque=dice.uniform(10, 50),
        workpiece=dice.choice(("S235", "C45")),
        hand=Hand.LEFT,
        nothing_in_the_way=dice.random() < 0.8,
    )
    nut = replace(
        work,
        features=tuple(
            replace(one, count=2) if one.kind is FeatureKind.PIN else one for one in work.features
        ),
    )
    plates = [
        bar(
            dice.choice((160, 200, 250, 400)),
            dice.choice((16, 20, 30)),
            dice.choice((4, 6, 8, 12)),
            dice.choice(("S235", "S355", "C45", "42CrMo4+QT")),
            name=f"plate {number}",
            quantity=1,
        )
        for number in range(many)
    ]
    pins = [
        piece(
            ItemForm.PIN,
            f"pin {number}",
            material=dice.choice(("S235", "C45", "42CrMo4+QT")),
            outside_diameter=dice.choice((5.5, 5.8, 5.9)),
            length=dice.choice((8, 12, 14, 18, 20)),
        )
        for number in range(many)
    ]
    return nut, plates, pins


def with_room(dice: Random, sizes: dict[str, float], high: float, wide: float) -> dict[str, float]:
    if dice.random() < 0.5:
        return sizes
    return {**sizes, "clear_height": high, "clear_diameter": 2 * wide}


def lain_about(dice: Random, pieces: Iterable[Piece]) -> list[Piece]:
    """The pieces, some to be bought, some single, at prices."""
    return [
        replace(
            one,
            is_on_hand=dice.random() < 0.6,
            quantity=one.quantity if one.form in FRAMES else dice.choice((1, 1, 1, 2, 5)),
            price=dice.choice((None, Money.of_minor(dice.choice((100, 300)), "EUR"))),
        )
        for one in pieces
    ]


def every_pair(
    search: Search, work: Requirement, frames: list[Piece], lots: list[Piece]
) -> list[Candidate]:
    """The answer to each pair alone; what fails by itself comes more than once."""
    pairs = (search(work, drawer(frame, lot)) for frame, lot in product(frames, lots))
    return [one for found in pairs for one in found]


def with_lots_together(found: list[Candidate], work: Requirement) -> list[Candidate]:
    short = [lot for one in found if (lot := lot_of(one)) is not None]
    return [*found, *put_together(short, work)]


def keys(candidates: Iterable[Candidate], *, frames: bool) -> set[str]:
    parts = (part.piece for one in candidates for part in one.parts)
    return {one.key for one in parts if (one.form in FRAMES) is frames}


def margin(one: Candidate) -> float:
    margins = [check.margin for check in one.checks if check.name != COUNT]
    return float(f"{min((m for m in margins if m is not None), default=inf):.2g}")


def closest(candidates: Iterable[Candidate]) -> tuple[int, float]:
    """How far the nearest to holding is from it; a piece with nothing to go with is no measure."""
    failing = [[check for check in one.checks if not check.passes] for one in candidates]
    return min(
        (len(checks), -min(-1.0 if check.margin is None else check.margin for check in checks))
        for checks in failing
        if not any(check.name in {"bar", "pin"} for check in checks)
    )


@pytest.mark.parametrize(
    ("search", "made"),
    [(counterhold_bar.candidates, held_at), (pins_in_a_plate.candidates, turned_by)],
    ids=("bar and screws", "plate and pins"),
)
def test_no_pair_that_holds_is_overlooked(search: Search, made: Callable[[Random], Stock]) -> None:
    seen = {"accepted": 0, "refused": 0, "together": 0, "only together": 0, "left out": 0}
    for number in range(TIMES):
        dice = Random(f"{made.__name__} {number}")
        work, frames, lots = made(dice)
        frames, lots = lain_about(dice, frames), lain_about(dice, lots)
        found = list(search(work, drawer(*frames, *lots)))
        every = every_pair(search, work, frames, lots)

        # What is answered is what each pair alone is answered with, once, and no piece is missing.
        pairs = [one for one in found if len(one.parts) > 1]
        assert all(one in every for one in pairs)
        assert len({tuple(part.piece.key for part in one.parts) for one in pairs}) == len(pairs)
        for of_frames in (True, False):
            assert keys(found, frames=of_frames) == keys(every, frames=of_frames), number
        seen["left out"] += sum(len(one.parts) > 1 for one in every) - len(pairs)

        whole = [one for one in every if one.is_accepted]
        found, every = with_lots_together(found, work), with_lots_together(every, work)
        seen["only together"] += not whole and any(one.is_accepted for one in every)
        seen["together"] += any(one.is_accepted and len(one.parts) > 2 for one in found)
        for on_hand in (False, True):
            got, there = (
                [one for one in many if one.is_accepted and one.is_on_hand >= on_hand]
                for many in (found, every)
            )
            alone = [one for one in whole if one.is_on_hand >= on_hand]
            assert keys(got, frames=True) == keys(there, frames=True), (number, on_hand)
            assert keys(got, frames=False) >= keys(alone, frames=False), (number, on_hand)
            # More where all lots of every pair together are answered with those on hand alone.
            assert max(map(margin, got), default=0) >= max(map(margin, there), default=0), number
            seen["accepted"] += bool(got)
        if not any(one.is_accepted for one in every):
            assert closest(found) == closest(every), number
            seen["refused"] += 1

    assert min(seen.values()) >= 3, seen


@pytest.mark.parametrize(
    ("family", "made"),
    [(counterhold_bar, held_at), (pins_in_a_plate, turned_by)],
    ids=("bar and screws", "plate and pins"),
)
def test_a_pair_stands_as_its_checks_say(
    family: ModuleType, made: Callable[[Random], Stock], monkeypatch: pytest.MonkeyPatch
) -> None:
    called: list[Any] = []

    def asked(*told: Any) -> Iterator[tuple[Any, Any]]:
        called.append(told)
        return best_pairs(*told)

    monkeypatch.setattr(family, "best_pairs", asked)
    compared = 0
    for number in range(TIMES // 2):
        work, bars, screws = made(Random(f"{made.__name__} stands {number}"))
        called.clear()
        list(family.candidates(work, drawer(*bars, *screws)))
        frames, lots, _, standing, *mixes = called[0]
        first = {lot.alike: lot for lot in reversed(lots)}
        for frame in frames:
            prepared: dict[object, str | None] = {}
            for lot in lots:
                (found,) = family.candidates(work, drawer(frame.piece, lot.piece))
                checks = (check for check in found.checks if check.name != COUNT)
                rank = standing(frame, first[lot.alike]).rank
                assert rank == pytest.approx(standing_of(checks).rank), (number, found)
                kinds = {part.piece.form: part.preparation for part in found.parts}
                mix = mixes[0](frame, lot) if mixes else None
                assert prepared.setdefault(mix, kinds[ItemForm.BAR]) == kinds[ItemForm.BAR]
                compared += 1
    assert compared > 10 * TIMES


def test_two_single_screws_that_are_alike_hold_every_bar_together() -> None:
    work, _, _ = held_at(Random(0))
    work = with_sizes(work, depth=18, wall=8, reach=0.01, chamfer=0.5, clear_height=99)
    work = replace(work, torque=need(40), nothing_in_the_way=True)
    bars = [bar(length, 30, 8, name=f"bar of {length}") for length in (300, 280)]
    single = screw("M8x25 ISO 4017 8.8", quantity=1)
    screws = [replace(single, key=name, name=name) for name in ("one", "other")]
    found = with_lots_together(list(counterhold_bar.candidates(work, drawer(*bars, *screws))), work)
    assert [len(one.parts) for one in found if one.is_accepted] == [3, 3]


@pytest.mark.parametrize(
    ("search", "made"),
    [(counterhold_bar.candidates, held_at), (pins_in_a_plate.candidates, turned_by)],
    ids=("bar and screws", "plate and pins"),
)
def test_a_full_drawer_is_searched_in_no_time(
    search: Search, made: Callable[[Random, int], Stock]
) -> None:
    work, frames, lots = made(Random(1), 300)
    begun = perf_counter()
    found = list(search(work, drawer(*frames, *lots)))
    # There are 90,000 pairs: all worked out in full they take half a minute.
    assert perf_counter() - begun < 10
    assert len(found) < 4 * 600
