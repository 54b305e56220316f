"""How far a reading has to move for a verdict: measured by the doubt that it is judged by."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest

from shared.assemblies.model import InspectionMethod
from shared.condition.model import Finding, Gauge
from shared.decision.weighing.reading_zones import scale_of, turn_guess
from shared.quantities import Quantity

LIMITS = (Decimal("1.00"),)


def read(value="1.004", unit="in", u=None, **facts):
    measured = Quantity(Decimal(value), unit, u)
    when = datetime(2031, 3, 4, tzinfo=UTC)
    return Finding("f", "u", "p", "c", "x", when, InspectionMethod.GAUGE, measured, **facts)


@pytest.mark.parametrize(
    ("finding", "u"),
    [
        (read(u=Decimal("0.001")), 0.001),
        (read(gauge_id="g"), 0.003),  # known of the gauge: 0.0762 mm
        (read(gauge_id="h"), 0.004 / 25.4),  # usual of its kind
        (read(gauge="micrometer"), 0.004 / 25.4),
    ],
)
def test_the_doubt_is_the_one_of_the_gauge_on_record(finding, u):
    gauges = {
        "g": Gauge("g", "G", standard_uncertainty=Quantity(Decimal("0.0762"), "mm")),
        "h": Gauge("h", "H", kind="outside-micrometer"),
    }
    assert float(scale_of(finding, LIMITS, gauges)) == pytest.approx(10 * u)
    end = turn_guess(finding, LIMITS, gauges, is_up=True)
    assert (end is None) is (2 * u < 0.004)  # 0.004 in past the limit: still in doubt within 2 u
