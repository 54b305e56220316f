"""Whether what wedges between finished surfaces is surely softer than they are."""

from collections.abc import Iterator
from typing import Final, NamedTuple

from shared.errors import InvalidInput
from shared.fasteners.substitutes.model import Check, Hardness, Piece, Requirement
from shared.standards.hardness import HardnessScale, convert_hardness

NAME: Final = "softness"
BASIS: Final = (
    "a quarter softer in HV or HBW, 8 HRC, 20 HRB: common practice, no source;"
    " conversions ISO 18265 table A.1, from memory"
)

_RATIO: Final = 1.25
_POINTS: Final = {HardnessScale.HRC: 8.0, HardnessScale.HRB: 20.0}
_REACH: Final = {
    HardnessScale.HV: (0.0, 3000.0),
    HardnessScale.HBW: (0.0, 650.0),
    HardnessScale.HRB: (10.0, 100.0),
    HardnessScale.HRC: (20.0, 70.0),
}
"""Where a reading means something: ISO 6506, 6507, 6508, from memory."""


class _Pair(NamedTuple):
    """The hardest that the tool may be and the softest that the work may be, on one scale."""

    tool_most: float
    work_least: float
    scale: HardnessScale
    note: str


def softness_check(piece: Piece, requirement: Requirement) -> Check:
    """Check that a piece is softer than the work, by what is measured on both.

    On one scale the readings are compared as they are. On two scales one is converted, and only
    of unalloyed or low-alloy steel, with the band of the conversion against the tool; where both
    can be, the worse answer counts. No other conversion has a source: refused.
    """
    tool, work = piece.hardness, requirement.workpiece_hardness
    if tool is None:
        return _missing("hardness", f"State the hardness of {piece.name}, as measured.")
    if work is None:
        return _missing("workpiece_hardness", "State the hardness of the work.")
    wrong = _unfit(tool, piece.name) or _unfit(work, "the work")
    if wrong is not None:
        return Check(NAME, False, wrong, BASIS)
    if tool.scale is work.scale:
        return _compared(_Pair(tool.value, work.value, tool.scale, "as measured"), tool, work)
    return _on_two_scales(tool, work, piece, requirement)


def _on_two_scales(tool: Hardness, work: Hardness, piece: Piece, requirement: Requirement) -> Check:
    # A material left out would spare a conversion that may come out worse: both are wanted.
    if piece.material is None:
        return _missing("material", f"State what {piece.name} is made of: two scales stand here.")
    if requirement.workpiece is None:
        return _missing("workpiece", "State the work's material: two scales stand here.")
    pairs = tuple(_converted(tool, work, piece.material.is_steel, requirement.workpiece.is_steel))
    if not pairs:
        detail = (
            f"{_told(tool)} and {_told(work)} have no sourced conversion for these materials:"
            " measure both on one scale."
        )
        return Check(NAME, False, detail, BASIS)
    return _compared(min(pairs, key=_margin), tool, work)


def _converted(
    tool: Hardness, work: Hardness, tool_is_steel: bool, work_is_steel: bool
) -> Iterator[_Pair]:
    if work_is_steel:
        try:
            found = convert_hardness(work.value, work.scale, tool.scale)
        except InvalidInput:
            pass
        else:
            yield _Pair(tool.value, found.least, tool.scale, "the work's converted, low end")
    if tool_is_steel:
        try:
            found = convert_hardness(tool.value, tool.scale, work.scale)
        except InvalidInput:
            pass
        else:
            yield _Pair(found.most, work.value, work.scale, "the tool's converted, high end")


def _margin(pair: _Pair) -> float:
    points = _POINTS.get(pair.scale)
    if points is None:
        return pair.work_least / pair.tool_most / _RATIO
    return (pair.work_least - pair.tool_most) / points


def _compared(pair: _Pair, tool: Hardness, work: Hardness) -> Check:
    margin, points = _margin(pair), _POINTS.get(pair.scale)
    wanted = f"{_RATIO:g} times" if points is None else f"{points:g} {pair.scale} above"
    detail = (
        f"Tool {_told(tool)}, work {_told(work)}: {pair.tool_most:.4g} against"
        f" {pair.work_least:.4g} {pair.scale} ({pair.note}); the work must be {wanted} the tool."
    )
    return Check(NAME, margin >= 1, detail, BASIS, margin)


def _unfit(hardness: Hardness, what: str) -> str | None:
    reach = _REACH.get(hardness.scale)
    if reach is None:
        return f"{what}: tensile strength is no hardness. Measure it in HV, HBW, HRB or HRC."
    least, most = reach
    if not (least <= hardness.value <= most and hardness.value > 0):
        return (
            f"{what}: {_told(hardness)} is no reading of that scale, which reaches from {least:g}"
            f" to {most:g}."
        )
    return None


def _told(hardness: Hardness) -> str:
    return f"{hardness.value:.4g} {hardness.scale}"


def _missing(member: str, detail: str) -> Check:
    return Check(NAME, False, detail, BASIS, missing=member)
