"""The figures of two property classes side by side: proof, yield, tensile strength, hardness."""

from shared.errors import InvalidInput
from shared.fasteners.equivalence_model import Compared, compared
from shared.standards.hardness import HardnessScale, convert_hardness
from shared.standards.property_classes import ClassStrength

_NO_PROOF = "No proof stress is stated for stainless steel: its 0.2 % yield stands in."
_CONVERTED = "Converted by ISO 18265, a guide only."
_NO_HARDNESS = "One of the two states no hardness that can be set beside the other's."


def stress_figures(wanted: ClassStrength, offered: ClassStrength) -> tuple[Compared, ...]:
    """Return proof stress, yield and tensile strength (MPa) and the least hardness, compared."""
    return (*_strengths(wanted, offered, 1.0, 1.0, "MPa"), *hardness_figure(wanted, offered))


def load_figures(
    wanted: ClassStrength, wanted_area: float, offered: ClassStrength, offered_area: float
) -> tuple[Compared, ...]:
    """Return the same as loads (N) on stress areas in mm2, for screws of different threads."""
    return _strengths(wanted, offered, wanted_area, offered_area, "N")


def hardness_figure(wanted: ClassStrength, offered: ClassStrength) -> tuple[Compared, ...]:
    """Return the least hardness compared on one scale; nothing where neither states any.

    Vickers where both state it, else the Rockwell scale that both state, else Vickers with the
    other's Rockwell turned by ISO 18265.
    """
    if not _states_hardness(wanted) and not _states_hardness(offered):
        return ()
    if wanted.hv_least is not None and offered.hv_least is not None:
        return (compared("hardness", wanted.hv_least, offered.hv_least, "HV"),)
    if wanted.rockwell and wanted.rockwell == offered.rockwell:
        least, other = wanted.rockwell_least, offered.rockwell_least
        return (compared("hardness", least, other, wanted.rockwell),)
    least, other = _vickers(wanted), _vickers(offered)
    note = _NO_HARDNESS if least is None or other is None else _CONVERTED
    return (compared("hardness", least, other, "HV", note),)


def _strengths(
    wanted: ClassStrength, offered: ClassStrength, area: float, other_area: float, unit: str
) -> tuple[Compared, ...]:
    word = "stress" if unit == "MPa" else "load"
    both = wanted.proof is None and offered.proof is None
    either = wanted.proof is None or offered.proof is None
    proof = compared(
        f"proof {word}",
        area * (wanted.yield_least if wanted.proof is None else wanted.proof),
        other_area * (offered.yield_least if offered.proof is None else offered.proof),
        unit,
        _NO_PROOF if either else "",
    )
    found = [] if both else [proof]
    found += [
        compared(
            f"yield {'strength' if unit == 'MPa' else word}",
            area * wanted.yield_least,
            other_area * offered.yield_least,
            unit,
        ),
        compared(
            f"tensile {'strength' if unit == 'MPa' else word}",
            area * wanted.tensile_least,
            other_area * offered.tensile_least,
            unit,
        ),
    ]
    return tuple(found)


def _states_hardness(strength: ClassStrength) -> bool:
    return strength.hv_least is not None or strength.rockwell_least is not None


def _vickers(strength: ClassStrength) -> float | None:
    if strength.hv_least is not None or strength.rockwell_least is None:
        return strength.hv_least
    scale = HardnessScale(strength.rockwell)
    try:
        return convert_hardness(strength.rockwell_least, scale, HardnessScale.HV).value
    except InvalidInput:
        return None
