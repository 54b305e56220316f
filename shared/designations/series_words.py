"""The words that say to which series a thread belongs, and those of series not in the house."""

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from shared.designations.thread_names import (
    BRITISH_PIPE,
    METRIC,
    PARALLEL_PIPE,
    PIPE,
    TAPER_PIPE,
    UNIFIED,
)
from shared.standards.thread_model import ThreadSeries

_S: Final = ThreadSeries

# Trade names, common practice. NC, NF and NEF are the American series before 1949, whose threads
# the unified ones took over; PF and PT are the older Japanese words for G and for R and Rc.
SERIES_WORDS: Final = MappingProxyType(
    {
        "UNC": frozenset({_S.UNC}),
        "NC": frozenset({_S.UNC}),
        "UNF": frozenset({_S.UNF}),
        "NF": frozenset({_S.UNF}),
        "UNEF": frozenset({_S.UNEF}),
        "NEF": frozenset({_S.UNEF}),
        "UN": UNIFIED,
        "UNS": frozenset({_S.UN}),
        "BSW": frozenset({_S.BSW}),
        "WHITWORTH": frozenset({_S.BSW}),
        "WHIT": frozenset({_S.BSW}),
        "W": frozenset({_S.BSW}),
        "BSF": frozenset({_S.BSF}),
        "BSC": frozenset({_S.CYCLE}),
        "CYCLE": frozenset({_S.CYCLE}),
        "CEI": frozenset({_S.CYCLE}),
        "BA": frozenset({_S.BA}),
        "G": PARALLEL_PIPE,
        "BSPP": PARALLEL_PIPE,
        "PF": PARALLEL_PIPE,
        "BSPT": TAPER_PIPE,
        "PT": TAPER_PIPE,
        "R": frozenset({_S.PIPE_TAPER_EXTERNAL}),
        "RC": frozenset({_S.PIPE_TAPER_INTERNAL}),
        "RP": frozenset({_S.PIPE_PARALLEL_INTERNAL}),
        "BSP": BRITISH_PIPE,
        "GAS": BRITISH_PIPE,
        "PIPE": PIPE,
        "NPT": frozenset({_S.NPT}),
    }
)

LIMITS: Final[Mapping[str, frozenset[ThreadSeries]]] = MappingProxyType(
    {
        "fine": frozenset({_S.METRIC_FINE, _S.UNF, _S.BSF}),
        "coarse": frozenset({_S.METRIC_COARSE, _S.UNC, _S.BSW}),
        "extra fine": frozenset({_S.UNEF}),
        "metric": METRIC,
        "unified": UNIFIED,
    }
)
"""Words that leave some series only."""

_ABSENT_WORDS: Final = MappingProxyType(
    {
        "TR": "a metric trapezoidal thread (ISO 2904)",
        "PG": "a steel conduit thread (DIN 40430)",
        "ACME": "an Acme thread (ASME B1.5)",
        "UNJ": "a thread with a large root radius for aircraft (ISO 3161)",
        "UNJC": "a thread with a large root radius for aircraft (ISO 3161)",
        "UNJF": "a thread with a large root radius for aircraft (ISO 3161)",
        "MJ": "a thread with a large root radius for aircraft (ISO 5855)",
        "NPTF": "a dryseal taper pipe thread (ASME B1.20.3)",
        "NPS": "an American parallel pipe thread",
        "NPSM": "an American parallel pipe thread",
        "NPSF": "an American parallel dryseal pipe thread",
        "BSB": "a brass thread of 26 turns per inch in all sizes",
        "RD": "a round thread (DIN 405)",
        "ST": "a tapping screw thread (ISO 1478)",
        "NH": "an American hose coupling thread",
    }
)
"""Standards' numbers from memory."""

_LONGEST_FIRST: Final = sorted(SERIES_WORDS, key=len, reverse=True)
SERIES: Final = "|".join(_LONGEST_FIRST)
_LATE: Final = "|".join(word for word in _LONGEST_FIRST if len(word) > 2)
# A tolerance class may follow UNC without a blank (UNC2A); G5 is a grade, R6 a bearing.
_SHORT: Final = "|".join(word for word in _LONGEST_FIRST if len(word) <= 2 and word != "UN")
_ABSENT_AFTER: Final = "|".join(sorted(_ABSENT_WORDS, key=len, reverse=True))

SERIES_AFTER: Final = re.compile(
    rf" ?-? ?((?!(?:{_SHORT})[0-9])(?:{SERIES})(?!(?!x ?[0-9.])[A-Za-z]))\.?", re.IGNORECASE
)
"""A series after its size: 1/4 UNC, 3/8W, 1/4-20UNC."""
SERIES_BEFORE: Final = re.compile(rf"({SERIES})[ .-]{{0,2}}(?=[#0-9.])", re.IGNORECASE)
SERIES_LATE: Final = re.compile(rf"({_LATE})(?![A-Za-z])\.?", re.IGNORECASE)
"""A series anywhere else: 1/4 x 1 BSF."""
ABSENT_AFTER: Final = re.compile(rf" ?-? ?({_ABSENT_AFTER})(?![A-Za-z])", re.IGNORECASE)
ABSENT_BEFORE: Final = re.compile(
    r"(Tr|Pg|MJ|Rd|ST|NPTF|NPSM?|UNJ[CF]?) ?(?=[#0-9.])", re.IGNORECASE
)


def series_of(word: str) -> frozenset[ThreadSeries]:
    """Return the series that a word of SERIES_WORDS, however capitalised, leaves open."""
    return SERIES_WORDS[word.upper()]


def absent_series(word: str) -> str:
    """Say what a thread is that has no table in the house."""
    return _ABSENT_WORDS[word.upper()]
