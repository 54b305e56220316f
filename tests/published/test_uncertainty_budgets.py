"""Budgets of measures that follow from others, against GTC: a general library for the GUM.

Independent of the house: its inputs are built here from each instrument's own error and the error
of what instruments share, so that correlation comes about by itself and is not stated.
"""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from GTC import type_b, ureal

from shared.assemblies.model import (
    Characteristic,
    Derivation,
    DerivationKind,
    DerivationTerm,
    InspectionMethod,
)
from shared.condition.conformity import conformity_probability
from shared.condition.derived import derived_findings
from shared.condition.model import Finding, Gauge, Reading
from shared.quantities import Quantity


def mm(value, **doubt):
    return Quantity(Decimal(value), "mm", **{k: Decimal(v) for k, v in doubt.items()})


def gauge(id_, u, common=None, master=None):
    return Gauge(
        id_,
        id_,
        standard_uncertainty=mm(u),
        common_uncertainty=None if common is None else mm(common),
        master=master,
        calibrated_on=date(2031, 1, 10),
    )


def sized(characteristic_id, value=None, gauge_id=None, **facts):
    if value is not None:
        facts["measured"] = value if isinstance(value, Quantity) else mm(value)
    return Finding(
        f"f-{characteristic_id}",
        "u",
        "p",
        characteristic_id,
        "bench two",
        datetime(2031, 3, 3, 9, tzinfo=UTC),
        InspectionMethod.GAUGE,
        gauge_id=gauge_id,
        **facts,
    )


def measure(factors, findings, gauges=(), offset=None, kind=DerivationKind.SUM):
    """Value and u of the measure that the findings give."""
    named = [Characteristic(name, "p", name, unit="mm") for name in factors]
    terms = tuple(DerivationTerm(name, Decimal(factor)) for name, factor in factors.items())
    wanted = Characteristic(
        "m", "p", "m", service_upper=mm("1"), derivation=Derivation(kind, terms, offset)
    )
    (found,) = derived_findings([*named, wanted], findings, {one.id: one for one in gauges})
    assert found.measured.unit == "mm"
    u = found.measured.standard_uncertainty
    return float(found.measured.value), None if u is None else float(u)


def assert_is(found, expected):
    value, u = found
    assert value == pytest.approx(expected.x, abs=1e-6)
    assert u == pytest.approx(expected.u, rel=1e-4)


def test_a_running_clearance_from_two_instruments():
    # Constructed: 50.045 (u 0.004) in a bore, 49.985 (0.003) on the shaft; 0.060, u 0.005 mm,
    # and 0.97725 that it is at most 0.070 mm.
    found = measure(
        {"bore": 1, "shaft": -1},
        [sized("bore", "50.045", "bore gauge"), sized("shaft", "49.985", "micrometer")],
        [gauge("bore gauge", "0.004"), gauge("micrometer", "0.003")],
    )
    assert_is(found, ureal(50.045, 0.004) - ureal(49.985, 0.003))
    assert found == pytest.approx((0.060, 0.005), abs=1e-9)
    assert conformity_probability(*found, upper=0.07) == pytest.approx(0.97725, abs=1e-5)


def test_a_setting_master_common_to_both_instruments_cancels_in_a_clearance():
    master = ureal(0, 0.003)
    bore = ureal(50.045, (0.005**2 - 0.003**2) ** 0.5) + master
    shaft = ureal(49.985, (0.004**2 - 0.003**2) ** 0.5) + master
    found = measure(
        {"bore": 1, "shaft": -1},
        [sized("bore", "50.045", "bore gauge"), sized("shaft", "49.985", "micrometer")],
        [
            gauge("bore gauge", "0.005", "0.003", "ring 50"),
            gauge("micrometer", "0.004", "0.003", "ring 50"),
        ],
    )
    assert_is(found, bore - shaft)
    assert found[1] < (0.005**2 + 0.004**2) ** 0.5


def test_one_depth_gauge_adds_its_common_part_up_over_a_stack():
    # Housing depth less three heights of a stack, the offset 1.5 mm; all with one depth gauge.
    common = ureal(0, 0.006)
    own = (0.008**2 - 0.006**2) ** 0.5
    depth, a, b, c = (ureal(x, own) + common for x in (62.41, 20.02, 19.98, 19.51))
    found = measure(
        {"depth": 1, "a": -1, "b": -1, "c": -1},
        [
            sized(name, value, "depth gauge")
            for name, value in (("depth", "62.41"), ("a", "20.02"), ("b", "19.98"), ("c", "19.51"))
        ],
        [gauge("depth gauge", "0.008", "0.006")],
        offset=mm("-1.5"),
    )
    assert_is(found, depth - a - b - c - 1.5)


def test_a_rectangular_doubt_enters_by_its_standard_uncertainty():
    bore = 50.045 + ureal(0, type_b.uniform(0.01))
    shaft = ureal(49.985, 0.003)
    found = measure(
        {"bore": 1, "shaft": -1},
        [
            sized("bore", mm("50.045", plus_minus="0.01")),
            sized("shaft", mm("49.985", standard_uncertainty="0.003")),
        ],
    )
    assert_is(found, bore - shaft)


def test_an_interval_between_two_blades_enters_by_its_middle():
    gap = ureal(0.225, type_b.uniform(0.025)) + ureal(0, 0.004)
    found = measure(
        {"gap": 2, "shim": -1},
        [
            sized("gap", None, "blades", at_least=mm("0.20"), at_most=mm("0.25")),
            sized("shim", mm("0.30", standard_uncertainty="0.002")),
        ],
        [gauge("blades", "0.004")],
    )
    assert_is(found, 2 * gap - ureal(0.30, 0.002))


def test_what_the_readings_share_cancels_in_a_taper():
    common = ureal(0, 0.004)
    own = (0.005**2 - 0.004**2) ** 0.5
    top, bottom = (ureal(x, own) + common for x in (77.020, 77.005))
    readings = tuple(
        Reading(mm(size), plane, "across")
        for plane, size in (("top", "77.020"), ("middle", "77.012"), ("bottom", "77.005"))
    )
    found = measure(
        {"bore": 1},
        [sized("bore", None, "bore gauge", readings=readings)],
        [gauge("bore gauge", "0.005", "0.004")],
        kind=DerivationKind.TAPER,
    )
    assert_is(found, top - bottom)


def test_how_much_is_shared_not_known_is_never_taken_to_the_reader_s_favour():
    # The greater of a library's two answers: sharing nothing and sharing all.
    for sign, factor in ((1, 1), (-1, -1)):
        alike = ureal(0, 0.005)
        shared = (10 + alike) + sign * (5 + alike)
        apart = ureal(10, 0.005) + sign * ureal(5, 0.005)
        _, u = measure(
            {"a": 1, "b": factor},
            [sized("a", "10", "one"), sized("b", "5", "one")],
            [gauge("one", "0.005")],
        )
        assert u == pytest.approx(max(shared.u, apart.u), rel=1e-6)


def test_an_input_without_a_known_doubt_leaves_the_measure_without_one():
    _, u = measure(
        {"bore": 1, "shaft": -1},
        [sized("bore", "50.045"), sized("shaft", mm("49.985", standard_uncertainty="0.003"))],
    )
    assert u is None
