"""Questions about shim packs, written short."""

from decimal import Decimal
from typing import Any

from shared.condition.model import Shim
from shared.condition.shim_place import ShimSize
from shared.condition.shims.asked import ShimPackAsked, StockShim
from shared.condition.shims.calculation import shim_pack
from shared.condition.shims.found import PackFound, ShimPackFound
from shared.quantities import Quantity


def q(value: str, unit: str = "mm", **doubt: str) -> Quantity:
    return Quantity(Decimal(value), unit, **{name: Decimal(text) for name, text in doubt.items()})


def sold(*sizes: str, unit: str = "mm", discontinued: tuple[str, ...] = ()) -> Any:
    return tuple(ShimSize(q(size, unit), None, size in discontinued) for size in sizes)


def on_hand(unit: str = "mm", /, **sizes: int) -> Any:
    """``on_hand(_050=2)``: two of 0.050."""
    return tuple(StockShim(q(f"0.{size[1:]}", unit), number) for size, number in sizes.items())


def old(*sizes: str, unit: str = "mm", is_broken: bool = False, **doubt: str) -> tuple[Shim, ...]:
    return tuple(Shim(q(size, unit, **doubt), 1, is_broken) for size in sizes)


def ask(**members: Any) -> ShimPackFound:
    return shim_pack(ShimPackAsked(**members))


def shims_of(pack: PackFound) -> list[str]:
    return [
        f"{line.thickness.value.normalize():f}" for line in pack.shims for _ in range(line.quantity)
    ]


def value_of(quantity: Quantity | None) -> Decimal | None:
    return None if quantity is None else quantity.value
