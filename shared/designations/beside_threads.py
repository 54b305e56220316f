"""The patterns of what stands beside a thread: classes, tolerances, hand, lengths, standards.

Each matches from where reading stands, over a bounded stretch: reading takes time in line with the
length of the text.
"""

import re
from typing import Final

from shared.designations.lengths import LENGTH

BETWEEN: Final = re.compile(r"(?: |-|[/:.](?= |$|-))*")
DOTTED: Final = re.compile(r"\b(?:[A-Za-z]\.){2,}")

STANDARD: Final = re.compile(
    r"(?:DIN(?: EN)?(?: ISO)?|EN(?: ISO)?|ISO|ANSI(?:/ASME)?|ASME|JIS|BS(?: EN)?(?: ISO)?|UNI|UNE)"
    r" ?(?:[A-Z] ?[0-9]{1,4}(?:\.[0-9]{1,3}){0,3}|[0-9]{1,6}(?!\.[0-9]))"
    r"(?:-[0-9]{1,2}(?![0-9.x/]))?(?::[0-9]{4})?\b",
    re.IGNORECASE,
)
_CLASS_WORD: Final = r"(?:(?:property |strength )?class|cl\b\.?|kl\b\.?|quality)"
_GRADE_WORD: Final = r"(?:grade|gr\b\.?|gr(?=[0-9]))"
_LENGTH_NEXT: Final = r"(?! ?(?:mm|in|inch|\")(?![a-z]))"
METRIC_CLASS: Final = re.compile(
    rf"(?:{_CLASS_WORD}|{_GRADE_WORD})? ?([0-9]{{1,2}}\.[0-9])(?![0-9/]|\.[0-9]){_LENGTH_NEXT}",
    re.I,
)
STAINLESS: Final = re.compile(
    rf"(?:{_CLASS_WORD}|{_GRADE_WORD})? ?([ACDF][1-8])L?"
    r"(?:[/-]?([0-9]{2,3})| (45|50|60|70|80|100|110))?(?![0-9a-wyz/.])",
    re.I,
)
SAE: Final = re.compile(
    rf"(?:(?:SAE(?: ?J429)?|J429)[ -]?{_GRADE_WORD}?|{_GRADE_WORD}|G(?=[2578]\b))[ .-]?"
    rf"([1-9][0-9]?(?:\.[12])?)(?![0-9/x]|\.[0-9])",
    re.I,
)
SAE_DECIMALS: Final = frozenset({"5.1", "5.2", "8.1", "8.2"})
ONE_FIGURE: Final = re.compile(
    rf"(?:{_CLASS_WORD} ?)?(04|05|10|12|[4-9])(?![0-9/x]|\.[0-9]){_LENGTH_NEXT}", re.I
)
CLASS_FIGURE: Final = re.compile(
    rf"{_CLASS_WORD} ?(04|05|10|12|[4-9])(?![0-9/x]|\.[0-9]){_LENGTH_NEXT}", re.I
)
TOLERANCE: Final = re.compile(
    r"(?:(?:[3-9][e-h]){1,2}|(?:[3-9][E-H]){1,2}|[1-3][AB])(?![0-9A-WYZa-wyz])"
)
PIPE_CLASS: Final = re.compile(r"[AB](?![A-Za-z0-9-])|[AB](?=-(?:LH|RH)(?![A-Za-z0-9]))")
HAND: Final = re.compile(
    r"(?:(LH|left[ -]?hand(?:ed)?|left|links(?:gewinde)?)"
    r"|RH|right[ -]?hand(?:ed)?|right|rechts(?:gewinde)?)(?!(?!x)[A-Za-z0-9])",
    re.I,
)
BY_X: Final = re.compile(rf"x ?{LENGTH}", re.I)
SAID_LENGTH: Final = re.compile(rf"(?:length|long|lg|L) ?[=:]? ?{LENGTH}", re.I)
OWN_LENGTH: Final = re.compile(rf"{LENGTH}", re.I)
LONG: Final = re.compile(r" (?:long|length|lg)\b\.?", re.I)
DASH_FIGURE: Final = re.compile(r"([1-9][0-9]{1,3})(?![0-9/]|\.[0-9])")
NUT: Final = re.compile(r"nuts?(?![A-Za-z])", re.I)
SCREW: Final = re.compile(r"screws?(?![A-Za-z])", re.I)
WITH_NUT: Final = re.compile(r"(?:with|and|&|\+) ?(?:a )?nuts?(?![A-Za-z])", re.I)
ASTM: Final = re.compile(r"ASTM|A[1-9][0-9]{2}|B[0-9]|2H", re.I)
PIECE: Final = re.compile(r"[^ ]+")
