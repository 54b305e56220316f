"""Whether an O-ring fills its groove as it must: squeeze, stretch, fill.

squeeze = (cord - depth) / cord; stretch = (groove diameter - inside) / inside; fill = section of
the cord / section of the groove. A stretched ring is thinner: its volume stays. The usual limits
are those of O-ring sellers' design pages (common practice); a machine's own figures go before.
Lengths in millimetres, the rest shares of 1.
"""

from dataclasses import dataclass
from enum import StrEnum
from math import pi, sqrt
from typing import Final

from shared.errors import InvalidInput, OutOfRange
from shared.quantities import Quantity
from shared.quantities.units import canonical, check_quantity
from shared.standards.o_rings import TRADE_SIZE, o_rings, section_tolerance

_LENGTH: Final = "length"
_ROUNDING: Final = 1e-9


class GrooveVerdict(StrEnum):
    """Whether the ring serves by its sizes."""

    FITS = "fits"
    MARGINAL = "marginal"
    """Within the limits at nominal size, outside at the end of the tolerances."""
    DOES_NOT_FIT = "does not fit"


class Motion(StrEnum):
    """Whether the sealed parts move against each other."""

    STILL = "still"
    MOVING = "moving"


@dataclass(frozen=True, slots=True)
class Limits:
    """The least and the most that is allowed, shares of 1."""

    least: float
    most: float


USUAL_SQUEEZE: Final = {Motion.STILL: Limits(0.20, 0.30), Motion.MOVING: Limits(0.10, 0.20)}
USUAL_STRETCH: Final = Limits(0.01, 0.05)
USUAL_FILL: Final = Limits(0.0, 0.85)


@dataclass(frozen=True, slots=True)
class Sized:
    """A size with its tolerance either way, mm."""

    value: float
    plus_minus: float = 0.0

    @property
    def least(self) -> float:
        """The least that it may be."""
        return self.value - self.plus_minus

    @property
    def most(self) -> float:
        """The most that it may be."""
        return self.value + self.plus_minus


@dataclass(frozen=True, slots=True)
class Checked:
    """One share at nominal sizes, its least and most over the tolerances, against its limits."""

    least: float
    nominal: float
    most: float
    limits: Limits
    verdict: GrooveVerdict


@dataclass(frozen=True, slots=True)
class GrooveAnswer:
    """The verdict over all that was judged; ``cords`` are listed sections that would fit, mm.

    ``squeeze`` is of the loose cord at nominal; its least counts the stretch in, where known.
    ``installed_squeeze`` is that of the stretched ring at nominal sizes, None where not known.
    """

    verdict: GrooveVerdict
    squeeze: Checked
    installed_squeeze: float | None
    stretch: Checked | None
    fill: Checked | None
    cord: Sized
    cords: tuple[float, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Groove:
    """A groove: its depth (from its bottom to the facing surface), and what else is known of it.

    ``diameter`` is that over which the ring is stretched, ``width`` across the groove.
    """

    depth: Sized
    diameter: Sized | None = None
    width: Sized | None = None


def judge_groove(
    cord: Sized,
    groove: Groove,
    *,
    inside: Sized | None = None,
    squeeze: Limits = USUAL_SQUEEZE[Motion.STILL],
    stretch: Limits = USUAL_STRETCH,
    fill: Limits = USUAL_FILL,
) -> GrooveAnswer:
    """Judge an O-ring in its groove; stretch and fill only as far as the sizes for them are given.

    >>> answer = judge_groove(Sized(2.5, 0.08), Groove(Sized(1.9558)))
    >>> answer.verdict.value, round(answer.squeeze.nominal, 3), round(answer.squeeze.least, 3)
    ('marginal', 0.218, 0.192)
    """
    stretched = _stretch(inside, groove.diameter, stretch)
    installed = None
    thinnest = cord.least
    if inside is not None and groove.diameter is not None:
        installed = _squeeze(_thinned(cord.value, inside.value, groove.diameter.value), groove)
        thinnest = min(thinnest, _thinned(cord.least, inside.least, groove.diameter.most))
    squeezed = _checked(
        (thinnest - groove.depth.most) / thinnest,
        _squeeze(cord.value, groove),
        (cord.most - groove.depth.least) / cord.most,
        squeeze,
    )
    filled = _fill(cord, groove, fill)
    checks = [check for check in (squeezed, stretched, filled) if check is not None]
    return GrooveAnswer(
        verdict=_worst([check.verdict for check in checks]),
        squeeze=squeezed,
        installed_squeeze=installed,
        stretch=stretched,
        fill=filled,
        cord=cord,
        cords=_cords(groove, squeeze, fill),
        cautions=tuple(_cautions(groove, inside, stretched, filled)),
    )


def _squeeze(cord: float, groove: Groove) -> float:
    return (cord - groove.depth.value) / cord


def _thinned(cord: float, inside: float, diameter: float) -> float:
    """Return the section of a ring stretched over a diameter: length grows, volume stays."""
    return cord * sqrt((inside + cord) / (diameter + cord))


def _stretch(inside: Sized | None, diameter: Sized | None, limits: Limits) -> Checked | None:
    if inside is None or diameter is None:
        return None
    return _checked(
        (diameter.least - inside.most) / inside.most,
        (diameter.value - inside.value) / inside.value,
        (diameter.most - inside.least) / inside.least,
        limits,
    )


def _fill(cord: Sized, groove: Groove, limits: Limits) -> Checked | None:
    width, depth = groove.width, groove.depth
    if width is None:
        return None
    return _checked(
        pi / 4 * cord.least**2 / (depth.most * width.most),
        pi / 4 * cord.value**2 / (depth.value * width.value),
        pi / 4 * cord.most**2 / (depth.least * width.least),
        limits,
    )


def _checked(least: float, nominal: float, most: float, limits: Limits) -> Checked:
    low, high = limits.least - _ROUNDING, limits.most + _ROUNDING
    if not low <= nominal <= high:
        verdict = GrooveVerdict.DOES_NOT_FIT
    elif least < low or most > high:
        verdict = GrooveVerdict.MARGINAL
    else:
        verdict = GrooveVerdict.FITS
    return Checked(least, nominal, most, limits, verdict)


def _worst(verdicts: list[GrooveVerdict]) -> GrooveVerdict:
    return max(verdicts, key=list(GrooveVerdict).index)


def _cords(groove: Groove, limits: Limits, fill: Limits) -> tuple[float, ...]:
    """Return the listed sections whose squeeze keeps the limits over the tolerances, unstretched.

    Where the width of the groove is known they must not overfill it either. Of the published lists
    only, the trade's whole millimetres left aside.
    """
    sections = sorted({ring.section for ring in o_rings() if ring.standard != TRADE_SIZE})
    fitting = []
    for section in sections:
        cord = Sized(section, section_tolerance(section))
        checked = _checked(
            (cord.least - groove.depth.most) / cord.least,
            _squeeze(section, groove),
            (cord.most - groove.depth.least) / cord.most,
            limits,
        )
        filled = _fill(cord, groove, fill)
        checks = [checked] if filled is None else [checked, filled]
        if all(check.verdict is GrooveVerdict.FITS for check in checks):
            fitting.append(section)
    return tuple(fitting)


def _cautions(
    groove: Groove, inside: Sized | None, stretched: Checked | None, filled: Checked | None
) -> list[str]:
    cautions = []
    if not groove.depth.plus_minus:
        cautions.append(
            "The groove's depth was taken as exact: give its plus_minus, a worn or uneven groove"
            " squeezes less."
        )
    if stretched is None:
        cautions.append("Stretch was not judged: give ring_inside and groove_diameter.")
    elif inside is not None and not inside.plus_minus:
        cautions.append(
            "Stretch holds for a ring that measures so inside; a ring of a list may lie its"
            " tolerance to either side."
        )
    if filled is None:
        cautions.append("Fill was not judged: give groove_width; the groove must not be overfull.")
    cautions.append(
        "Sizes alone: material, hardness, pressure, the gap behind the ring and the finish of the"
        " groove are not judged. Let pressure off before opening."
    )
    return cautions


_LEAST, _MOST = 0.1, 5000.0


def sized(quantity: Quantity, pointer: str) -> Sized:
    """Return a length with its tolerance either way, mm.

    Doubt stated as plus_minus or expanded counts as it stands, a standard uncertainty twice.
    Raises InvalidInput with ``pointer``: no length, outside 0.1 to 5000 mm, or a tolerance as large
    as the size.
    """
    check_quantity(quantity, _LENGTH, pointer)
    value = canonical(quantity, _LENGTH)
    half = quantity.plus_minus or quantity.expanded_uncertainty
    if half is None and quantity.standard_uncertainty is not None:
        half = quantity.standard_uncertainty * 2
    doubt = 0.0 if half is None else canonical(Quantity(half, quantity.unit), _LENGTH)
    if not _LEAST <= value <= _MOST:
        raise InvalidInput(
            pointer,
            f"Got {value:.6g} mm; wanted a length from {_LEAST:g} to {_MOST:g} mm.",
            "Check the figure and its unit.",
            OutOfRange.code,
        )
    if doubt >= value / 2:
        raise InvalidInput(
            pointer,
            f"Got a tolerance of {doubt:.6g} mm on a size of {value:.6g} mm.",
            "Give a tolerance below half the size.",
            OutOfRange.code,
        )
    return Sized(value, doubt)


def cord_sized(quantity: Quantity, pointer: str) -> Sized:
    """Return a cord with its tolerance: the stated one, else that of the list that has its section.

    Raises InvalidInput as ``sized``.
    """
    cord = sized(quantity, pointer)
    if cord.plus_minus:
        return cord
    return Sized(cord.value, section_tolerance(round(cord.value, 4)))


def checked_limits(least: float, most: float, pointer: str) -> Limits:
    """Return limits, shares of 1. Raises InvalidInput: upside down, or the most over 1."""
    if not 0 <= least <= most <= 1:
        raise InvalidInput(
            pointer,
            f"Got limits from {100 * least:g} to {100 * most:g} percent.",
            "Give the lesser limit first, both from 0 to 100.",
            OutOfRange.code,
        )
    return Limits(least, most)
