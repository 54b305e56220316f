"""Which standard size a measured part may be, how likely each is, and that it is none of them.

Bayes' rule. Before measuring, each size weighs by how often a workshop meets it, and a part that is
no standard size has a weight of its own. What was measured multiplies each weight by how likely
the readings are for it (``likelihood.py``), dimension by dimension: the errors of separate
readings are taken to be independent.

A part of no standard size is, as often as not, a standard one with one dimension of its own (a
bearing bored to 5/8 in, a key cut to length); else it may measure anything. A dimension of its own
is log-uniform over the range of the table and an octave beyond at each end, half of them on a round
figure: a half millimetre or a sixteenth of an inch. These shares are common practice, no source.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor, fsum, inf, isfinite, log, pi, prod, sqrt
from operator import mul
from typing import Final

from shared.errors import InvalidInput, OutOfRange
from shared.interchange.identification.likelihood import density
from shared.interchange.identification.model import (
    Change,
    Doubt,
    Identified,
    Likely,
    MadeSize,
    Measured,
    StandardSize,
)
from shared.standards.thread_geometry import MM_PER_INCH

NONE_PRIOR: Final = 0.05
"""One part in twenty on a bench is made to no table of the house. Common practice, no source."""

LEAST_LISTED: Final = 0.001
"""Sizes less likely than this are counted in ``others``, not listed."""

_NEGLIGIBLE: Final = 1e-9
"""Sizes whose weight is below this share of that of no standard size are left out."""
_REACH_NORMAL: Final = 8.0
_REACH_CHANGE: Final = 20.0
"""Standard uncertainties, and mean changes by use, beyond which a size is left out unlooked at."""
_USUAL_NORMAL: Final = 3.0
_USUAL_CHANGE: Final = 5.0
"""Standard uncertainties, and mean changes by use, beyond which a reading is named as a misfit:
about one right reading in a hundred and fifty."""
_OCTAVE: Final = 2.0
_VARIANT: Final = 0.5
"""Share of the parts of no standard size that differ from a standard one in one dimension only."""
_ROUND: Final = ((0.5, 0.25), (MM_PER_INCH / 16, 0.25))
"""Steps of round figures, mm, each with the share of the odd dimensions that lie on it."""
_SPREAD: Final = 5.0
_LEAST_SIZE: Final = 1e-3


@dataclass(frozen=True, slots=True)
class _Column:
    """One dimension of a table: what different limits there are, and which each size has."""

    made: tuple[MadeSize | None, ...]
    which: tuple[int, ...]
    having: tuple[tuple[int, ...], ...]
    """For each of ``made``, the sizes that have it."""
    weight: tuple[float, ...]
    """For each of ``made``, how common those are together."""


@dataclass(frozen=True, slots=True)
class _Prepared:
    """What a table of sizes needs once; ``weight`` is that of all sizes together."""

    sizes: Sequence[StandardSize]
    weight: float
    columns: Mapping[str, _Column]
    range: Mapping[str, tuple[float, float]]
    """Dimension -> least and most of the table."""


_prepared: dict[int, _Prepared] = {}
_MOST_PREPARED: Final = 64


def identify(
    measured: Mapping[str, Measured],
    sizes: Sequence[StandardSize],
    *,
    none_prior: float = NONE_PRIOR,
    limit: int = 10,
) -> Identified:
    """Rank the sizes by their probability, given the readings of some or all dimensions.

    Lengths in mm. A size that does not state a measured dimension is judged by the others alone.
    Entries of one designation are one part (measured in one way or another): their probabilities
    are added. A reading outside the half-width of a rectangular doubt excludes a size; if that
    holds for all, ``none_of_these`` is 1 and ``advice`` names the nearest. Raises InvalidInput for
    no reading, a dimension that no size has, a reading that is not a finite number above 0 or has
    no doubt.

    >>> made = {"bore": MadeSize(24.99, 25.0)}
    >>> size = StandardSize("25", "ISO 15", made, {"bore": 25.0})
    >>> identify({"bore": Measured(25.0, 0.05)}, [size]).items[0].designation
    '25'
    """
    if not 0 < none_prior < 1:
        raise OutOfRange("none_prior", none_prior, "above 0 and below 1")
    table = _prepare(sizes)
    _check(measured, table)
    broad = {name: _broad(one, *table.range[name]) for name, one in measured.items()}
    likely = {
        name: [
            broad[name] if made is None else _density(one, made)
            for made in table.columns[name].made
        ]
        for name, one in measured.items()
    }
    variant = _variants(table, broad, likely)
    none = none_prior * ((1 - _VARIANT) * prod(broad.values()) + _VARIANT * variant)
    share = (1 - none_prior) / table.weight
    weights = _weights(measured, table, likely, share, _NEGLIGIBLE * none)
    total = fsum(weights.values()) + none
    ranked = _ranked(weights, sizes, total)
    listed = [one for one in ranked[:limit] if one[0] >= LEAST_LISTED]
    return Identified(
        items=tuple(_likely(sizes[index], probability) for probability, index in listed),
        others=fsum(probability for probability, _ in ranked[len(listed) :]),
        none_of_these=none / total,
        advice=(*_misfits(measured, sizes, listed), *_advice(measured, table, none / total)),
    )


def _ranked(
    weights: Mapping[int, float], sizes: Sequence[StandardSize], total: float
) -> list[tuple[float, int]]:
    """Return probability and index of each designation, the likeliest first, ties as in the table.

    The index is that of its likeliest entry.
    """
    found: dict[str, tuple[float, float, int]] = {}
    for index, weight in weights.items():
        if weight > 0:
            name = sizes[index].designation
            together, best, chosen = found.get(name, (0.0, -1.0, index))
            if weight > best:
                best, chosen = weight, index
            found[name] = together + weight, best, chosen
    ranked = [(together / total, index) for together, _, index in found.values()]
    return sorted(ranked, key=lambda one: (-one[0], one[1]))


def _prepare(sizes: Sequence[StandardSize]) -> _Prepared:
    """Prepare a table once; a tuple is kept by its identity, since it cannot change."""
    known = _prepared.get(id(sizes))
    if known is not None and known.sizes is sizes:
        return known
    if not sizes:
        raise InvalidInput("", "There is no size to compare with.", "Ask for another kind.")
    names = dict.fromkeys(name for size in sizes for name in size.made)
    columns = {name: _column(sizes, name) for name in names}
    ranges = {
        name: (
            min(size.made[name].least for size in sizes if name in size.made),
            max(size.made[name].most for size in sizes if name in size.made),
        )
        for name in names
    }
    made = _Prepared(sizes, fsum(size.commonness for size in sizes), columns, ranges)
    if isinstance(sizes, tuple):
        if len(_prepared) >= _MOST_PREPARED:
            _prepared.clear()
        _prepared[id(sizes)] = made
    return made


def _column(sizes: Sequence[StandardSize], name: str) -> _Column:
    every = [size.made.get(name) for size in sizes]
    place = {made: number for number, made in enumerate(dict.fromkeys(every))}
    having: list[list[int]] = [[] for _ in place]
    for index, made in enumerate(every):
        having[place[made]].append(index)
    which = tuple(place[made] for made in every)
    weight = tuple(fsum(sizes[index].commonness for index in indices) for indices in having)
    return _Column(tuple(place), which, tuple(map(tuple, having)), weight)


def _check(measured: Mapping[str, Measured], table: _Prepared) -> None:
    if not measured:
        known = ", ".join(table.columns)
        raise InvalidInput("", "Nothing was measured.", f"Give at least one of {known}.")
    for name, one in measured.items():
        if name not in table.columns:
            known = ", ".join(table.columns)
            raise InvalidInput(f"/{name}", f"No size has a {name}.", f"Give some of {known}.")
        if not (isfinite(one.value) and one.value > 0):
            raise OutOfRange(name, one.value, "a size above 0")
        if not (isfinite(one.width) and one.width > 0):
            raise OutOfRange(f"{name}_plus_minus", one.width, "a doubt above 0")


def _weights(
    measured: Mapping[str, Measured],
    table: _Prepared,
    likely: Mapping[str, Sequence[float]],
    share: float,
    least: float,
) -> dict[int, float]:
    """Weigh the sizes by prior and likelihood, dropping each as soon as it cannot come to matter.

    Most of a table lies far out on one dimension: what the others could add at most is known.
    """
    weights = {index: share * size.commonness for index, size in enumerate(table.sizes)}
    left = prod(map(_peak, measured.values()))
    for name, one in measured.items():
        left /= _peak(one)
        which, densities = table.columns[name].which, likely[name]
        weights = {
            index: together
            for index, weight in weights.items()
            if (together := weight * densities[which[index]]) * left > least
        }
    return weights


def _variants(
    table: _Prepared, broad: Mapping[str, float], likely: Mapping[str, Sequence[float]]
) -> float:
    """Density of the readings of a standard part one of whose measured dimensions is its own."""
    count = len(likely)
    if count == 1:
        return prod(broad.values())
    if count == 2:  # as below, summed up by the dimension that agrees
        alone = {
            name: fsum(map(mul, table.columns[name].weight, densities)) / table.weight
            for name, densities in likely.items()
        }
        (one, other), (first, second) = alone.values(), broad.values()
        return (first * other + second * one) / 2
    agreeing: dict[int, int] = {}
    for name, densities in likely.items():
        for number, one in enumerate(densities):
            if one > 0:
                for index in table.columns[name].having[number]:
                    agreeing[index] = agreeing.get(index, 0) + 1
    together = []
    for index, agree in agreeing.items():
        if agree >= count - 1:
            own = {name: likely[name][table.columns[name].which[index]] for name in likely}
            together += [
                table.sizes[index].commonness
                * prod(broad[one] if one == odd else own[one] for one in own)
                for odd in own
            ]
    return fsum(together) / (count * table.weight)


def _density(one: Measured, made: MadeSize) -> float:
    """Return the density where it matters at all, else 0: most of a table is far away."""
    doubt = one.width * (1.0 if one.doubt is Doubt.RECTANGULAR else _REACH_NORMAL)
    change = _REACH_CHANGE * made.typical_change
    if made.least - change - doubt <= one.value <= made.most + change + doubt:
        return density(one, made)
    return 0.0


def _peak(one: Measured) -> float:
    """Return the greatest density, 1/mm, that any size can give a reading."""
    if one.doubt is Doubt.RECTANGULAR:
        return 1 / (2 * one.width)
    return 1 / (one.width * sqrt(2 * pi))


def _broad(one: Measured, least: float, most: float) -> float:
    """Density of the reading, 1/mm, of a dimension of no standard size.

    1/(size x ln of the range), raised near round figures and lowered between them.
    """
    low, high = max(least, _LEAST_SIZE) / _OCTAVE, most * _OCTAVE
    smooth = 1 / (min(max(one.value, low), high) * log(high / low))
    rounded = fsum(share * _near_round(one, step) for step, share in _ROUND)
    return smooth * (1 - fsum(share for _, share in _ROUND) + rounded)


def _near_round(one: Measured, step: float) -> float:
    """How much likelier the reading is if the size is a multiple of ``step``, mm."""
    if one.width > _SPREAD * step:
        return 1.0
    reach = one.width * (1.0 if one.doubt is Doubt.RECTANGULAR else _REACH_NORMAL)
    first = max(1, ceil((one.value - reach) / step))
    last = floor((one.value + reach) / step)
    figures = (MadeSize(count * step, count * step) for count in range(first, last + 1))
    return step * fsum(density(one, figure) for figure in figures)


def _likely(size: StandardSize, probability: float) -> Likely:
    return Likely(size.designation, size.standard, probability, size.nominal, size.notes)


def _misfits(
    measured: Mapping[str, Measured], sizes: Sequence[StandardSize], listed: list[tuple[float, int]]
) -> tuple[str, ...]:
    """Name the readings that even the likeliest size explains badly: a slip, or another part.

    Against all other sizes it may still be likely; that it is likely does not make it right.
    """
    if not listed:
        return ()
    size = sizes[listed[0][1]]
    return tuple(
        f"The {name} reads {one.value:.3f} mm, {beyond:.3f} mm outside what {size.designation} may"
        " have by its limits, its wear and the stated doubt: measure again before trusting it."
        for name, one in measured.items()
        if name in size.made and (beyond := _unexplained(one, size.made[name])) > 0
    )


def _unexplained(one: Measured, made: MadeSize) -> float:
    """By how much, mm, a reading lies beyond limits, usual change and doubt together."""
    doubt = one.width * (1.0 if one.doubt is Doubt.RECTANGULAR else _USUAL_NORMAL)
    change = _USUAL_CHANGE * made.typical_change
    down = change if made.change in {Change.SMALLER, Change.EITHER} else 0.0
    up = change if made.change in {Change.LARGER, Change.EITHER} else 0.0
    return max(made.least - down - doubt - one.value, one.value - made.most - up - doubt)


def _advice(measured: Mapping[str, Measured], table: _Prepared, none: float) -> tuple[str, ...]:
    """Say what to do where no size explains the readings: the doubt may be stated too small."""
    if none < 0.5:
        return ()
    indices = range(len(table.sizes))
    beyond, nearest = min((_beyond(measured, table.sizes[index]), index) for index in indices)
    name = table.sizes[nearest].designation
    if beyond == 0:
        return (
            f"Within these readings {name} is possible, but a part of no standard size is likelier:"
            " measure finer, or one dimension more.",
        )
    return (
        f"No size of the tables explains these readings well. The nearest is {name}, with a reading"
        f" {beyond:.3f} mm outside what is made: measure again, clean and free of burrs, before"
        " taking the part for it or for a special one.",
    )


def _beyond(measured: Mapping[str, Measured], size: StandardSize) -> float:
    """By how much, mm, the worst reading lies outside the limits of a size when new."""
    both = [(one.value, size.made[name]) for name, one in measured.items() if name in size.made]
    return max((max(m.least - r, r - m.most, 0.0) for r, m in both), default=inf)
