"""A gauge is a piece with a certificate: everything else gauges nothing."""

from dataclasses import replace

import pytest

from shared.fasteners.model import FeatureKind, ItemForm, ToolFunction
from shared.fasteners.substitutes.families.measured_piece import candidates, why_not_traceable
from shared.fasteners.substitutes.model import Drawer, Feature, Piece, Requirement

K = FeatureKind
WANTED = Requirement(
    ToolFunction.GAUGE,
    features=(Feature(K.THICKNESS, 12.5),),
    uses=frozenset(),
    nothing_in_the_way=True,
    tolerance=0.02,
)
BLOCK = Piece(
    "a",
    "a block",
    ItemForm.MEASURED_PIECE,
    1,
    sizes=((K.THICKNESS, 12.505),),
    certificate="lab 4711, 2026",
    uncertainty=0.002,
)


def fails(requirement, piece):
    """Return the checks that fail, with the fact that each misses."""
    (found,) = candidates(requirement, Drawer((piece,)))
    return {check.name: check.missing for check in found.checks if not check.passes}


@pytest.mark.parametrize("form", [ItemForm.MEASURED_PIECE, ItemForm.PIN])
def test_a_measured_piece_is_a_gauge_within_twice_its_uncertainty(form):
    block = replace(BLOCK, form=form)
    assert fails(WANTED, block) == {}
    # 0.005 off and 2 x 0.0075 of doubt fill the 0.02.
    assert fails(WANTED, replace(block, uncertainty=0.00749)) == {}
    assert fails(WANTED, replace(block, uncertainty=0.00751)) == {"size": None}
    assert fails(WANTED, replace(block, sizes=((K.THICKNESS, 12.49),))) == {}
    for off in (-0.017, 0.017):
        assert fails(WANTED, replace(block, sizes=((K.THICKNESS, 12.5 + off),))) == {"size": None}


@pytest.mark.parametrize(
    ("piece", "expected"),
    [
        ({"certificate": None}, {"certificate": "certificate"}),
        ({"certificate": "  "}, {"certificate": "certificate"}),
        ({"certificate": " - "}, {"certificate": "certificate"}),
        ({"certificate": "N/A"}, {"certificate": "certificate"}),
        ({"certificate": "None."}, {"certificate": "certificate"}),
        ({"certificate": "not calibrated"}, {"certificate": "certificate"}),
        ({"certificate": "No certificate"}, {"certificate": "certificate"}),
        ({"certificate": "No. 4711"}, {}),
        ({"uncertainty": None}, {"size": "uncertainty"}),
        ({"uncertainty": 0.0}, {"size": "uncertainty"}),
        ({"uncertainty": float("nan")}, {"size": "uncertainty"}),
        ({"sizes": ((K.LENGTH, 12.5),)}, {"size": "features/thickness"}),
        ({"sizes": ()}, {"size": "features/thickness"}),
        ({"quantity": 0}, {"count": None}),
    ],
)
def test_what_is_not_measured_gauges_nothing(piece, expected):
    assert fails(WANTED, replace(BLOCK, **piece)) == expected


def test_the_size_and_how_far_off_it_may_be_must_be_asked():
    assert fails(replace(WANTED, tolerance=None), BLOCK) == {"size": "tolerance"}
    assert fails(replace(WANTED, tolerance=0.0), BLOCK) == {"size": "tolerance"}
    assert fails(replace(WANTED, features=()), BLOCK) == {"size": "features/length"}
    two = (*WANTED.features, Feature(K.LENGTH, 12.5))
    assert fails(replace(WANTED, features=two), BLOCK) == {"size": None}
    assert fails(replace(WANTED, uses=None), BLOCK) == {"use": "uses"}
    assert fails(replace(WANTED, nothing_in_the_way=False), BLOCK) == {"room": "in_the_way"}


def test_gauging_without_any_certificate_is_refused():
    unmeasured = Drawer((replace(BLOCK, certificate=None),))
    refusal = why_not_traceable(WANTED, unmeasured)
    assert refusal is not None and refusal.reason_code == "not-traceable"
    assert why_not_traceable(WANTED, Drawer((BLOCK,))) is None
    assert why_not_traceable(replace(WANTED, function=ToolFunction.ALIGN), unmeasured) is None
