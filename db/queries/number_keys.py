"""Columns by which numbers are found: worked out from what is written, by the rules of shared.

A migration keys again when a rule changes.
"""

from collections.abc import Mapping
from typing import Any

from db.types import KEY, fitting_key
from shared.interchange.model import NumberKind, NumberRule, OtherNumber, Part
from shared.interchange.part_numbers.normal import (
    book_form,
    folded_form,
    maker_key,
    normal_form,
)


def number_keys(text: str) -> dict[str, Any]:
    """Return the keys of a number: without separators and case; the same, look-alikes as one."""
    key = normal_form(text)
    return {
        "number_key": fitting_key(key, KEY),
        "folded_key": fitting_key(folded_form(key), KEY),
    }


def part_number_keys(part: Part) -> dict[str, Any]:
    """Return the keys by which a part is found by its maker's number."""
    return {**number_keys(part.number), "maker_key": key_of_maker(part.maker)}


def other_number_keys(number: OtherNumber, _: Mapping[str, Any]) -> dict[str, Any]:
    """Return the keys of a number of another kind; only book positions have their own form."""
    is_book = number.kind is NumberKind.BOOK_POSITION
    return {
        **number_keys(number.text),
        "reference_key": reference_key(number.text) if is_book else None,
    }


def rule_keys(rule: NumberRule) -> dict[str, Any]:
    """Return the key of the maker of whose numbers a rule speaks."""
    return {"maker_key": key_of_maker(rule.maker)}


def key_of_maker(maker: str) -> str:
    """Return the key under which a maker's name is kept, whatever its case and blanks."""
    return fitting_key(maker_key(maker), KEY)


def reference_key(reference: str | None) -> str | None:
    """Return the key of a line of a parts book; None for none, or for text that names no line."""
    form = book_form(reference) if reference else None
    return None if form is None else fitting_key(form, KEY)
