"""The nut on a screw: what it bears. Loads in N."""

from typing import Final

from shared.designations.model import Fastener
from shared.errors import InvalidInput
from shared.fasteners.joint import NutUsed
from shared.fasteners.strength import UNIFIED, fastening_area
from shared.standards.nuts import NutFamily, NutStyle, nut_carries, nut_class_names, nut_proof_load
from shared.standards.thread_model import ThreadSeries

_STROKES: Final = "||"
_COARSE: Final = frozenset({ThreadSeries.METRIC_COARSE, ThreadSeries.UNC})


def nut_used(
    fastener: Fastener,
    nut_class: str,
    style: NutStyle | None = None,
    is_older: bool | None = None,
    pointer: str = "/nut_class",
) -> NutUsed:
    """Return what a nut of a class on this screw bears without stripping.

    "8", on an inch thread "SAE 5" or "5"; "|8|" is the mark of an older one.
    ``is_older`` tells the older standard's lower nuts apart (0.8 d high, mark between two strokes);
    None: not known, the lesser load counts. Raises InvalidInput for a class without a load at this
    size. Sources: ISO 898-2, DIN 267-4, ISO 3506-2, SAE J995, as the table's rows say.
    """
    thread = fastener.thread
    name = " ".join(nut_class.split())
    if len(name) > len(_STROKES) and name[0] == name[-1] == "|":
        # The mark of the older, lower nuts as it stands on them.
        name, is_older = name.strip("| "), True
    if thread.series not in UNIFIED and not thread.is_metric:
        raise InvalidInput(
            pointer,
            f"No standard of nut classes covers {thread.designation}.",
            "Leave it out: the nut then counts as not checked.",
            "nut-class",
        )
    is_unified = thread.series in UNIFIED
    if is_unified and name.isdigit():
        name = f"SAE {name}"
    ways = (False, True) if is_older is None else (is_older,)
    found = [
        proof
        for older in ways
        for proof in (
            nut_proof_load(
                name,
                thread.major,
                fastening_area(thread),
                style=style,
                is_older=older,
                is_fine=thread.series not in _COARSE,
            ),
        )
        if proof is not None and (proof.family is NutFamily.SAE) is is_unified
    ]
    if not found:
        known = ", ".join(nut_class_names())
        raise InvalidInput(
            pointer,
            "No table has a proof load for a nut of this class, height and size.",
            f"Give one of: {known}; or leave it out: the nut then counts as not checked.",
            "nut-class",
        )
    proof = min(found, key=lambda one: one.load)
    notes = [proof.note] if proof.note else []
    if is_older is None and len(found) > 1:
        notes.append(
            f"The load of {proof.family} is taken: nobody said which standard the nut is of, and"
            " it is the less."
        )
    screw_class = fastener.property_class
    if screw_class is not None and not nut_carries(name, screw_class):
        notes.append(
            f"A nut of class {name} does not carry a screw of class {screw_class} to its breaking:"
            " it may strip first."
        )
    return NutUsed(f"{proof.name} ({proof.family}, {proof.style})", proof.load, tuple(notes))
