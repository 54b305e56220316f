"""What the usual gauges are good for, where a finding states no uncertainty of its own.

Starting values for lengths, to be replaced by what the shop knows of its own gauges and hands. None
of them is from a standard: the basis stands beside each. They hold for sound gauges, zeroed, on
clean parts near 20 °C.
"""

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from shared.condition.uncertainty import resolution_uncertainty


@dataclass(frozen=True, slots=True)
class UsualGauge:
    """A kind of gauge: its word, its usual standard uncertainty in mm, and where that is from.

    ``feel_mm``: that of either end of an interval read with it, where the ends are told and their
    distance is not a part of the doubt; None: as ``u_mm``.
    """

    kind: str
    name: str
    u_mm: float
    basis: str
    feel_mm: float | None = None


GAUGES: Final = MappingProxyType(
    {
        gauge.kind: gauge
        for gauge in (
            UsualGauge(
                "outside-micrometer",
                "an outside micrometer",
                0.004,
                "permissible error 0.004 mm (ISO 3611 class, from memory) / sqrt(3), with the hand",
            ),
            UsualGauge(
                "bore-gauge",
                "a dial bore gauge set to a micrometer",
                0.005,
                "micrometer and dial step 0.01 mm together; common practice, no source",
            ),
            UsualGauge(
                "caliper",
                "a caliper",
                0.02,
                "step 0.02 to 0.05 mm, public guides 0.02 to 0.04 mm; common practice",
            ),
            UsualGauge(
                "feeler",
                "feeler blades",
                round(resolution_uncertainty(0.05) + 0.005, 4),
                "blades 0.05 mm apart / sqrt(12) (GUM F.2.2.1) + 0.005 mm feel; common practice",
                feel_mm=0.005,
            ),
            UsualGauge(
                "plastic-gauging",
                "plastic gauging thread",
                0.010,
                "one public comparison against micrometers (0.005 to 0.010 mm); low authority",
            ),
            UsualGauge(
                "dial-indicator",
                "a dial indicator",
                0.006,
                "step 0.01 mm and a stand that gives; common practice, no source",
            ),
        )
    }
)
"""The closed list of gauge words; a gauge not on it has no usual uncertainty."""


_ALSO_CALLED: Final = MappingProxyType(
    {
        "micrometer": "outside-micrometer",
        "micrometre": "outside-micrometer",
        "outside-micrometre": "outside-micrometer",
        "dial-bore-gauge": "bore-gauge",
        "vernier-caliper": "caliper",
        "feeler-gauge": "feeler",
        "feeler-blades": "feeler",
    }
)


def usual_gauge(text: str | None) -> UsualGauge | None:
    """Return the gauge that a word of the list names ("Bore gauge" too); None: not on the list.

    >>> usual_gauge("Outside micrometer").u_mm
    0.004
    """
    if text is None:
        return None
    word = "-".join(text.casefold().replace("_", " ").replace("-", " ").split())
    return GAUGES.get(_ALSO_CALLED.get(word, word))
