"""How a check is made, and how its figures are written."""

from dataclasses import replace
from math import isfinite
from typing import Final

from shared.errors import Ambiguous, InvalidInput
from shared.fasteners.model import FeatureKind
from shared.fasteners.substitutes.model import Check

STATED: Final = "as stated"
COMMON_PRACTICE: Final = "common practice, no source"
AS_THE_WEAKEST: Final = "counted as the weakest"
"""How a check says that a material is not known."""
_KINDS: Final = {kind.value: f"features/{kind.value}" for kind in FeatureKind}


def missing(name: str, member: str, detail: str) -> Check:
    """Return a check that fails because ``member`` is not stated; ``detail`` says what to state.

    The name of a kind of feature becomes its member: "wall" is "features/wall".
    """
    return Check(name, False, detail, "not stated", missing=_KINDS.get(member, member))


def ratio(name: str, allowed: float, asked: float, detail: str, basis: str) -> Check:
    """Return a check that passes where ``allowed`` is at least ``asked``, both above 0."""
    if not (isfinite(asked) and asked > 0 and allowed >= 0):
        return Check(name, False, detail, basis)
    margin = allowed / asked
    return Check(name, margin >= 1, detail, basis, margin)


def fits(name: str, there: float, asked: float, detail: str, basis: str) -> Check:
    """Return a check of what is enough or not: its margin tells only how far it is from enough.

    Three of three screws is no narrow margin.
    """
    return as_fit(ratio(name, there, asked, detail, basis))


def as_fit(check: Check) -> Check:
    """Return a check without its margin where it passes: what fits holds no more for it."""
    return replace(check, margin=None) if check.passes else check


def force_text(force: float) -> str:
    """Return a force in words: N below 1000, else kN.

    >>> force_text(950.04), force_text(12345.6)
    ('950 N', '12.3 kN')
    """
    return f"{force:.3g} N" if force < 999.5 else f"{force / 1000:.3g} kN"


def in_words(error: InvalidInput) -> str:
    """Return what is wrong and how to mend it, on one line; of several meanings the first three.

    >>> in_words(Ambiguous("/x", "'M' has 2 meanings.", "Write one.", ("A (fine)", "B (coarse)")))
    "'M' has 2 meanings. Write A (fine) or B (coarse), without the brackets."
    """
    if not isinstance(error, Ambiguous):
        return f"{error.detail} {error.fix}"
    named = " or ".join(error.readings[:_READINGS])
    others = len(error.readings) - _READINGS
    more = f" or one of {others} more" if others > 0 else ""
    return f"{error.detail} Write {named}{more}, without the brackets."


_READINGS: Final = 3
