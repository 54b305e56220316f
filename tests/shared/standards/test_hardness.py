"""Hardness conversion stays within its table; nuts and classes refuse what they do not know."""

import pytest

from shared.errors import InvalidInput
from shared.standards.hardness import HardnessScale, convert_hardness, hardness_rows
from shared.standards.nuts import nut_classes_for, nut_proof_load
from shared.standards.property_classes import class_names, lowest_class, strength_of

HV, HRC, HRB, HBW, MPA = (HardnessScale(one) for one in ("HV", "HRC", "HRB", "HBW", "MPa"))


@pytest.mark.parametrize(
    ("value", "scale", "to", "wanted"),
    [
        # Nodes of ISO 18265 table A.1 and figures of ISO 898-1 table 3, from memory: the limits
        # that ISO 898-1 gives for one class on both scales lie within the scales' resolution.
        (320, HV, HRC, 32.2),
        (250, HV, HRB, 99.5),
        (100, HV, HBW, 95.0),
        (300, HV, MPA, 965),
        (39, HRC, HV, 380),
        (44, HRC, HV, 435),
        (22, HRC, HV, 250),
        (67, HRB, HV, 120),
    ],
)
def test_conversion_at_known_points(value, scale, to, wanted):
    found = convert_hardness(value, scale, to)
    assert found.value == pytest.approx(wanted, rel=0.015)
    assert found.least < wanted < found.most


def test_every_scale_rises_with_every_other():
    for column in ("vickers", "tensile", "brinell", "rockwell_b", "rockwell_c"):
        figures = [value for row in hardness_rows() if (value := getattr(row, column)) is not None]
        assert figures == sorted(set(figures))


@pytest.mark.parametrize(
    ("value", "scale", "to"),
    [
        (19, HRC, HV),
        (69, HRC, HV),
        (float("nan"), HV, HRC),
        (float("inf"), HV, HRC),
        (100, HV, HRC),
        (500, HV, HBW),
        (60, HRC, HRB),
        (300, HV, HV),
        (-5, HV, HRC),
    ],
)
def test_nothing_is_converted_beyond_the_table(value, scale, to):
    with pytest.raises(InvalidInput):
        convert_hardness(value, scale, to)


def test_a_higher_class_is_nowhere_weaker():
    order = ("4.6", "5.6", "6.8", "8.8", "9.8", "10.9", "12.9")
    for major in (3, 8, 16):
        found = [strength_of(name, major) for name in order]
        for figure in ("proof", "yield_least", "tensile_least", "hv_least"):
            figures = [getattr(strength, figure) for strength in found]
            assert figures == sorted(figures)


def test_a_class_is_known_only_on_its_own_threads_and_sizes():
    for name in class_names():
        is_sae = name.startswith("SAE")
        assert strength_of(name, 10, is_metric=is_sae) is None
        assert strength_of(name, 10, is_metric=not is_sae) is not None
        assert strength_of(name, 100) is strength_of(name, 0.5) is None
        proof = strength_of(name, 10).proof
        assert proof is None or proof < strength_of(name, 10).yield_least * 1.05
    assert strength_of("8", 10) is strength_of("", 10) is strength_of("13.9", 10) is None
    weakest = strength_of(lowest_class(is_metric=False), 10)
    assert strength_of("SAE 2", 10, length=153).tensile_least == weakest.tensile_least


def test_every_screw_class_of_steel_has_its_nut_and_the_nut_is_stronger_than_its_proof():
    for name in class_names():
        if name[0] in "CF":
            continue
        nut = nut_classes_for(name)[0]
        major = 10 if name.startswith("SAE") else 8
        strength = strength_of(name, major)
        assert nut_proof_load(nut, major, 1.0).stress >= (strength.proof or strength.yield_least)
