"""What is counted for a gear ratio, turns or teeth, and its check."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from shared.errors import InvalidInput
from shared.quantities import check_number

MOST_CANDIDATES = 100
MOST_PAIRS = 20
MOST_TEETH = 10_000
MOST_TURNS = 1_000_000
LEAST_TURNS = Decimal("0.000001")


class Held(StrEnum):
    """What stood still while the turns were counted."""

    NONE = "none"
    """Nothing: the one output was turned, or both wheels turned alike."""
    OTHER_WHEEL = "other-wheel"
    """One wheel was turned and the other stood on the ground, the differential being open."""


@dataclass(frozen=True, slots=True)
class TurnsCounted:
    """Turns of the input while the output made so many; ``plus_minus`` is the doubt of the input.

    Without a doubt it is half of the last place that the input turns are written to.
    """

    input_turns: Decimal
    output_turns: Decimal
    held: Held
    plus_minus: Decimal | None = None


@dataclass(frozen=True, slots=True)
class ToothPair:
    """Teeth of two gears in mesh: the one that drives, and the one that is driven."""

    driving: int
    driven: int


def check_turns(turns: TurnsCounted) -> None:
    """Check turns counted by hand; raises InvalidInput at the member of /turns."""
    for name in ("input_turns", "output_turns"):
        check_ratio(getattr(turns, name), f"/turns/{name}", name)
    if turns.plus_minus is not None:
        check_number(turns.plus_minus, "/turns/plus_minus")
        if not 0 <= turns.plus_minus < turns.input_turns:
            raise InvalidInput(
                "/turns/plus_minus",
                f"plus_minus is {turns.plus_minus:f}; wanted from 0 to below the"
                f" {turns.input_turns:f} input turns.",
                "Give the doubt in turns of the input, or leave it out.",
                "out-of-range",
            )


def check_pairs(pairs: Sequence[ToothPair]) -> None:
    """Check the teeth of gears in a row; raises InvalidInput at /pairs."""
    if not 1 <= len(pairs) <= MOST_PAIRS:
        raise InvalidInput(
            "/pairs",
            f"Got {len(pairs)} pairs of gears; wanted 1 to {MOST_PAIRS}.",
            "Give each pair in mesh once, from the input to the output.",
            "out-of-range",
        )
    for index, pair in enumerate(pairs):
        for name in ("driving", "driven"):
            teeth = getattr(pair, name)
            if not 1 <= teeth <= MOST_TEETH:
                raise InvalidInput(
                    f"/pairs/{index}/{name}",
                    f"{name} has {teeth} teeth; wanted 1 to {MOST_TEETH}.",
                    "Count the teeth; a worm counts its starts.",
                    "out-of-range",
                )


def check_stated(candidates: Sequence[Decimal], needed: Decimal | None) -> None:
    """Check stated ratios; raises InvalidInput at /candidates or /needed."""
    if len(candidates) > MOST_CANDIDATES:
        raise InvalidInput(
            "/candidates",
            f"Got {len(candidates)} ratios; wanted at most {MOST_CANDIDATES}.",
            "Leave out those that are out of the question.",
            "out-of-range",
        )
    for index, ratio in enumerate(candidates):
        check_ratio(ratio, f"/candidates/{index}", "a ratio")
        if ratio in candidates[:index]:
            raise InvalidInput(
                f"/candidates/{index}",
                f"The ratio {ratio:f} is there twice.",
                "Give each ratio once.",
                "duplicate",
            )
    if needed is not None:
        check_ratio(needed, "/needed", "a ratio")


def check_ratio(value: Decimal, pointer: str, what: str) -> None:
    """Check a ratio, or turns, of workshop size; raises InvalidInput at ``pointer``."""
    check_number(value, pointer)
    if not LEAST_TURNS <= value <= MOST_TURNS:
        raise InvalidInput(
            pointer,
            f"{what} is {value:f}; wanted more than 0, from {LEAST_TURNS} to {MOST_TURNS}.",
            "Give turns, or input turns to one output turn, without a sign.",
            "out-of-range",
        )
