"""The threads of the house by the sizes under which people ask for them.

A size is said in millimetres (M8), inches (1/4), by a number (#10) or by a BA number; each may be
that of several threads: "3/8" is ten and more.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cache
from types import MappingProxyType
from typing import Final

from shared.designations.lengths import plain_number
from shared.standards.thread_model import METRIC_SERIES, Thread, ThreadSeries
from shared.standards.threads import threads

_S: Final = ThreadSeries
_LARGEST_NUMBER: Final = 6.0
"""The numbered sizes of ASME B1.1 end at 12 (5.49 mm); a whole number of inches is 25.4 and up."""

METRIC: Final = METRIC_SERIES
UNIFIED: Final = frozenset({_S.UNC, _S.UNF, _S.UNEF, _S.UN})
PARALLEL_PIPE: Final = frozenset({_S.PIPE_PARALLEL})
TAPER_PIPE: Final = frozenset({_S.PIPE_TAPER_EXTERNAL, _S.PIPE_TAPER_INTERNAL})
BRITISH_PIPE: Final = PARALLEL_PIPE | TAPER_PIPE | {_S.PIPE_PARALLEL_INTERNAL}
PIPE: Final = BRITISH_PIPE | {_S.NPT}

MEANINGS: Final = MappingProxyType(
    {
        _S.METRIC_COARSE: "ISO metric, coarse pitch",
        _S.METRIC_FINE: "ISO metric, fine pitch",
        _S.METRIC_OLDER: "metric, older than ISO 261",
        _S.UNC: "unified coarse, 60 degrees",
        _S.UNF: "unified fine, 60 degrees",
        _S.UNEF: "unified extra fine, 60 degrees",
        _S.UN: "unified, constant pitch or special, 60 degrees",
        _S.BSW: "British Standard Whitworth, 55 degrees",
        _S.BSF: "British Standard fine, 55 degrees",
        _S.BA: "British Association, 47.5 degrees",
        _S.CYCLE: "British Standard cycle, 60 degrees",
        _S.PIPE_PARALLEL: "parallel pipe thread, ISO 228-1, sealed beside the thread",
        _S.PIPE_TAPER_EXTERNAL: "taper pipe thread, ISO 7-1, external",
        _S.PIPE_TAPER_INTERNAL: "taper pipe thread, ISO 7-1, internal",
        _S.PIPE_PARALLEL_INTERNAL: "parallel internal pipe thread, ISO 7-1, for a taper one",
        _S.NPT: "American taper pipe thread, 60 degrees",
    }
)
"""What each series is, in a few words."""


class SizeKind(StrEnum):
    """How a size is said."""

    METRIC = "M"
    INCH = "in"
    NUMBER = "#"
    BA = "BA"


@dataclass(frozen=True, slots=True)
class Size:
    """A nominal size: millimetres, inches, or a number."""

    kind: SizeKind
    value: Fraction

    def __str__(self) -> str:
        """As the trade writes it: M8, 1 1/8, #10, 2 BA."""
        if self.kind is SizeKind.METRIC:
            return "M" + plain_number(float(self.value))
        if self.kind is SizeKind.NUMBER:
            return f"#{self.value}"
        if self.kind is SizeKind.BA:
            return f"{self.value} BA"
        if self.value.denominator > 64:
            return plain_number(float(self.value))
        whole, rest = divmod(self.value, 1)
        return " ".join(str(part) for part in (whole, rest) if part)


def size_of(thread: Thread) -> Size:
    """Return the size under which a thread is asked for."""
    nominal = thread.nominal
    if thread.is_metric:
        return Size(SizeKind.METRIC, Fraction(nominal.removeprefix("M")))
    if thread.series is _S.BA:
        return Size(SizeKind.BA, Fraction(nominal.removesuffix("BA").strip()))
    value = sum((Fraction(part) for part in nominal.split()), Fraction(0))
    # "1" is the number 1 (1.85 mm) as well as one inch: the diameter tells.
    is_number = (
        thread.series in UNIFIED and value.denominator == 1 and thread.major < _LARGEST_NUMBER
    )
    return Size(SizeKind.NUMBER if is_number else SizeKind.INCH, value)


@cache
def _by_size() -> dict[Size, tuple[Thread, ...]]:
    found: dict[Size, list[Thread]] = {}
    for thread in threads():
        found.setdefault(size_of(thread), []).append(thread)
    return {size: tuple(likeliest_first(some)) for size, some in found.items()}


@cache
def _by_decimal() -> dict[str, Size]:
    """Sizes of inch threads by their diameter in inches as a decimal: .250, 0.3125, .190."""
    found: dict[str, Size] = {}
    for size, some in _by_size().items():
        if size.kind is SizeKind.INCH:
            value = size.value
        elif size.kind is SizeKind.NUMBER:
            value = Fraction(60 + 13 * int(size.value), 1000)
        else:
            continue
        if some:
            for places in (2, 3, 4, 5, 6):
                exact = round(value, places)
                if places >= 3 or exact == value:
                    found.setdefault(_key(exact), size)
    return found


def _key(value: Fraction) -> str:
    return plain_number(float(value))


def likeliest_first(some: Iterable[Thread]) -> list[Thread]:
    """Order threads by how often a workshop meets them; the coarse one of a metric size first."""
    return sorted(
        some,
        key=lambda one: (
            one.series is not _S.METRIC_COARSE,
            -one.commonness,
            one.series in PIPE,
            one.designation,
        ),
    )


def threads_of_size(size: Size) -> tuple[Thread, ...]:
    """Return all threads of a size, the likeliest first; empty where the house has none."""
    return _by_size().get(size, ())


def size_of_decimal(text: str) -> Size | None:
    """Return the inch or number size whose diameter in inches is written so, if there is one."""
    return _by_decimal().get(_key(Fraction(text)))


def of_series(some: Iterable[Thread], series: Collection[ThreadSeries]) -> tuple[Thread, ...]:
    """Keep those of these series."""
    return tuple(one for one in some if one.series in series)


def nearest_sizes(size: Size, most: int = 3) -> Sequence[str]:
    """Name the threads whose sizes of the same kind come nearest."""
    near = sorted(
        (other for other in _by_size() if other.kind is size.kind),
        key=lambda other: abs(other.value - size.value),
    )
    return [_by_size()[other][0].designation for other in near[:most]]
