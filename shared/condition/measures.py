"""A measure made of others, each times a factor: its value, its doubt, what is shared between them.

Readings with one gauge, or with gauges set to one master, share a part of their error: it cancels
in a difference and adds up in a sum. Where it is known that they share one, and not how much of it,
the doubt is taken as the greater of sharing nothing and sharing all.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations
from math import fsum, sqrt

from shared.condition.measured import BudgetLine


@dataclass(frozen=True, slots=True)
class Term:
    """One input: its value and factor, u and the common part of it (None: not known), one unit.

    ``gauge`` and ``master``: what it was read with, in words or by id, the same where it is the
    same. ``finding_id``: where the input comes from.
    """

    name: str
    value: float
    factor: float = 1.0
    u: float | None = None
    common: float | None = None
    gauge: str | None = None
    master: str | None = None
    finding_id: str | None = None


class Sharing(StrEnum):
    """What two inputs have in common."""

    COMMON_PART = "common-part"
    TAKEN_AS_NONE = "taken-as-none"
    TAKEN_AS_ALL = "taken-as-all"


@dataclass(frozen=True, slots=True)
class SharedPair:
    """Two inputs that share a gauge or a master, and the covariance reckoned with."""

    first: str
    second: str
    sharing: Sharing
    covariance: float
    text: str


MOST_PAIRS_TOLD = 6
"""Pairs that a line of text names; a budget holds them all."""


@dataclass(frozen=True, slots=True)
class Combined:
    """The measure; ``u`` None: the doubt of an input is not known, or nothing is left of it."""

    value: float
    u: float | None
    lines: tuple[BudgetLine, ...]
    pairs: tuple[SharedPair, ...]
    why_no_u: str | None = None

    @property
    def told(self) -> tuple[str, ...]:
        """What is shared, and why there is no u, in words: the first pairs, and how many more."""
        texts = [pair.text for pair in self.pairs[:MOST_PAIRS_TOLD]]
        more = len(self.pairs) - MOST_PAIRS_TOLD
        texts += [f"and {more} more pairs that share something"] if more > 0 else []
        return (*texts, *(() if self.why_no_u is None else (self.why_no_u,)))


def combine(terms: Sequence[Term], offset: float = 0.0, offset_u: float = 0.0) -> Combined:
    """Add up inputs times their factors, and an offset that is independent of them.

    y = offset + sum f_i x_i; u^2 = u_0^2 + sum (f_i u_i)^2 + 2 sum_{i<j} f_i f_j cov_ij
    (JCGM 100:2008 5.2.2, from memory). cov_ij = c_i c_j with the common parts c of one gauge or of
    gauges of one master (F.1.2.3), at most u_i and u_j; 0 for different gauges without a common
    master, and where no gauge is named. Where a gauge or master is shared and a common part is not
    known, it lies between 0 and all of the input's u: whichever gives the greater u counts. A
    difference in which everything cancels has no doubt left to judge by: ``u`` is None.

    >>> bore = Term("bore", 50.045, 1, 0.004, gauge="A")
    >>> shaft = Term("shaft", 49.985, -1, 0.003, gauge="B")
    >>> found = combine([bore, shaft])
    >>> round(found.value, 6), round(found.u, 6)
    (0.06, 0.005)
    """
    value = fsum([offset, *(term.factor * term.value for term in terms)])
    lines = tuple(
        BudgetLine(term.name, term.value, term.factor, term.u, term.finding_id) for term in terms
    )
    unknown = [term.name for term in terms if term.u is None]
    if unknown:
        why = f"no uncertainty known of {', '.join(dict.fromkeys(unknown))}"
        return Combined(value, None, lines, (), why)
    pairs = []
    variance = [offset_u**2, *((term.factor * _u(term)) ** 2 for term in terms)]
    for first, second in combinations(terms, 2):
        pair = _pair(first, second)
        if pair is not None:
            pairs.append(pair)
            variance.append(2 * first.factor * second.factor * pair.covariance)
    left = fsum(variance)
    most = fsum([offset_u**2, *((term.factor * _u(term)) ** 2 for term in terms)])
    if left <= 1e-12 * most:
        why = "the doubts cancel to nothing, which no gauge does: say what is not shared"
        return Combined(value, None, lines, tuple(pairs), why)
    return Combined(value, sqrt(left), lines, tuple(pairs))


def _u(term: Term) -> float:
    assert term.u is not None
    return term.u


def _pair(first: Term, second: Term) -> SharedPair | None:
    shared = _what_is_shared(first, second)
    if shared is None or first.factor * second.factor == 0:
        return None
    names = (first.name, second.name)
    if first.common is not None and second.common is not None:
        covariance = min(first.common, _u(first)) * min(second.common, _u(second))
        text = f"{names[0]} and {names[1]}: {shared}, its common part reckoned with"
        return SharedPair(*names, Sharing.COMMON_PART, covariance, text)
    unknown = f"{names[0]} and {names[1]}: {shared}, how much they share is not known"
    if first.factor * second.factor < 0:
        text = f"{unknown}: taken as nothing, the greater doubt of a difference"
        return SharedPair(*names, Sharing.TAKEN_AS_NONE, 0.0, text)
    text = f"{unknown}: taken as all, the greater doubt of a sum"
    most = [
        _u(term) if term.common is None else min(term.common, _u(term)) for term in (first, second)
    ]
    return SharedPair(*names, Sharing.TAKEN_AS_ALL, most[0] * most[1], text)


def _what_is_shared(first: Term, second: Term) -> str | None:
    if first.gauge is not None and first.gauge == second.gauge:
        return "one gauge"
    if first.master is not None and first.master == second.master:
        return "gauges set to one master"
    return None
