"""One maker's rule for writing numbers: which spellings name the same part."""

import re
from string import ascii_uppercase

from shared.errors import InvalidInput
from shared.interchange.model import NumberRule
from shared.interchange.part_numbers.normal import MOST_CHARACTERS, SEPARATORS, normal_form

_SUFFIX = re.compile(r"[A-Za-z0-9]{1,20}")
_LETTERED = re.compile(r"(.*[0-9])[A-Z]", re.DOTALL)


def check_rule(rule: NumberRule) -> None:
    """Raise InvalidInput for a rule that cannot be followed; the pointer names its member."""
    if (rule.base_length is None) != (rule.default_suffix is None):
        missing = "base_length" if rule.base_length is None else "default_suffix"
        raise InvalidInput(
            f"/{missing}",
            f"{missing} is not given; base_length and default_suffix belong together.",
            "Give both, or neither.",
            "not-together",
        )
    if rule.base_length is not None and not 1 <= rule.base_length <= MOST_CHARACTERS:
        raise InvalidInput(
            "/base_length",
            f"base_length is {rule.base_length}; wanted 1 to {MOST_CHARACTERS}.",
            "Give how many letters and figures a number has without its suffix.",
        )
    if rule.default_suffix is not None and not _SUFFIX.fullmatch(rule.default_suffix):
        raise InvalidInput(
            "/default_suffix",
            f"default_suffix is '{rule.default_suffix[:40]}'; wanted 1 to 20 letters A to Z and"
            " figures.",
            "Give it without the separator before it, such as 001.",
        )
    odd = [one for one in rule.kept_separators or "" if one not in SEPARATORS]
    if odd or rule.kept_separators == "":
        raise InvalidInput(
            "/kept_separators",
            f"kept_separators is '{(rule.kept_separators or '')[:40]}'; wanted some of blank,"
            " dash, dot, underscore.",
            "Name the characters that tell two numbers of this maker apart, or leave it out.",
        )


def spellings(key: str, rule: NumberRule) -> tuple[str, ...]:
    """Return the further normal forms that name the same part as ``key`` with this maker.

    The suffix added or taken off; the last letter taken off, or any added. One of these at a time:
    two different last letters are not told to be the same part.

    >>> rule = NumberRule("nrl_1", "Maker A", "its list", base_length=5, default_suffix="001")
    >>> spellings("12345", rule), spellings("12345001", rule), spellings("12345789", rule)
    (('12345001',), ('12345',), ())
    """
    found: list[str] = []
    if rule.base_length is not None and rule.default_suffix is not None:
        suffix = normal_form(rule.default_suffix)
        bare = key.removesuffix(suffix)
        if _length(key) == rule.base_length:
            found.append(key + suffix)
        if bare != key and _length(bare) == rule.base_length:
            found.append(bare)
    if rule.last_letter_is_optional:
        lettered = _LETTERED.fullmatch(key)
        if lettered is not None:
            found.append(lettered.group(1))
        elif key[-1:] and key[-1] in "0123456789":
            found += [key + letter for letter in ascii_uppercase]
    return tuple(dict.fromkeys(found))


def is_same_under(rule: NumberRule, one: str, other: str) -> bool:
    """Whether two numbers, as written, name the same part by a maker's rule.

    Separators that the rule keeps must agree, but for one before what the rule adds.

    >>> rule = NumberRule("nrl_1", "Maker A", "its list", base_length=5, default_suffix="001")
    >>> is_same_under(rule, "12345", "12345-001"), is_same_under(rule, "12345", "12345-789")
    (True, False)
    """
    kept = rule.kept_separators or ""
    short, long = sorted((normal_form(one, kept), normal_form(other, kept)), key=len)
    if short == long:
        return True
    is_spelling = normal_form(other) in spellings(normal_form(one), rule)
    return is_spelling and long.startswith(short)


def _length(key: str) -> int:
    """Letters and figures of a number; what parts them is not counted."""
    return sum(character.isalnum() for character in key)
