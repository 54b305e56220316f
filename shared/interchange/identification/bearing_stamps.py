"""What a bearing's stamp and a list's description say against its measured sizes. Sizes in mm.

Stamp, description and sizes are three witnesses: where they contradict, nothing is decided, and
what to measure or look at is named. Slacks are the authors' judgement (common practice).
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from shared.designations.bearings import read_bearing
from shared.designations.described import type_conflict
from shared.designations.model import Bearing
from shared.designations.text import tidy
from shared.errors import InvalidInput
from shared.interchange.identification.model import Doubt, Measured
from shared.standards.bearings import bearing_rows
from shared.standards.thread_geometry import MM_PER_INCH

DIMENSIONS: Final = ("bore", "outside", "width")

_SLACK: Final = MappingProxyType({"bore": 0.06, "outside": 0.06, "width": 0.3})
"""Beyond the reading's doubt: made limits of every class, dirt, a burr."""
_DOUBTS: Final = 3.0
"""Standard uncertainties within which a reading agrees."""
_TIGHT_POCKET: Final = 1.5
"""An inch bearing whose outside diameter differs by no more is taken by mistake, mm."""
_MOST_NAMED: Final = 3


def check_stamp(stamped: str, measured: Mapping[str, Measured]) -> tuple[str, ...]:
    """Return what the number stamped on a bearing says against its measured sizes.

    Empty: they agree. A stamp that cannot be read, has two meanings, or names a number without
    sizes is said so. Sizes in mm.
    """
    try:
        found = read_bearing(tidy(stamped, "/stamped"))
    except InvalidInput as error:
        return (f"The stamp cannot be read: {error.detail}",)
    if not found:
        return (f"'{stamped}' is no bearing number of the house's tables: go by the sizes.",)
    if len(found) > 1:
        names = ", ".join(one.canonical for one in found)
        return (f"The stamp can mean {names}: the measured sizes decide.",)
    stamp = found[0]
    return (*_against_sizes(stamp, measured), *stamp.notes)


def _against_sizes(stamp: Bearing, measured: Mapping[str, Measured]) -> tuple[str, ...]:
    nominal = {"bore": stamp.bore, "outside": stamp.outside, "width": stamp.width}
    known = {name: size for name, size in nominal.items() if size is not None}
    apart = [
        name
        for name, size in known.items()
        if name in measured and not _agrees(name, size, measured[name])
    ]
    if not apart:
        return ()
    name, reading = apart[0], measured[apart[0]]
    listed = " x ".join(f"{size:g}" for size in known.values())
    missing = [one for one in DIMENSIONS if one not in measured]
    ask = f" Measure the {' and '.join(map(_named, missing))} before ordering." if missing else ""
    notes = [
        f"Stamp and {_named(name)} contradict: {stamp.basic} is {listed} mm, the {_named(name)}"
        f" measures {reading.value:.3f} mm ({abs(reading.value - known[name]):.3f} mm apart).{ask}"
    ]
    if name == "bore" and stamp.outside is not None and stamp.width is not None:
        notes.extend(_other_bores(stamp, stamp.outside, stamp.width, reading))
    if not missing:
        notes.extend(_of_measured_size(stamp, measured))
    notes.append("Neither proves the other wrong: do not let one overwrite the other.")
    return tuple(notes)


def _of_measured_size(stamp: Bearing, measured: Mapping[str, Measured]) -> tuple[str, ...]:
    """Name bearings of the stamped kind that have the measured sizes."""
    fitting = [
        row.designation
        for row in bearing_rows()
        if row.type_name == stamp.type_name
        and all(_agrees(name, getattr(row, name), measured[name]) for name in DIMENSIONS)
    ]
    if not fitting:
        return ()
    return (f"The measured sizes are those of {', '.join(fitting[:_MOST_NAMED])}.",)


def _other_bores(
    stamp: Bearing, outside: float, width: float, reading: Measured
) -> tuple[str, ...]:
    """The plan with an inch bore; inch bearings of that bore that are nearly as large."""
    notes = []
    sixteenths = round(reading.value / MM_PER_INCH * 16)
    variant = sixteenths * MM_PER_INCH / 16
    if sixteenths and _agrees("bore", variant, reading):
        notes.append(
            f"It may be the inch-bore variant of the {stamp.basic} plan: {sixteenths / 16:g} in"
            f" ({variant:g} mm) x {outside:g} x {width:g} mm (trade practice, from memory)."
        )
    for row in bearing_rows():
        if not row.is_inch or row.is_tapered or not _agrees("bore", row.bore, reading):
            continue
        apart = abs(row.outside - outside)
        if 0 < apart <= _TIGHT_POCKET:
            notes.append(
                f"{row.designation} ({row.bore:g} x {row.outside:g} x {row.width:g} mm) only if the"
                f" outside diameter is {row.outside:g} mm: it differs by {apart:.3f} mm."
            )
    return tuple(notes)


def _agrees(dimension: str, nominal: float, reading: Measured) -> bool:
    """Whether the reading can be of a bearing with this nominal dimension."""
    doubts = 1.0 if reading.doubt is Doubt.RECTANGULAR else _DOUBTS
    return abs(nominal - reading.value) <= doubts * reading.width + _SLACK[dimension]


def _named(dimension: str) -> str:
    return "outside diameter" if dimension == "outside" else dimension


def check_described(described: str, stamped: str) -> tuple[str, ...]:
    """Return what a list's description says against the number: empty where they agree.

    A "taper roller bearing" whose number is a ball bearing's is stopped, not decided.
    """
    try:
        found = read_bearing(tidy(stamped, "/stamped"))
    except InvalidInput:
        return ()
    if not found:
        return ()
    conflict = type_conflict(described, found[0].basic, {one.type_name for one in found})
    return () if conflict is None else (conflict,)
