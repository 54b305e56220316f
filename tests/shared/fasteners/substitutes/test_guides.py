"""Guide studs, aligning pins and guide sleeves: what fits, what marks the work, what is missing."""

from dataclasses import replace

import pytest

from shared.designations.model import Hand
from shared.fasteners.model import FeatureKind, ItemForm, ToolFunction, ToolUse
from shared.fasteners.substitutes.families import aligning_pins, guide_sleeve, guide_studs
from shared.fasteners.substitutes.instructions import together_in_turn, torque_text
from shared.fasteners.substitutes.model import (
    Drawer,
    Feature,
    Hardness,
    Need,
    Piece,
    Range,
    Requirement,
)
from shared.standards.hardness import HardnessScale
from shared.standards.hole_materials import hole_material_of
from tests.shared.fasteners.joints import screw

K = FeatureKind
HV, HRC = HardnessScale.HV, HardnessScale.HRC


def work(function, sizes, **more):
    """Return a requirement with one feature of each kind: a size, or size and count."""
    features = [Feature(K.THREAD, fastener=screw("M8x1.25"), count=more.pop("holes", 4))]
    features += [Feature(kind, size, count=more.pop(kind.value, 1)) for kind, size in sizes.items()]
    stated = {"uses": frozenset(), "nothing_in_the_way": True, **more}
    return Requirement(function, features=tuple(features), **stated)


def piece(form, sizes, quantity=4, **more):
    """Return a piece of some sizes."""
    return Piece("a", "a piece", form, quantity, sizes=tuple(sizes.items()), **more)


def only(family, requirement, offered):
    """Return the one candidate of a family for one piece."""
    (found,) = family.candidates(requirement, Drawer((offered,)))
    return found


def failing(candidate):
    """Return the names of the checks that fail."""
    return {check.name for check in candidate.checks if not check.passes}


# M8: depth 20, studs 40 out: L >= 40 + 8 + 1.25 = 49.25; e = min(20 - 0.625, L - 40).
STUDS = work(ToolFunction.GUIDE, {K.DEPTH: 20.0, K.REACH: 40.0, K.BORE: 9.0})
BOLT = piece(
    ItemForm.SCREW,
    {K.LENGTH: 55.0, K.THREAD_LENGTH: 22.0},
    fastener=screw("M8x1.25", "8.8", "ISO 4014"),
)
PINS = work(
    ToolFunction.ALIGN,
    {K.BORE: 10.05, K.REACH: 30.0},
    bore=2,
    tolerance=0.1,
    workpiece=hole_material_of("C45"),
    workpiece_hardness=Hardness(400, HV),
)
PIN = piece(
    ItemForm.PIN,
    {K.OUTSIDE_DIAMETER: 10.0, K.LENGTH: 40.0},
    material=hole_material_of("S235"),
    hardness=Hardness(150, HV),
)
SLEEVE_WORK = work(
    ToolFunction.GUIDE,
    {K.OUTSIDE_DIAMETER: 29.5, K.LIP: 30.0, K.REACH: 25.0},
    workpiece=hole_material_of("42CrMo4+QT"),
)
SLEEVE = piece(
    ItemForm.SLEEVE,
    {K.BORE: 29.7, K.OUTSIDE_DIAMETER: 30.5, K.LENGTH: 30.0},
    material=hole_material_of("CuZn39Pb3"),
)
CASES = (
    (guide_studs, STUDS, BOLT),
    (aligning_pins, PINS, PIN),
    (guide_sleeve, SLEEVE_WORK, SLEEVE),
)


def with_size(thing, kind, size):
    """Return a requirement or piece with a size changed; None takes it away."""
    if isinstance(thing, Piece):
        kept = tuple(one for one in thing.sizes if one[0] is not kind)
        return replace(thing, sizes=kept if size is None else (*kept, (kind, size)))
    same = next((one for one in thing.features if one.kind is kind), Feature(kind))
    kept = tuple(one for one in thing.features if one.kind is not kind)
    return replace(thing, features=kept if size is None else (*kept, replace(same, size=size)))


@pytest.mark.parametrize(("family", "requirement", "offered"), CASES)
def test_what_fits_is_accepted_and_every_fact_it_needs_is_missed(family, requirement, offered):
    found = only(family, requirement, offered)
    assert found.is_accepted, failing(found)
    assert found.steps and found.cautions[0].startswith("The maker's procedure")
    assert found.torque is None and found.force_least is None and found.parts[0].preparation

    for feature in requirement.features:
        if feature.kind is K.THREAD and family is not guide_studs:
            continue
        left = tuple(one for one in requirement.features if one is not feature)
        less = only(family, replace(requirement, features=left), offered)
        assert f"features/{feature.kind.value}" in {check.missing for check in less.checks}
    for kind, _ in offered.sizes:
        less = only(family, requirement, with_size(offered, kind, None))
        # The thread's length has a least by its standard.
        assert kind is K.THREAD_LENGTH or not less.is_accepted
    unsaid = only(family, replace(requirement, uses=None), offered)
    assert failing(unsaid) == {"use"}
    barred = only(family, replace(requirement, uses=frozenset({ToolUse.LIFTING})), offered)
    assert not barred.is_accepted
    assert failing(only(family, replace(requirement, nothing_in_the_way=False), offered)) == {
        "room"
    }
    assert failing(only(family, requirement, replace(offered, quantity=0))) == {"count"}
    forced = replace(requirement, force=Need(Range(1, 2500), "as stated", is_estimate=False))
    assert any("2500 N" in note for note in only(family, forced, offered).notes)


@pytest.mark.parametrize(
    ("changes", "stated", "fails"),
    [
        ({}, {K.LENGTH: 49.25}, set()),
        ({}, {K.LENGTH: 49.2}, {"length"}),
        # 19.375 mm go in at the most: the shank begins no sooner.
        ({}, {K.LENGTH: 80.0, K.THREAD_LENGTH: 19.375}, set()),
        ({}, {K.LENGTH: 80.0, K.THREAD_LENGTH: 19.3}, {"length"}),
        ({K.DEPTH: 8.625}, {}, set()),
        ({K.DEPTH: 8.6}, {}, {"length"}),
        ({K.DEPTH: 0.5}, {}, {"length"}),
        ({K.BORE: 8.11}, {}, set()),
        ({K.BORE: 8.05}, {}, {"play"}),
        ({K.BORE: 7.5}, {}, {"play"}),
        ({K.BORE: 10.0}, {}, set()),
        ({K.BORE: 10.01}, {}, {"play"}),
        ({K.CLEAR_HEIGHT: 54.0}, {}, {"room"}),
        ({K.CLEAR_HEIGHT: 55.0}, {}, set()),
    ],
)
def test_guide_studs_at_their_limits(changes, stated, fails):
    requirement, offered = STUDS, BOLT
    for kind, size in changes.items():
        requirement = with_size(requirement, kind, size)
    for kind, size in stated.items():
        offered = with_size(offered, kind, size)
    assert failing(only(guide_studs, requirement, offered)) == fails


def test_guide_studs_by_their_thread_their_head_and_their_number():
    def fails(fastener, form=ItemForm.SCREW, requirement=STUDS, **more):
        return failing(
            only(guide_studs, requirement, replace(BOLT, fastener=fastener, form=form, **more))
        )

    assert fails(screw("M8x1")) == {"thread"}
    assert fails(screw("M8x1.25", None, hand=Hand.LEFT)) == {"thread"}
    assert "shank" in fails(screw("M8x1.25", None, "shoulder"))
    # 55 mm over a countersunk head leave 47.
    assert fails(screw("M8x1.25", None, "countersunk")) == {"length"}
    assert fails(screw("M8x1.25"), ItemForm.THREADED_ROD) == set()
    steps = " ".join(only(guide_studs, STUDS, BOLT).steps)
    assert "at least 8 mm and at the most 19.38 mm deep" in steps
    rod = with_size(replace(BOLT, form=ItemForm.THREADED_ROD), K.LENGTH, 1000.0)
    (part,) = only(guide_studs, STUDS, rod).parts
    assert part.preparation.startswith("Cut it to about 60 mm")
    assert fails(screw("M8x1.25"), quantity=1) == {"count"}
    one_hole = work(ToolFunction.GUIDE, {K.DEPTH: 20.0, K.REACH: 40.0, K.BORE: 9.0}, holes=1)
    assert fails(screw("M8x1.25"), requirement=one_hole) == {"holes"}
    # Studs show a part its way: they cover no splines, and a lip is cut on them.
    lip = replace(STUDS, features=(*STUDS.features, Feature(K.LIP, 30.0)))
    assert fails(BOLT.fastener, requirement=lip) == {"lip"}
    # Two of two holes is no margin: what is narrow decides.
    two = replace(STUDS, features=tuple(replace(one, count=2) for one in STUDS.features))
    assert only(guide_studs, two, BOLT).governing.name == "length"


@pytest.mark.parametrize(
    ("tolerance", "passes"), [(None, False), (1.6, False), (1.625, True), (3.0, True)]
)
def test_studs_align_only_within_what_is_allowed(tolerance, passes):
    # 1 mm in the bore, 0.625 mm in the thread.
    requirement = replace(STUDS, function=ToolFunction.ALIGN, tolerance=tolerance)
    found = only(guide_studs, requirement, BOLT)
    assert failing(found) == (set() if passes else {"play"})
    if tolerance is None:
        assert "tolerance" in {check.missing for check in found.checks}


@pytest.mark.parametrize(
    ("changes", "fails"),
    [
        ({"sizes": ((K.OUTSIDE_DIAMETER, 10.045), (K.LENGTH, 35.0))}, set()),
        ({"sizes": ((K.OUTSIDE_DIAMETER, 10.048), (K.LENGTH, 35.0))}, {"pin fit"}),
        ({"sizes": ((K.OUTSIDE_DIAMETER, 10.06), (K.LENGTH, 35.0))}, {"pin fit"}),
        ({"sizes": ((K.OUTSIDE_DIAMETER, 9.94), (K.LENGTH, 35.0))}, {"pin fit"}),
        ({"sizes": ((K.OUTSIDE_DIAMETER, 10.0), (K.LENGTH, 34.0))}, {"length"}),
        ({"hardness": Hardness(390, HV)}, {"softness"}),
        ({"hardness": Hardness(60, HRC)}, {"softness"}),
        ({"hardness": None}, {"softness"}),
        ({"material": None}, {"material"}),
        ({"material": hole_material_of("grey iron")}, {"material"}),
        ({"material": hole_material_of("PA66")}, {"material"}),
        ({"quantity": 1}, {"count"}),
    ],
)
def test_aligning_pins(changes, fails):
    assert failing(only(aligning_pins, PINS, replace(PIN, **changes))) == fails


def test_pins_without_a_stated_tolerance_or_hardness_of_the_work_are_no_answer():
    for member in ("tolerance", "workpiece_hardness"):
        found = only(aligning_pins, replace(PINS, **{member: None}), PIN)
        assert member in {check.missing for check in found.checks}
        assert not found.is_accepted


@pytest.mark.parametrize(
    ("bore", "outside", "length", "fails"),
    [
        (29.55, 30.6, 28.0, set()),
        (29.54, 30.6, 28.0, {"bore"}),
        (29.5, 30.6, 28.0, {"bore"}),
        (30.5, 30.6, 28.0, {"sleeve wall"}),
        (30.51, 30.6, 28.0, {"bore", "sleeve wall"}),
        (29.6, 30.7, 28.0, {"lip"}),
        (29.6, 29.5, 28.0, {"sleeve wall"}),
        (29.6, 30.6, 27.9, {"length"}),
    ],
)
def test_guide_sleeves_at_their_limits(bore, outside, length, fails):
    sizes = ((K.BORE, bore), (K.OUTSIDE_DIAMETER, outside), (K.LENGTH, length))
    assert failing(only(guide_sleeve, SLEEVE_WORK, replace(SLEEVE, sizes=sizes))) == fails


@pytest.mark.parametrize(
    ("sleeve", "shaft", "measured", "missing"),
    [
        ("PA66", None, False, None),
        ("CuZn39Pb3", "C45", False, None),
        ("6082", "1.4301", False, None),
        ("CuZn39Pb3", None, False, "workpiece"),
        ("CuZn39Pb3", "6082", False, "hardness"),
        ("CuSn8", "C45", False, "hardness"),
        ("S235", "C45", False, "hardness"),
        (None, "C45", True, "material"),
        ("S235", "C45", True, None),
        ("CuZn39Pb3", None, True, None),
    ],
)
def test_a_sleeve_must_not_score_the_shaft(sleeve, shaft, measured, missing):
    found = only(
        guide_sleeve,
        replace(
            SLEEVE_WORK,
            workpiece=shaft and hole_material_of(shaft),
            workpiece_hardness=Hardness(600, HV) if measured else None,
        ),
        replace(
            SLEEVE,
            material=sleeve and hole_material_of(sleeve),
            hardness=Hardness(160, HV) if measured else None,
        ),
    )
    assert [check.missing for check in found.checks if not check.passes] == (
        [missing] if missing else []
    )


@pytest.mark.parametrize("torque", [0.00123456, 0.99999, 1.0, 2.3, 7.77777, 99.96, 100.4, 12345.6])
def test_a_torque_is_never_written_above_what_it_is(torque):
    written = float(torque_text(torque).split()[0])
    assert torque * 0.99 <= written <= torque * (1 + 1e-12)
    assert torque_text(float("nan")) == torque_text(0) == "no torque"


def test_several_screws_go_up_together():
    one = together_in_turn((3.0, 10.0), 1, "rod's nut")
    three = together_in_turn((3.0, 10.0), 3, "screw")
    assert "straight" in one[0] and "then to 10 N·m" in one[-1]
    assert "crosswise" in three[1] and "measure the gap" in three[2]
    assert len(together_in_turn((), 2, "nut")) == 1 and together_in_turn((1.0,), 0, "nut") == ()
