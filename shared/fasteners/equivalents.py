"""Fasteners at least as strong as one wanted, by proof, yield, tensile strength and hardness.

The same thread first; then the nearest thread of the other family, as a comparison of loads only:
another thread never goes into the same hole or nut. Nothing is rounded up: SAE grade 8 falls short
of 10.9 by a third of a per cent, and the answer says so. Sources: the rows of the tables of
property classes (ISO 898-1, ISO 3506-1, SAE J429); traps are common practice.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from shared.designations.fastener_names import name_of
from shared.designations.model import Fastener, FastenerForm
from shared.fasteners.equivalence_figures import load_figures, stress_figures
from shared.fasteners.equivalence_model import Compared, Equivalent, Equivalents, Outcome
from shared.fasteners.equivalence_traps import (
    DIPPED,
    GENERAL,
    cautions_by_words,
    is_less_resistant,
    traps_of,
    why_class_is_unknown,
    why_nothing_stands_in,
    words_of,
)
from shared.fasteners.nut_equivalents import nut_equivalents
from shared.standards.nuts import nut_classes_for
from shared.standards.property_classes import (
    ClassStrength,
    class_names,
    lowest_class,
    strength_of,
    why_no_strength,
)
from shared.standards.thread_model import Thread, ThreadSeries
from shared.standards.threads import threads_of

_NOT_KNOWN: Final = (
    "What the original was is not known: no mark is no proof that it was weak. Read the mark on its"
    " head, or ask the maker for the class."
)
_ORDER: Final = (
    Outcome.SAME,
    Outcome.AT_LEAST,
    Outcome.NOT_COMPARABLE,
    Outcome.WEAKER,
    Outcome.OTHER_THREAD,
)
_UNIFIED: Final = (ThreadSeries.UNC, ThreadSeries.UNF, ThreadSeries.UNEF, ThreadSeries.UN)
_METRIC: Final = (ThreadSeries.METRIC_COARSE, ThreadSeries.METRIC_FINE)
_NEAR: Final = 0.15
"""Threads of the other family farther off than this share of the diameter are no neighbours."""
_COMMON: Final = 0.1
"""Sizes less common than this are not offered from the other family."""
_WHOLE_FROM: Final = 100.0
"""From here on a figure is told in words without decimals."""
_STUDS_ONLY: Final = frozenset({"SAE 4", "SAE 8.1"})


def equivalents(fastener: Fastener) -> Equivalents:
    """Return what may stand in for a fastener, the nearest in strength first.

    Shear bolts, stretch bolts and fasteners on which a life hangs are refused with the reason, as
    are threads that no table of classes is for and sizes beyond a standard's.
    """
    refusal = why_nothing_stands_in(fastener) or why_class_is_unknown(fastener)
    if refusal is not None:
        return _refused(fastener, refusal)
    if fastener.form is FastenerForm.NUT:
        return nut_equivalents(fastener)
    thread = fastener.thread
    if thread.series not in _METRIC + _UNIFIED:
        return _refused(
            fastener, f"No table of property classes in the house is for {thread.series} threads."
        )
    is_assumed = fastener.property_class is None
    name = fastener.property_class or lowest_class(is_metric=thread.is_metric)
    wanted = _strength(name, thread, fastener.length)
    if wanted is None:
        why = why_no_strength(name, thread.major, is_metric=thread.is_metric)
        return _refused(fastener, why or f"Class {name} is not known at this size.")
    items = list(_same_thread(fastener, wanted, is_assumed))
    if not is_assumed:
        items += _other_threads(fastener, wanted)
    items.sort(key=lambda item: (_ORDER.index(item.outcome), _distance(item)))
    cautions = (*cautions_by_words(fastener), *GENERAL)
    if is_assumed:
        cautions = (_NOT_KNOWN, *cautions)
    return Equivalents(fastener.canonical, name, is_assumed, None, tuple(items), cautions)


def _refused(fastener: Fastener, refusal: str) -> Equivalents:
    is_assumed = fastener.property_class is None
    return Equivalents(
        fastener.canonical, fastener.property_class, is_assumed, refusal, (), GENERAL
    )


def _strength(name: str, thread: Thread, length: float | None) -> ClassStrength | None:
    return strength_of(name, thread.major, is_metric=thread.is_metric, length=length)


def _same_thread(
    fastener: Fastener, wanted: ClassStrength, is_assumed: bool
) -> Iterator[Equivalent]:
    for name in class_names():
        offered = _strength(name, fastener.thread, fastener.length)
        if offered is None or (_is_twin(name) and not wanted.is_stainless):
            continue
        figures = stress_figures(wanted, offered)
        outcome, reasons = _judged(fastener, wanted, offered, figures, is_assumed)
        yield _equivalent(fastener, fastener.thread, wanted, offered, outcome, figures, reasons)
    lowest = _strength(
        lowest_class(is_metric=fastener.thread.is_metric), fastener.thread, fastener.length
    )
    if lowest is not None:
        yield _unmarked(fastener, wanted, lowest)


def _is_twin(name: str) -> bool:
    """Tell whether a stainless class has the figures of A2 and A4: named only among its kind."""
    return name[:2] in {"A1", "A3", "A5"}


def _judged(
    fastener: Fastener,
    wanted: ClassStrength,
    offered: ClassStrength,
    figures: tuple[Compared, ...],
    is_assumed: bool,
) -> tuple[Outcome, tuple[str, ...]]:
    """Return the outcome for the same thread and the reasons; the gravest reason decides."""
    short = [figure for figure in figures if figure.shortfall]
    if short:
        return Outcome.WEAKER, tuple(_shortfall_words(figure) for figure in short)
    if is_assumed:
        return Outcome.NOT_COMPARABLE, (f"Against {wanted.name} alone; the original is not known.",)
    if offered.name == wanted.name:
        return Outcome.SAME, ()
    doubts = [figure.note for figure in figures if figure.shortfall is None]
    if wanted.is_stainless is not offered.is_stainless:
        doubts.append("Another metal: strength alone does not make it a stand-in.")
    if is_less_resistant(wanted, offered):
        doubts.append("A stainless steel that corrodes sooner, or is not stabilised.")
    if words_of(fastener) & DIPPED:
        doubts.append("The original is galvanised: plain threads are not of its limits.")
    if offered.name in _STUDS_ONLY and "stud" not in words_of(fastener):
        doubts.append("The standard has this grade for studs only.")
    if doubts:
        return Outcome.NOT_COMPARABLE, tuple(doubts)
    return Outcome.AT_LEAST, ()


def _other_threads(fastener: Fastener, wanted: ClassStrength) -> Iterator[Equivalent]:
    """Yield, for the nearest threads of the other family, the classes either side of the loads."""
    own = fastener.thread
    series = _UNIFIED[:2] if own.is_metric else _METRIC
    for thread in (_nearest(own, one) for one in series):
        if thread is None or thread.stress_area is None or own.stress_area is None:
            continue
        enough: list[tuple[ClassStrength, tuple[Compared, ...]]] = []
        short: list[tuple[ClassStrength, tuple[Compared, ...]]] = []
        for name in class_names():
            offered = _strength(name, thread, fastener.length)
            if offered is None or offered.is_stainless is not wanted.is_stainless:
                continue
            if name in _STUDS_ONLY and "stud" not in words_of(fastener):
                continue
            figures = (
                *load_figures(wanted, own.stress_area, offered, thread.stress_area),
                *stress_figures(wanted, offered),
            )
            loads = [figure for figure in figures if figure.unit == "N"]
            (short if any(load.shortfall for load in loads) else enough).append((offered, figures))
        nearest = [
            *sorted(enough, key=lambda pair: pair[0].tensile_least)[:1],
            *sorted(short, key=lambda pair: -pair[0].tensile_least)[:1],
        ]
        for offered, figures in nearest:
            reasons = (
                f"{thread.designation} is not {own.designation}: only where screw and hole, or"
                " screw and nut, are changed together.",
                *(_shortfall_words(figure) for figure in figures if figure.shortfall),
            )
            yield _equivalent(
                fastener, thread, wanted, offered, Outcome.OTHER_THREAD, figures, reasons
            )


def _nearest(own: Thread, series: ThreadSeries) -> Thread | None:
    """Return the thread nearest in diameter, then in pitch; None beyond the series' sizes."""
    nearest = min(
        (thread for thread in threads_of(series) if thread.commonness >= _COMMON),
        key=lambda thread: (abs(thread.major - own.major), abs(thread.pitch - own.pitch)),
        default=None,
    )
    if nearest is None or abs(nearest.major - own.major) > _NEAR * own.major:
        return None
    return nearest


def _equivalent(
    fastener: Fastener,
    thread: Thread,
    wanted: ClassStrength,
    offered: ClassStrength,
    outcome: Outcome,
    figures: tuple[Compared, ...],
    reasons: tuple[str, ...],
) -> Equivalent:
    traps = traps_of(wanted, offered, is_same_thread=outcome is not Outcome.OTHER_THREAD)
    return Equivalent(
        designation=_named(fastener, thread, offered.name),
        thread=thread.designation,
        property_class=offered.name,
        is_marked=True,
        outcome=outcome,
        figures=figures,
        reasons=reasons,
        traps=(*traps, offered.note) if offered.note else traps,
        nut_classes=nut_classes_for(offered.name),
        standard=offered.standard,
        edition=offered.edition,
    )


def _unmarked(fastener: Fastener, wanted: ClassStrength, lowest: ClassStrength) -> Equivalent:
    """Return the unmarked screw as an offer: it counts as the lowest class, and no better."""
    figures = stress_figures(wanted, lowest)
    short = tuple(_shortfall_words(figure) for figure in figures if figure.shortfall)
    return Equivalent(
        designation=_named(fastener, fastener.thread, None),
        thread=fastener.thread.designation,
        property_class=lowest.name,
        is_marked=False,
        outcome=Outcome.WEAKER if short else Outcome.NOT_COMPARABLE,
        figures=figures,
        reasons=short or ("Nothing is marked, so nothing is promised.",),
        traps=(f"Unmarked counts as the lowest class, {lowest.name}.",),
        nut_classes=nut_classes_for(lowest.name),
        standard=lowest.standard,
        edition=lowest.edition,
    )


def _named(fastener: Fastener, thread: Thread, class_name: str | None) -> str:
    """Return the one name of the fastener with another class, and maybe on another thread."""
    tolerance = fastener.tolerance_class if thread is fastener.thread else None
    return name_of(
        replace(
            fastener, thread=thread, property_class=class_name, tolerance_class=tolerance, words=()
        )
    )


def _distance(item: Equivalent) -> tuple[float, float]:
    """Order within an outcome: least short first, then the nearest in tensile strength."""
    tensile = next(figure for figure in item.figures if figure.what.startswith("tensile"))
    assert tensile.wanted is not None and tensile.offered is not None
    short = sum(figure.shortfall_percent or 0.0 for figure in item.figures)
    return short, abs(tensile.offered / tensile.wanted - 1)


def _shortfall_words(figure: Compared) -> str:
    share = "" if figure.shortfall_percent is None else f" ({figure.shortfall_percent:.2g} % short)"
    assert figure.wanted is not None and figure.offered is not None
    offered, wanted = _in_words(figure.offered), _in_words(figure.wanted)
    return f"{figure.what} {offered} for {wanted} {figure.unit}{share}"


def _in_words(value: float) -> str:
    return f"{value:.0f}" if value >= _WHOLE_FROM else f"{value:.3g}"
