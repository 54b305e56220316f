"""With what a size is measured: which gauges leave a reading that shows conformity."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from math import inf
from types import MappingProxyType
from typing import Final

from shared.assemblies.model import Characteristic
from shared.condition.conformity import (
    AcceptanceLimits,
    acceptance_limits,
    guard_band,
    is_within,
)
from shared.condition.doubt import months_after
from shared.condition.gauges import GAUGES, usual_gauge
from shared.condition.model import Gauge
from shared.condition.sheet.model import CalibrationState, Fineness, GaugeChoice, OwnGauge
from shared.errors import InvalidInput
from shared.quantities import Quantity
from shared.quantities.units import (
    canonical,
    canonical_unit,
    difference_unit,
    kind_of,
)

_PLACES = 6

_READS_UP_TO_MM: Final = MappingProxyType(
    {"feeler": 1.0, "plastic-gauging": 1.0, "dial-indicator": 10.0}
)
"""What gauges of gaps and of travel read at most; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Window:
    """The sizes that a used part may have, in the canonical unit of their kind.

    ``lower`` and ``upper`` are the limits it is judged by. ``new_lower`` and ``new_upper`` close
    the window where there is but one: what comes out of a good part lies up to there.
    """

    kind: str
    lower: float | None
    upper: float | None
    new_lower: float | None
    new_upper: float | None


def window_of(characteristic: Characteristic) -> Window | None:
    """Return the window of a size: its service limits, else those when new; None: no limit.

    Raises InvalidInput for limits of different kinds.
    """
    limits = (
        characteristic.service_lower,
        characteristic.service_upper,
        characteristic.new_lower,
        characteristic.new_upper,
    )
    given = [one for one in limits if one is not None]
    if not given:
        return None
    kind = kind_of(given[0].unit)
    lower, upper, new_lower, new_upper = (
        None if one is None else canonical(one, kind) for one in limits
    )
    if lower is None and upper is None:
        lower, upper = new_lower, new_upper
    return Window(kind, lower, upper, new_lower, new_upper)


def readings_that_show(window: Window, u: float, probability: float) -> AcceptanceLimits | None:
    """Return the readings that show conformity at an uncertainty; None: not one does.

    u in the canonical unit, above 0; ``probability`` is the acceptance probability. With one limit:
    none does where not even the size when new that lies farthest from it would, or nothing at all
    (for a length at most so much). The rule of ISO
    14253-1 counts whatever the shop's: sharing the doubt makes no gauge finer. Raises as
    ``guard_band`` does.
    """
    try:
        band = guard_band(u, probability, window.lower, window.upper)
    except InvalidInput:
        return None  # Limits upside down: nothing lies between them.
    if band == inf:
        return None
    found = acceptance_limits(band, window.lower, window.upper)
    if found is None:
        return None
    is_closed = found.lower is not None and found.upper is not None
    if not is_closed and found.lower is not None and window.new_upper is not None:
        return found if found.lower <= window.new_upper else None
    if not is_closed and found.upper is not None and window.upper is not None:
        # A play or a taper is never below nothing, whatever the gauge reads.
        least = 0.0 if window.kind == "length" and window.upper > 0 else -inf
        if window.new_lower is not None:
            least = window.new_lower
        return found if found.upper >= least else None
    return found


def gauges_for(
    characteristic: Characteristic, own: Sequence[Gauge], probability: float, today: date
) -> tuple[GaugeChoice, ...]:
    """Return the gauges for a characteristic: the kind called for, with the shop's own of it.

    Where none is called for, or that one is too coarse, the usual kinds follow that are fine enough
    and read such sizes; whether one of them reaches the place nobody has said. None for what is
    graded, and for what is worked out from others unless a kind is called for: those have theirs.
    """
    window = window_of(characteristic)
    if characteristic.is_crack or characteristic.worst_acceptable_grade is not None:
        return ()
    kind = window.kind if window else kind_of(characteristic.unit) if characteristic.unit else None
    called_for = _word(characteristic.gauge_kind)
    if called_for is None and characteristic.derivation is not None:
        return ()
    choices = []
    if called_for is not None:
        choices.append(_choice(called_for, kind, window, own, probability, today, is_called=True))
    is_settled = bool(choices) and _is_any_fine(choices[0])
    if kind == "length" and window is not None and not is_settled:
        others = (
            _choice(word, kind, window, own, probability, today, is_called=False)
            for word in GAUGES
            if word != called_for and _reaches(word, window)
        )
        choices += [one for one in others if _is_any_fine(one)]
    return tuple(choices)


def _reaches(word: str, window: Window) -> bool:
    """Whether a kind of gauge reads sizes as large as those in question at all."""
    ends = (window.lower, window.upper, window.new_lower, window.new_upper)
    largest = max(abs(end) for end in ends if end is not None)
    return largest <= _READS_UP_TO_MM.get(word, inf)


def runs_out_on(gauge: Gauge) -> date | None:
    """Return the last day on which a gauge's calibration holds; None: not known, or no term.

    >>> str(runs_out_on(Gauge("g", "G", calibrated_on=date(2031, 8, 31), calibration_months=6)))
    '2032-02-29'
    """
    if gauge.calibrated_on is None or gauge.calibration_months is None:
        return None
    return months_after(gauge.calibrated_on, gauge.calibration_months)


def calibration_on(gauge: Gauge, day: date) -> CalibrationState:
    """Whether a gauge's calibration holds on a day, as far as that is on record."""
    if gauge.calibration_months is None:
        return CalibrationState.NOT_TOLD
    last = runs_out_on(gauge)
    if last is None:
        return CalibrationState.UNKNOWN
    return CalibrationState.HOLDS if day <= last else CalibrationState.RUN_OUT


def _choice(
    word: str,
    kind: str | None,
    window: Window | None,
    own: Sequence[Gauge],
    probability: float,
    today: date,
    *,
    is_called: bool,
) -> GaugeChoice:
    usual = GAUGES.get(word) if kind == "length" else None
    u = None if usual is None else usual.u_mm
    fineness, shown = _fineness(window, u, probability)
    mine = tuple(
        _own(one, kind, window, u, probability, today)
        for one in sorted(own, key=lambda one: (one.name, one.id))
        if _word(one.kind) == word
    )
    unit = canonical_unit(kind) if kind else ""
    return GaugeChoice(
        word,
        usual.name if usual else word.replace("-", " "),
        is_called,
        None if u is None else _quantity(u, "mm"),
        usual.basis if usual else None,
        fineness,
        None if shown is None or shown.lower is None else _quantity(shown.lower, unit),
        None if shown is None or shown.upper is None else _quantity(shown.upper, unit),
        mine,
    )


def _own(
    gauge: Gauge,
    kind: str | None,
    window: Window | None,
    usual_u: float | None,
    probability: float,
    today: date,
) -> OwnGauge:
    u, told = usual_u, None if usual_u is None else _quantity(usual_u, "mm")
    stated = gauge.standard_uncertainty
    if stated is not None and kind is not None:
        told = stated
        try:
            u = canonical(stated, kind_of_difference(kind))
        except InvalidInput:
            u = None  # Stated in another kind of unit: it says nothing of this size.
    fineness, _ = _fineness(window, u, probability)
    if window is not None and not _reads(gauge, window):
        fineness = Fineness.OUT_OF_REACH
    return OwnGauge(
        gauge.id, gauge.name, told, fineness, calibration_on(gauge, today), runs_out_on(gauge)
    )


def _reads(gauge: Gauge, window: Window) -> bool:
    """Whether the sizes in question lie within what a gauge reads; not told, it is not asked."""
    ends = (window.lower, window.upper, window.new_lower, window.new_upper)
    sizes = [end for end in ends if end is not None]
    try:
        least = None if gauge.reads_from is None else canonical(gauge.reads_from, window.kind)
        most = None if gauge.reads_up_to is None else canonical(gauge.reads_up_to, window.kind)
    except InvalidInput:
        return False
    # A play limited from above alone may be anything down to nothing: its limit is what is asked.
    return is_within(min(sizes), least, None) and is_within(max(sizes), None, most)


def kind_of_difference(kind: str) -> str:
    """Return the kind of a difference between two quantities of a kind (temperatures differ)."""
    return kind_of(difference_unit(canonical_unit(kind)))


def _fineness(
    window: Window | None, u: float | None, probability: float
) -> tuple[Fineness, AcceptanceLimits | None]:
    if window is None or u is None or u <= 0:
        return Fineness.CANNOT_BE_TOLD, None
    shown = readings_that_show(window, u, probability)
    return (Fineness.TOO_COARSE if shown is None else Fineness.FINE_ENOUGH), shown


def _is_any_fine(choice: GaugeChoice) -> bool:
    return Fineness.FINE_ENOUGH in (choice.fineness, *(one.fineness for one in choice.own))


def _word(text: str | None) -> str | None:
    """The word of the list that a gauge goes by; its own where it is not on the list."""
    if text is None:
        return None
    usual = usual_gauge(text)
    if usual is not None:
        return usual.kind
    return "-".join(text.casefold().replace("_", " ").replace("-", " ").split())


def _quantity(value: float, unit: str) -> Quantity:
    return Quantity(Decimal(f"{value:.{_PLACES}f}"), unit)
