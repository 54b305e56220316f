"""Reads a hardness as people write it: 58 HRC, HV 620, 180 HB, 58-62 HRC."""

import re
from types import MappingProxyType
from typing import Final

from shared.errors import InvalidInput
from shared.fasteners.substitutes.model import Hardness
from shared.standards.hardness import HardnessScale

_LONGEST: Final = 40
_SCALES: Final = MappingProxyType(
    {
        "HV": HardnessScale.HV,
        "HB": HardnessScale.HBW,
        "HBW": HardnessScale.HBW,
        "BHN": HardnessScale.HBW,
        "HRB": HardnessScale.HRB,
        "HRBW": HardnessScale.HRB,
        "HRC": HardnessScale.HRC,
    }
)
_SCALE: Final = "|".join(sorted(_SCALES, key=len, reverse=True))
_FIGURE: Final = r"[0-9]{1,4}(?:[.,][0-9]{1,2})?"
_RANGE: Final = rf"({_FIGURE})(?: ?(?:-|–|to) ?({_FIGURE}))?"
# HV 30, HBW 2.5/187.5: the load of the test stands behind the scale and changes nothing here.
_LOAD: Final = r"(?: ?[0-9]{1,2}(?:\.[0-9])?(?:/[0-9]{1,4}(?:\.[0-9])?)?(?:/[0-9]{1,2})?)?"
_WRITTEN: Final = (
    re.compile(rf"{_RANGE} ?({_SCALE}){_LOAD}", re.IGNORECASE),
    re.compile(rf"({_SCALE}) ?{_RANGE}", re.IGNORECASE),
)


def read_hardness(text: str, *, highest: bool, pointer: str = "/hardness") -> Hardness:
    """Return the hardness that ``text`` states; of a range its ``highest`` or lowest end.

    Raises InvalidInput for what is no hardness on a scale of the table.

    >>> read_hardness("58-62 HRC", highest=False)
    Hardness(value=58.0, scale=<HardnessScale.HRC: 'HRC'>)
    >>> read_hardness("180 HB", highest=True).scale.value
    'HBW'
    """
    plain = " ".join(text.split())
    if len(plain) <= _LONGEST:
        behind, before = (pattern.fullmatch(plain) for pattern in _WRITTEN)
        if behind is not None:
            return _hardness(behind[3], behind[1], behind[2], highest=highest)
        if before is not None:
            return _hardness(before[1], before[2], before[3], highest=highest)
    raise InvalidInput(
        pointer,
        "This hardness could not be read.",
        "Write figure and scale: 58 HRC, 620 HV, 180 HBW, 85 HRB.",
        "hardness",
    )


def _hardness(scale: str, first: str, second: str | None, *, highest: bool) -> Hardness:
    ends = [float(one.replace(",", ".")) for one in (first, second) if one is not None]
    return Hardness(max(ends) if highest else min(ends), _SCALES[scale.upper()])
