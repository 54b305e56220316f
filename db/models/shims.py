"""Places for shims in an assembly: what they set, which sizes there are, how they are chosen."""

from typing import Final

from sqlalchemy import Boolean, Column, ForeignKey, Index, Integer, Table, UniqueConstraint

from db.models.base import (
    LONG,
    Items,
    catalogue,
    decimal,
    flat,
    metadata,
    quantity,
    reference,
    text,
    truth,
    word,
)
from db.types import ident
from shared.condition.model import ShimEffect
from shared.condition.shim_place import ShimAim, ShimRounding


def _above_zero(column: str, pointer: str) -> Items:
    """Make the columns of an optional measure that is more than zero."""
    return [
        *quantity(column, pointer=pointer),
        truth(
            f"{column}_above_zero",
            f"{column}_canonical > 0",
            pointer,
            f"{pointer.rpartition('/')[2]} is not more than zero.",
            "Give more than 0.",
        ),
    ]


def _of_a_place(name: str, *items: Column[str] | Items | UniqueConstraint | Index) -> Table:
    """Make a table whose rows are part of a place for shims, in the order given."""
    return Table(
        name,
        metadata,
        Column("shim_place_id", ident(), ForeignKey("shim_places.id"), primary_key=True),
        Column("place", Integer, primary_key=True, autoincrement=False),
        *flat(items),
    )


_WITHOUT_RULE: Final = " AND ".join(
    f"rule_{column} IS NULL"
    for column in (
        "most_shims",
        "step_value",
        "rounding",
        "digits_unit_value",
        "thicker_by_value",
        "thicker_at_most_value",
        "mean_cut_to_value",
        "source",
    )
)

shim_places = catalogue(
    "shim_places",
    reference("position_id", "positions"),
    text("name"),
    word("effect", ShimEffect),
    decimal("factor"),
    reference("sets_characteristic_id", "characteristics", optional=True),
    word("rule_aim", ShimAim, optional=True, pointer="/rule/aim"),
    Column("rule_most_shims", Integer),
    _above_zero("rule_step", "/rule/step"),
    word("rule_rounding", ShimRounding, optional=True, pointer="/rule/rounding"),
    _above_zero("rule_digits_unit", "/rule/digits_unit"),
    _above_zero("rule_thicker_by", "/rule/thicker_by"),
    _above_zero("rule_thicker_at_most", "/rule/thicker_at_most"),
    _above_zero("rule_mean_cut_to", "/rule/mean_cut_to"),
    text("rule_source", LONG, optional=True),
    text("seating", LONG, optional=True),
    text("source", LONG, optional=True),
    truth(
        "factor_above_zero",
        "factor > 0",
        "/factor",
        "factor is not more than zero.",
        "Give how many mm it changes for each mm of shims; effect says which way.",
    ),
    truth(
        "rule_has_aim",
        f"rule_aim IS NOT NULL OR ({_WITHOUT_RULE})",
        "/rule/aim",
        "The rule says how shims are chosen, and not where the pack should come to.",
        "Give aim: middle, lower or upper.",
    ),
    truth(
        "rule_most_shims_at_least_one",
        "rule_most_shims >= 1",
        "/rule/most_shims",
        "most_shims is less than 1.",
        "Give 1 or more, or leave it out.",
    ),
    truth(
        "rule_step_has_rounding",
        "(rule_step_value IS NULL) = (rule_rounding IS NULL)",
        "/rule/rounding",
        "There is a step without rounding, or rounding without a step.",
        "Give step and rounding, or neither.",
    ),
    truth(
        "rule_thicker_is_whole",
        "(rule_thicker_by_value IS NULL) = (rule_thicker_at_most_value IS NULL)",
        "/rule/thicker_at_most",
        "One of thicker_by and thicker_at_most is missing.",
        "Give both, or neither.",
    ),
    Index(None, "position_id", "id"),
    Index(None, "sets_characteristic_id", "id"),
)

shim_place_sizes = _of_a_place(
    "shim_place_sizes",
    [
        *quantity("thickness", optional=False, pointer="/sizes"),
        reference("part_id", "parts", optional=True),
        Column("is_discontinued", Boolean, nullable=False),
        truth(
            "thickness_above_zero",
            "thickness_canonical > 0",
            "/sizes",
            "A shim's thickness is not more than zero.",
            "Give the thickness of one shim.",
        ),
        UniqueConstraint("shim_place_id", "thickness_canonical"),
        Index(None, "part_id", "shim_place_id"),
    ],
)

shim_place_digits = _of_a_place(
    "shim_place_digits",
    [
        *(Column(name, Integer, nullable=False) for name in ("first", "last", "to")),
        truth(
            "digits_of_a_decade",
            '"first" BETWEEN 0 AND 9 AND "last" BETWEEN 0 AND 9 AND "to" BETWEEN 0 AND 10'
            ' AND "first" <= "last"',
            "/rule/digits",
            "A row of the rounding table lies outside its decade, or ends before it begins.",
            "Give first and last of 0 to 9, to of 0 to 10.",
        ),
    ],
)

shim_place_assortment = _of_a_place(
    "shim_place_assortment",
    [
        reference("part_id", "parts"),
        Column("quantity", Integer, nullable=False),
        UniqueConstraint("shim_place_id", "part_id"),
        Index(None, "part_id", "shim_place_id"),
        truth(
            "quantity_at_least_one",
            "quantity >= 1",
            "/assortment",
            "A line's quantity is less than 1.",
            "Give how many pieces are had at hand, 1 or more.",
        ),
    ],
)

shim_place_disturbers = _of_a_place(
    "shim_place_disturbers",
    [
        reference("position_id", "positions"),
        UniqueConstraint("shim_place_id", "position_id"),
        Index(None, "position_id", "shim_place_id"),
    ],
)
