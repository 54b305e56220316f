"""Screws named as the published torque tables name them."""

from functools import cache

from shared.designations.model import Fastener, FastenerForm
from shared.standards.thread_model import Thread, ThreadSeries
from shared.standards.threads import thread_named, threads

SERIES = ("", " UNC", " UNF", " UNS", " UN")


@cache
def thread_of(name: str) -> Thread:
    """ "M8" is coarse; "1/4-28" is whatever Unified series has it."""
    for series in SERIES:
        found = thread_named(name + series)
        if found is not None:
            return found
    return next(
        one for one in threads() if one.nominal == name and one.series is ThreadSeries.METRIC_COARSE
    )


def screw(thread: str, property_class: str | None = None, *words: str, **more) -> Fastener:
    return Fastener(
        f"{thread} {property_class or ''}".strip(),
        thread_of(thread),
        FastenerForm.SCREW,
        property_class=property_class,
        words=words,
        **more,
    )
