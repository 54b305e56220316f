"""Whether a place for shims, as it is told, can be worked with."""

from collections.abc import Hashable, Iterable
from decimal import Decimal
from typing import Final

from shared.condition.shim_place import RoundingStep, ShimPlace, ShimRule
from shared.errors import InvalidInput
from shared.quantities import Quantity, canonical_without_doubt, convert
from shared.quantities.positive import check_positive

MOST_PLACES: Final = 200
"""Places for shims that an assembly may have: as many as a plan takes in."""
MOST_LINES: Final = 1_000
"""Sizes and lines of assortments that the places of an assembly may have together."""
MOST_SIZES: Final = 200
MOST_SHIMS: Final = 100
MOST_IN_A_LINE: Final = 1_000
"""Pieces of one part that are had at hand; more no plan reckons with."""
THICKEST_MM: Final = Decimal(50)
"""What is thicker is no shim. Common practice, no source: it catches a slipped decimal point."""
GREATEST_FACTOR: Final = 1_000
"""A lever that moves more than that by a shim is a slip. Common practice, no source."""
_PLACES: Final = 6


def check_shim_place(place: ShimPlace) -> None:
    """Refuse sizes, a rule or an assortment that contradict themselves.

    Raises InvalidInput, UnknownUnit or WrongDimension with a pointer into the place.
    """
    if not place.factor.is_finite() or not 0 < place.factor <= GREATEST_FACTOR:
        raise InvalidInput(
            "/factor",
            f"Got {place.factor}; wanted more than 0 and at most {GREATEST_FACTOR}.",
            "Give by how many mm it changes for each mm of shims; effect says which way.",
            "out-of-range",
        )
    _check_sizes(place)
    if place.rule is not None:
        try:
            check_shim_rule(place.rule)
        except InvalidInput as error:
            raise error.below("/rule") from None
    _check_assortment(place)
    _check_once(place.disturbed_by_position_ids, "/disturbed_by_position_ids", "", "position")


def _check_sizes(place: ShimPlace) -> None:
    if len(place.sizes) > MOST_SIZES:
        raise InvalidInput(
            "/sizes",
            f"There are {len(place.sizes)} sizes; wanted at most {MOST_SIZES}.",
            f"Give the {MOST_SIZES} that are used.",
            "too-many",
        )
    for index, size in enumerate(place.sizes):
        at = f"/sizes/{index}/thickness"
        check_positive(size.thickness, "length", at)
        if convert(size.thickness.value, size.thickness.unit, "mm") > THICKEST_MM:
            raise InvalidInput(
                f"{at}/value",
                f"Got {size.thickness.value:f} {size.thickness.unit}; wanted at most"
                f" {THICKEST_MM} mm.",
                "Look at the decimal point and the unit; what is thicker is no shim.",
                "out-of-range",
            )
    thicknesses = [_mm(size.thickness) for size in place.sizes]
    _check_once(thicknesses, "/sizes", "/thickness", "thickness in mm")


def _mm(quantity: Quantity) -> Decimal:
    return round(convert(quantity.value, quantity.unit, "mm"), _PLACES)


def check_shim_rule(rule: ShimRule) -> None:
    """Refuse a maker's rule that says half of something, or two things at once.

    Raises InvalidInput, UnknownUnit or WrongDimension with a pointer into the rule.
    """
    if rule.most_shims is not None:
        _check_whole(rule.most_shims, 1, MOST_SHIMS, "/most_shims")
    for name in ("step", "digits_unit", "thicker_by", "thicker_at_most", "mean_cut_to"):
        _check_plain(getattr(rule, name), f"/{name}")
    _check_both(rule, "step", "rounding")
    _check_both(rule, "digits_unit", "digits")
    _check_both(rule, "thicker_by", "thicker_at_most")
    if rule.digits and rule.step is not None:
        raise InvalidInput(
            "/digits",
            "The rule has digits and step: two ways to round.",
            "Give one of them.",
            "rule-incomplete",
        )
    if rule.digits:
        _check_digits(rule.digits)
    at_once, in_all = rule.thicker_by, rule.thicker_at_most
    if at_once is not None and in_all is not None and _mm(in_all) < _mm(at_once):
        raise InvalidInput(
            "/thicker_at_most/value",
            "Less may be added in all than is added at once.",
            "Give thicker_at_most of thicker_by or more.",
            "range-reversed",
        )


def _check_plain(length: Quantity | None, pointer: str) -> None:
    """Check a length of a rule, which is what it says: it has no doubt of its own."""
    check_positive(length, "length", pointer)
    if length is not None:
        canonical_without_doubt(
            length,
            "length",
            pointer,
            detail="It states an uncertainty; a rule is what it says.",
            fix="Leave the uncertainty out.",
        )


def _check_both(rule: ShimRule, one: str, other: str) -> None:
    """Check that of two members that mean something only together none stands alone."""
    given = {name: bool(getattr(rule, name)) for name in (one, other)}
    missing = [name for name, is_given in given.items() if not is_given]
    if len(missing) == 1:
        there = other if missing[0] == one else one
        raise InvalidInput(
            f"/{missing[0]}",
            f"The rule has {there}, and no {missing[0]}.",
            f"Give {missing[0]}, or leave {there} out.",
            "rule-incomplete",
        )


def _check_digits(rows: tuple[RoundingStep, ...]) -> None:
    """Check that the rows take in each digit from 0 to 9 once, in rising order."""
    wanted = 0
    for index, row in enumerate(rows):
        at = f"/digits/{index}"
        if row.first != wanted:
            found = "overlaps the row before" if row.first < wanted else "leaves a gap"
            raise InvalidInput(
                f"{at}/first",
                f"The row begins at {row.first} and {found}; wanted {wanted}.",
                "Give rows in rising order that take in each digit from 0 to 9 once.",
                "rounding-table",
            )
        if not row.first <= row.last <= 9:
            raise InvalidInput(
                f"{at}/last",
                f"The row runs from {row.first} to {row.last}.",
                f"Give last from {row.first} to 9.",
                "rounding-table",
            )
        _check_whole(row.to, 0, 10, f"{at}/to")
        wanted = row.last + 1
    if wanted != 10:
        raise InvalidInput(
            f"/digits/{len(rows) - 1}/last",
            f"The table ends at {wanted - 1}.",
            "Give rows that take in each digit from 0 to 9 once.",
            "rounding-table",
        )


def _check_assortment(place: ShimPlace) -> None:
    for index, line in enumerate(place.assortment):
        _check_whole(line.quantity, 1, MOST_IN_A_LINE, f"/assortment/{index}/quantity")
    _check_once([line.part_id for line in place.assortment], "/assortment", "/part_id", "part")


def _check_whole(value: int, least: int, most: int, pointer: str) -> None:
    if not least <= value <= most:
        raise InvalidInput(
            pointer,
            f"Got {value}; wanted a whole number from {least} to {most}.",
            f"Give a whole number from {least} to {most}.",
            "out-of-range",
        )


def _check_once(values: Iterable[Hashable], at: str, below: str, word: str) -> None:
    seen: set[Hashable] = set()
    for index, value in enumerate(values):
        if value in seen:
            raise InvalidInput(
                f"{at}/{index}{below}",
                f"The {word} {value} is there twice.",
                "Give it once.",
                "duplicate-item",
            )
        seen.add(value)
