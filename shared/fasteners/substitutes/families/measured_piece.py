"""A piece whose size was measured, with a certificate, used as a gauge. Lengths in mm.

What nobody measured gauges nothing: without a certificate and its uncertainty the answer is no.
"""

from collections.abc import Iterator
from math import isfinite
from typing import Final

from shared.fasteners.model import FeatureKind, ItemForm, ToolFunction
from shared.fasteners.substitutes.cautions import cautions_for, plain_name
from shared.fasteners.substitutes.common import (
    COMMON_PRACTICE,
    count_check,
    missing,
    ratio,
    room_check,
    use_check,
)
from shared.fasteners.substitutes.families.guiding import not_borne, tolerance_of
from shared.fasteners.substitutes.model import (
    Candidate,
    Check,
    Drawer,
    Family,
    PartUsed,
    Piece,
    Requirement,
)
from shared.fasteners.substitutes.refusals import Refusal

NOT_TRACEABLE: Final = "not-traceable"
SIZES: Final = (FeatureKind.LENGTH, FeatureKind.THICKNESS, FeatureKind.OUTSIDE_DIAMETER)
COVERAGE: Final = 2.0
"""Standard uncertainties counted against the piece: about 95 % (JCGM 100, from memory)."""

_FORMS: Final = (ItemForm.MEASURED_PIECE, ItemForm.PIN)
_BASIS: Final = "twice the standard uncertainty: JCGM 100 (GUM), from memory"
_NO_CERTIFICATE: Final = frozenset(
    "no none not nil n na nobody without missing lost expired pending unknown uncertified"
    " uncalibrated untraceable tba tbd never false 0".split()
)
"""Words that begin what people write where there is no certificate."""
_STEPS: Final = (
    "Read the certificate: its number, date and size must be those of the piece, and its date"
    " within what the shop or the maker allows.",
    "Bring piece and work to the same temperature, 20 °C where it can be had (ISO 1), for an hour.",
    "Clean both, look for dents and rust, and let the piece slide under its own weight: no force,"
    " no clamp, no blow.",
    "Stop and measure anew when it does not go alike in three trials. Write down which piece and"
    " which certificate.",
)
_NOTE: Final = "The certificate was not read here: that it is genuine and in date is for the user."


def candidates(requirement: Requirement, drawer: Drawer) -> Iterator[Candidate]:
    """Yield every measured piece and pin of the drawer, tested as a gauge."""
    asked = _asked_for(requirement)
    use = use_check(requirement)
    for piece in drawer.of(*_FORMS):
        yield Candidate(
            Family.MEASURED_PIECE,
            (PartUsed(piece, 1, "Clean it; do not grind, polish or cut it."),),
            (
                use,
                _certificate(piece),
                *_size_and_room(requirement, piece, asked),
                count_check(piece, 1),
            ),
            steps=_STEPS,
            cautions=cautions_for(requirement, Family.MEASURED_PIECE),
            notes=(_NOTE, *not_borne(requirement)),
        )


def why_not_traceable(requirement: Requirement, drawer: Drawer) -> Refusal | None:
    """Refuse gauging where no piece in the drawer has a certificate; None: it is no such case."""
    if requirement.function is not ToolFunction.GAUGE:
        return None
    if any(_certificate(piece).passes for piece in drawer.of(*_FORMS)):
        return None
    return Refusal(
        NOT_TRACEABLE,
        "Gauging that is not traceable is refused: no piece here has a certificate of its measured"
        " size. Have one measured, or use the gauge that the procedure names.",
    )


def _asked_for(requirement: Requirement) -> tuple[FeatureKind, float] | Check:
    """Return the one size that is to be gauged."""
    name = "size"
    stated = [
        (kind, size) for kind in SIZES if (size := requirement.size(kind)) is not None and size > 0
    ]
    if not stated:
        told = "State the size to be gauged: a length, a thickness or an outside diameter."
        return missing(name, "length", told)
    if len(stated) > 1:
        told = "Several sizes are stated: one piece gauges one size. State them one at a time."
        return Check(name, False, told, COMMON_PRACTICE)
    return stated[0]


def _certificate(piece: Piece) -> Check:
    name, told = "certificate", (piece.certificate or "").strip()
    if _is_none(told):
        detail = f"{piece.name} has no certificate: what nobody measured gauges nothing."
        return missing(name, "certificate", detail)
    return Check(name, True, f'Certificate "{told}", as stated.', COMMON_PRACTICE)


def _is_none(told: str) -> bool:
    """Whether words in a certificate's place say that there is none; "No. 4711" is one."""
    first, second = (*plain_name(told).split(), "", "")[:2]
    is_number = first == "no" and second[:1].isdigit()
    return not first or (first in _NO_CERTIFICATE and not is_number)


def _size_and_room(
    requirement: Requirement, piece: Piece, asked: tuple[FeatureKind, float] | Check
) -> tuple[Check, ...]:
    if isinstance(asked, Check):
        return (asked,)
    kind, wanted = asked
    return _size(requirement, piece, kind, wanted), room_check(requirement, wanted)


def _size(requirement: Requirement, piece: Piece, kind: FeatureKind, wanted: float) -> Check:
    name = "size"
    allowed = tolerance_of(requirement, name, "how far off the gauge may be")
    if isinstance(allowed, Check):
        return allowed
    size = piece.length if kind is FeatureKind.LENGTH else piece.size(kind)
    if size is None:
        told = f"State the measured {kind.value} of {piece.name}."
        return missing(name, kind.value, told)
    doubt = piece.uncertainty
    if doubt is None or not (isfinite(doubt) and doubt > 0):
        told = f"State the standard uncertainty of {piece.name}, from its certificate."
        return missing(name, "uncertainty", told)
    off = abs(size - wanted) + COVERAGE * doubt
    detail = (
        f"{size:.6g} mm for {wanted:.6g} mm: up to {off:.3g} mm off with its uncertainty; allowed"
        f" {allowed:.3g} mm."
    )
    return ratio(name, allowed, off, detail, _BASIS)
