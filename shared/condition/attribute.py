"""Judging what was seen: a grade in words, and whether the way of looking can settle it."""

from types import MappingProxyType
from typing import Final

from shared.assemblies.model import Characteristic, Grade, InspectionMethod
from shared.condition.judgement import Judged
from shared.condition.model import Finding, Verdict, Zone

_WORSE_LAST: Final = tuple(Grade)

SETTLED_ALSO_BY: Final = MappingProxyType(
    {
        # Anything shows what the bare eye shows.
        InspectionMethod.BY_EYE: frozenset(InspectionMethod),
        # What magnetic particles were used on is magnetic, and there they show as much and more.
        InspectionMethod.PENETRANT: frozenset({InspectionMethod.MAGNETIC}),
    }
)
"""Settling method -> what settles the same question as well. Common practice, no source."""

_NEVER_FOR_CRACKS: Final = frozenset({None, InspectionMethod.BY_EYE, InspectionMethod.GAUGE})

_METHOD_WORDS: Final = MappingProxyType(
    {
        InspectionMethod.GAUGE: "with a gauge",
        InspectionMethod.BY_EYE: "by eye",
        InspectionMethod.PENETRANT: "by penetrant",
        InspectionMethod.MAGNETIC: "by magnetic particles",
        InspectionMethod.PRESSURE_TEST: "by pressure test",
    }
)


def judge_attribute(finding: Finding, characteristic: Characteristic) -> Judged:
    """Judge a grade; ``finding.grade`` must be there.

    Worse than the worst acceptable grade is nonconforming however it was seen; any crack is. An
    acceptable grade counts only if the method settles the question: "none seen by eye" is not "no
    crack". No acceptable grade on record gives ``indeterminate``.
    """
    grade = finding.grade
    assert grade is not None
    seen = f"{characteristic.name}: {grade} {_METHOD_WORDS[finding.method]}"
    worst = Grade.NONE if characteristic.is_crack else characteristic.worst_acceptable_grade
    if worst is None:
        text = f"{seen}: indeterminate, no acceptable grade on record"
        return Judged(Verdict.INDETERMINATE, Zone.NO_LIMIT, None, text)
    if _WORSE_LAST.index(grade) > _WORSE_LAST.index(worst):
        rule = "a crack is never acceptable" if characteristic.is_crack else f"worst is {worst}"
        return Judged(Verdict.NONCONFORMING, Zone.BEYOND, None, f"{seen}: nonconforming, {rule}")
    zone = Zone.WITHIN_NEW if grade is Grade.NONE else Zone.WITHIN_SERVICE
    unsettled = _why_not_settled(finding, characteristic)
    if unsettled:
        return Judged(Verdict.INDETERMINATE, zone, None, f"{seen}: indeterminate, {unsettled}")
    return Judged(
        Verdict.CONFORMING, zone, None, f"{seen}: conforming, worst acceptable is {worst}"
    )


def _why_not_settled(finding: Finding, characteristic: Characteristic) -> str | None:
    """Say why an acceptable grade does not yet count as good; None: it does."""
    settling = _settling_method(characteristic)
    if settling is not None and not _settles(finding.method, settling):
        seen = f"seen {_METHOD_WORDS[finding.method]}"
        doubt = f"none {seen} is not 'no crack'" if characteristic.is_crack else f"only {seen}"
        return f"{doubt}: settle it {_METHOD_WORDS[settling]}"
    if characteristic.is_crack and finding.is_cleaned is False:
        return "not cleaned: clean the part and look again"
    return None


def _settling_method(characteristic: Characteristic) -> InspectionMethod | None:
    """Return the method that settles it; a crack is never settled by eye or with a gauge."""
    settling = characteristic.settling_method
    if characteristic.is_crack and settling in _NEVER_FOR_CRACKS:
        return InspectionMethod.PENETRANT
    return settling


def _settles(method: InspectionMethod, settling: InspectionMethod) -> bool:
    return method is settling or method in SETTLED_ALSO_BY.get(settling, frozenset())
