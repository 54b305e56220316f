"""The kinds of part that are told by measuring, each with what is measured on it."""

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Final

from shared.errors import Ambiguous, InvalidInput
from shared.interchange.identification import (
    bearings,
    keys,
    o_rings,
    retaining_rings,
    shaft_seals,
    shims,
    threads,
)
from shared.interchange.identification.asking import Choice, Kind
from shared.interchange.identification.calling import (
    Asked,
    Called,
    UsualDoubt,
    is_bare,
    read_measured,
    read_number,
)
from shared.interchange.identification.model import Doubt, Measured

_LEAF: Final = UsualDoubt(
    threads.SEEN_MISFIT / threads.LEAF_TURNS,
    Doubt.RECTANGULAR,
    f"a gauge leaf laid on {threads.LEAF_TURNS} turns, whose misfit shows from"
    f" {threads.SEEN_MISFIT} mm on (common practice, no source)",
)
_SOFT_INSIDE: Final = UsualDoubt(
    0.1,
    Doubt.NORMAL,
    "a caliper inside a soft ring (standard uncertainty 0.1 mm; common practice, no source)",
)
_SOFT_SECTION: Final = UsualDoubt(
    0.05,
    Doubt.NORMAL,
    "a caliper closed on soft rubber (standard uncertainty 0.05 mm; common practice, no source)",
)
_COUNTING: Final = 0.5
"""Turns within which a count over an inch is right (common practice)."""


_MEASURED_ON: Final = MappingProxyType(
    {
        "not-said": shaft_seals.MeasuredOn.NOT_SAID,
        "seat": shaft_seals.MeasuredOn.SEAT,
        "seal": shaft_seals.MeasuredOn.SEAL,
    }
)
_IS_EXTERNAL: Final = MappingProxyType({"not-said": None, "shaft": True, "bore": False})


def _read_pitch(asked: Asked, texts: Mapping[str, str]) -> tuple[Asked, Called]:
    """Read the pitch, in mm or as turns per inch; the doubt of the diameters is not its own."""
    own = {"pitch"} & asked.readings.keys()
    rest = replace(
        asked, readings={name: text for name, text in asked.readings.items() if name not in own}
    )
    if own and "tpi" in texts:
        raise InvalidInput(
            "/tpi", "Both pitch and tpi are given.", "Give one of them.", "not-together"
        )
    if "tpi" in texts:
        return rest, _read_turns(texts)
    if not own:
        return rest, Called({}, ())
    _check_pitch_unit(asked)
    alone = Asked(
        {"pitch": asked.readings["pitch"]},
        asked.unit,
        {name: text for name, text in asked.plus_minus.items() if name == "pitch"},
        {name: text for name, text in asked.standard_uncertainty.items() if name == "pitch"},
    )
    return rest, read_measured(alone, {"pitch": _LEAF})


def _check_pitch_unit(asked: Asked) -> None:
    """Ask where diameters are in inches: few give a pitch so, most mean millimetres or turns."""
    text = asked.readings["pitch"].strip()
    if asked.unit not in {None, "mm"} and is_bare(text):
        raise Ambiguous(
            "/pitch",
            f"'{text[:40]}' has no unit, and the diameters are in {asked.unit}.",
            "Write the unit behind the pitch, or give tpi.",
            [f"{text[:40]} mm", f"{text[:40]} {asked.unit}", f"tpi={text[:40]}"],
        )


def _read_turns(texts: Mapping[str, str]) -> Called:
    count = read_number(texts["tpi"], "tpi", 2, 120)
    notes: tuple[str, ...] = ()
    width = _COUNTING
    if "tpi_plus_minus" in texts:
        width = read_number(texts["tpi_plus_minus"], "tpi_plus_minus", 0.01, 5)
    else:
        notes = (f"The turns per inch are taken as counted right within {_COUNTING}.",)
    measured = Measured(count, min(width, count / 2), Doubt.RECTANGULAR)
    return Called({"pitch": threads.pitch_from_turns_per_inch(measured)}, notes)


def _bearing(path: str, part: str, kind: bearings.BearingKind, *example: str) -> Kind:
    return Kind(
        path=path,
        part=part,
        dimensions={
            "bore": "Diameter of the bore; of a needle bearing without inner ring, under them.",
            "outside": "Outside diameter.",
            "width": "Width over the rings; assembled, for a tapered bearing.",
        },
        sizes=lambda state, _, __: bearings.sizes(state, kind),
        examples={
            **dict(zip(("bore", "outside", "width"), example, strict=False)),
            "stamped": example[3],
            "described": part.split(" ", 1)[1],
        },
        texts={
            "stamped": "The number on the bearing: compared with what was measured.",
            "described": "What a parts list calls it: compared with the number stamped.",
        },
        advise=bearings.advise,
        remark=_remark_on_stamp,
    )


def _remark_on_stamp(texts: Mapping[str, str], measured: Mapping[str, Measured]) -> tuple[str, ...]:
    stamped = texts.get("stamped")
    if stamped is None:
        return ()
    remarks = bearings.check_stamp(stamped, measured)
    if "described" in texts:
        remarks += bearings.check_described(texts["described"], stamped)
    return remarks


_BEARINGS: Final = (
    _bearing("ball-bearings", "a ball bearing", "ball", "20", "47", "14", "6204"),
    _bearing("roller-bearings", "a roller bearing", "roller", "25", "52", "15", "NU205"),
    _bearing("needle-bearings", "a needle bearing", "needle", "16", "22", "12", "HK1612"),
    _bearing(
        "tapered-bearings", "a tapered roller bearing", "tapered", "25", "52", "16.25", "30205"
    ),
    _bearing("thrust-bearings", "a thrust bearing", "thrust", "25", "42", "11", "51105"),
)

_THREADS: Final = Kind(
    path="threads",
    part="a thread",
    dimensions={
        "major": "Outside diameter of a screw, over unworn crests.",
        "minor": "Bore of a hole's thread, over its crests.",
        "pitch": "Pitch; plus_minus for all is not for it, but pitch_plus_minus.",
    },
    sizes=lambda state, chosen, measured: threads.sizes(
        state, threads.is_hole(chosen["internal"] == "true", measured)
    ),
    examples={"major": "6.30", "pitch": "1.0", "minor": "5.1", "tpi": "26", "tpi_plus_minus": "1"},
    choices={
        "internal": Choice(
            ("false", "true"),
            "true for the thread of a hole or nut (minor), false for a screw (major).",
        )
    },
    texts={
        "tpi": "Turns per inch, in place of pitch.",
        "tpi_plus_minus": "Turns within which tpi is right.",
    },
    advise=threads.advise,
    read=_read_pitch,
)

_SHAFT_SEALS: Final = Kind(
    path="shaft-seals",
    part="a rotary shaft seal",
    dimensions={
        "shaft": "Diameter of the shaft beside the worn track, or inside the lip of a loose seal.",
        "housing": "Bore that the seal sat in, or outside diameter of a loose seal.",
        "width": "Width of the seal.",
    },
    sizes=lambda state, chosen, _: shaft_seals.sizes(state, _MEASURED_ON[chosen["measured_on"]]),
    examples={"shaft": "25", "housing": "47", "width": "7"},
    choices={
        "measured_on": Choice(
            tuple(_MEASURED_ON), "Whether shaft and housing were measured on their seats or a seal."
        )
    },
    advise=shaft_seals.advise,
    holds_inch=False,
)

_O_RINGS: Final = Kind(
    path="o-rings",
    part="an O-ring",
    dimensions={
        "inside": "Inside diameter, the ring lying loose.",
        "section": "Thickness of the ring's cord, not squeezed by the jaws.",
    },
    sizes=lambda state, _, __: o_rings.sizes(state),
    examples={"inside": "25.0", "section": "3.5"},
    usual={"inside": _SOFT_INSIDE, "section": _SOFT_SECTION},
    advise=o_rings.advise,
)

_RETAINING_RINGS: Final = Kind(
    path="retaining-rings",
    part="a retaining ring",
    dimensions={
        "diameter": "Diameter of the shaft or bore beside the groove.",
        "groove": "Diameter of the groove.",
        "thickness": "Thickness of the ring.",
        "free": "Of the loose ring: inside diameter of a shaft ring, outside one of a bore ring.",
    },
    sizes=lambda state, chosen, _: retaining_rings.sizes(state, _IS_EXTERNAL[chosen["fits"]]),
    examples={"diameter": "25", "groove": "23.9", "thickness": "1.2", "free": "23.2"},
    choices={"fits": Choice(tuple(_IS_EXTERNAL), "Whether the ring sits on a shaft or in a bore.")},
    advise=retaining_rings.advise,
    holds_inch=False,
)

_KEYS: Final = Kind(
    path="keys",
    part="a parallel key",
    dimensions={
        "width": "Width over the unworn sides.",
        "height": "Height.",
        "length": "Length over all.",
    },
    sizes=lambda state, _, measured: keys.sizes(state, with_length="length" in measured),
    examples={"width": "8", "height": "7", "length": "40"},
    advise=keys.advise,
    holds_inch=False,
)

_SHIMS: Final = Kind(
    path="shims",
    part="a shim ring",
    dimensions={
        "inside": "Inside diameter.",
        "outside": "Outside diameter.",
        "thickness": "Thickness by micrometer.",
    },
    sizes=lambda state, _, measured: shims.sizes(state, with_thickness="thickness" in measured),
    examples={"inside": "25.1", "outside": "34.9", "thickness": "0.5"},
    advise=shims.advise,
    holds_inch=False,
)

KINDS: Final[tuple[Kind, ...]] = (
    *_BEARINGS,
    _THREADS,
    _SHAFT_SEALS,
    _O_RINGS,
    _RETAINING_RINGS,
    _KEYS,
    _SHIMS,
)
"""Each has its look-up."""
