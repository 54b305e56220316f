"""Nuts at least as strong as one wanted: by proof load, and by the screws that they carry."""

from dataclasses import replace
from typing import Final

from shared.designations.fastener_names import name_of
from shared.designations.model import Fastener
from shared.fasteners.equivalence_model import Equivalent, Equivalents, Outcome, compared
from shared.fasteners.equivalence_traps import GENERAL, cautions_by_words, words_of
from shared.standards.nuts import (
    NutFamily,
    NutProof,
    NutStyle,
    nut_class_names,
    nut_proof_load,
)
from shared.standards.thread_model import Thread, ThreadSeries

_COARSE: Final = (ThreadSeries.METRIC_COARSE, ThreadSeries.UNC)
_FINE: Final = (ThreadSeries.METRIC_FINE, ThreadSeries.UNF, ThreadSeries.UNEF, ThreadSeries.UN)
_THIN: Final = frozenset({"thin", "half", "jam", "lock", "locknut"})
_KINDS: Final = frozenset(
    "nylon plastic insert locking self-locking prevailing castle castellated slotted slit crown"
    " acorn cap dome domed weld clinch captive flange flanged wing square serrated round".split()
)
"""Words of nuts that do more than hold a screw."""
_NUT_CAUTIONS: Final = (
    "A nut between strokes, |8|, or one of 0.8 d height (DIN 934) is of the older standard and"
    " carries about a tenth less.",
    "A nut of a higher class may take the place of a lower one; thin nuts carry half. Hardness of"
    " nuts is not compared.",
    "Locking, slotted and castle nuts are replaced by the same kind; self-locking ones are used as"
    " often as their maker says.",
)


def nut_equivalents(fastener: Fastener) -> Equivalents:
    """Return what may stand in for a nut of the same thread. Sources: the rows of the nut table."""
    thread = fastener.thread
    name = fastener.property_class
    if words_of(fastener) & _THIN:
        return _refused(fastener, "A thin nut is replaced like for like: its height is its work.")
    if name is None:
        return _refused(
            fastener,
            "No class is marked on the nut: it counts as the lowest, and what stood there is not"
            " known. Fit a nut of the screw's own class.",
        )
    wanted = _proof(name, thread)
    if wanted is None:
        return _refused(fastener, f"No table of the house has nuts {name} for this thread.")
    items = [
        _equivalent(fastener, wanted, offered)
        for offer in nut_class_names()
        for offered in (_proof(offer, thread), _proof(offer, thread, is_older=True))
        if offered is not None and _same_metal(wanted, offered)
    ]
    items.sort(key=lambda item: (list(Outcome).index(item.outcome), _proof_of(item)))
    cautions = (*cautions_by_words(fastener), *_NUT_CAUTIONS, *GENERAL)
    return Equivalents(fastener.canonical, name, False, None, tuple(items), cautions)


def _refused(fastener: Fastener, refusal: str) -> Equivalents:
    name = fastener.property_class
    cautions = (*_NUT_CAUTIONS, *GENERAL)
    return Equivalents(fastener.canonical, name, name is None, refusal, (), cautions)


def _proof(name: str, thread: Thread, *, is_older: bool = False) -> NutProof | None:
    is_fine = thread.series in _FINE
    if thread.stress_area is None or not (is_fine or thread.series in _COARSE):
        return None
    if name.startswith("SAE") is thread.is_metric:
        return None
    return nut_proof_load(
        name, thread.major, thread.stress_area, is_older=is_older, is_fine=is_fine
    )


def _same_metal(wanted: NutProof, offered: NutProof) -> bool:
    stainless = NutFamily.STAINLESS
    if (wanted.family is stainless) is not (offered.family is stainless):
        return False
    # Of stainless nuts only the same steel: another one corrodes otherwise or seizes.
    return wanted.family is not stainless or _steel(wanted.name) == _steel(offered.name)


def _steel(name: str) -> str:
    return name.partition("-")[0]


def _equivalent(fastener: Fastener, wanted: NutProof, offered: NutProof) -> Equivalent:
    figure = compared("proof load", wanted.load, offered.load, "N")
    is_older = offered.family is NutFamily.OLDER
    is_same = offered.name == wanted.name and offered.family is wanted.family
    is_thin = offered.style is NutStyle.THIN
    reasons: tuple[str, ...] = ()
    if is_same:
        outcome = Outcome.SAME
    elif figure.shortfall:
        outcome = Outcome.WEAKER
        reasons = (f"proof load {offered.load:.0f} N for {wanted.load:.0f} N",)
    elif is_thin or is_older or offered.style is not wanted.style:
        outcome = Outcome.NOT_COMPARABLE
        reasons = ("Of another height, so the screw's thread meets less or more of it.",)
    elif kinds := sorted(words_of(fastener) & _KINDS):
        outcome = Outcome.NOT_COMPARABLE
        reasons = (f"Only as a nut of the same kind ({', '.join(kinds)}).",)
    else:
        outcome = Outcome.AT_LEAST
    mark = f"|{offered.name}|" if is_older else offered.name
    named = name_of(replace(fastener, property_class=offered.name, words=()))
    return Equivalent(
        designation=f"{named}, older" if is_older else named,
        thread=fastener.thread.designation,
        property_class=mark,
        is_marked=True,
        outcome=outcome,
        figures=(figure,),
        reasons=reasons,
        traps=(offered.note,) if offered.note else (),
        nut_classes=(),
        standard=offered.family.value,
        edition=offered.edition,
    )


def _proof_of(item: Equivalent) -> float:
    (figure,) = item.figures
    assert figure.offered is not None
    return figure.offered
