"""What is refused whatever the numbers say, and what is cautioned."""

import pytest

from shared.fasteners.model import FeatureKind, ToolFunction, ToolUse
from shared.fasteners.substitutes import cautions
from shared.fasteners.substitutes.cautions import cautions_for, estimate_note
from shared.fasteners.substitutes.model import Family, Feature, Need, Range, Requirement
from shared.fasteners.substitutes.refusals import MOST_STORED_ENERGY, refused_whatever
from shared.standards.hole_materials import hole_material_of

COMPRESS, PULL = ToolFunction.COMPRESS, ToolFunction.PULL


def codes(function=PULL, name="", uses=(), force=None, travel=None):
    """Return the reasons why a requirement is refused."""
    return [one.reason_code for one in refused_whatever(work(function, name, uses, force, travel))]


def work(function=PULL, name="", uses=(), force=None, travel=None, **more):
    """Return a requirement with a force and a travel."""
    need = None if force is None else Need(Range(0.0, force), "as stated", is_estimate=False)
    features = () if travel is None else (Feature(FeatureKind.TRAVEL, travel),)
    stated = None if uses is None else frozenset(uses)
    return Requirement(function, name, features, force=need, uses=stated, **more)


@pytest.mark.parametrize("use", list(ToolUse))
def test_every_use_is_refused_with_a_reason(use):
    (refusal,) = refused_whatever(work(uses=[use]))
    assert refusal.reason_code == use.value
    assert len(refusal.detail) > 60
    assert codes(ToolFunction.RETAIN, uses=[use]) == [use.value]


def test_every_use_is_told_and_unstated_ones_are_left_to_the_families():
    assert codes(uses=ToolUse) == [
        *(use for use in ToolUse if use is not ToolUse.STORED_ENERGY),
        ToolUse.STORED_ENERGY,
    ]
    assert codes(uses=None) == codes(uses=()) == []


@pytest.mark.parametrize(
    ("force", "travel", "is_refused"),
    [
        (100.0, 10.0, False),
        (100.1, 10.0, True),
        (1.0, 1000.0, False),
        (None, 0.01, True),
        (0.01, None, True),
        (float("nan"), 1.0, True),
        (0.0, 1.0, True),
        (1.0, float("inf"), True),
        (-1000.0, 10.0, True),
    ],
)
def test_stored_energy_has_a_bound_and_is_refused_where_unknown(force, travel, is_refused):
    assert MOST_STORED_ENERGY == 1.0
    expected = ["stored-energy"] if is_refused else []
    assert codes(COMPRESS, force=force, travel=travel) == expected
    assert codes(uses=[ToolUse.STORED_ENERGY], force=force, travel=travel) == expected
    assert codes(PULL, force=force, travel=travel) == []


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("Lifting bracket", "lifting"),
        ("engine-LIFT plate", "lifting"),
        ("hoist adapter", "lifting"),
        ("Sling hook", "lifting"),
        ("bolts for cranes", "lifting"),
        ("holder, suspended load", "suspending"),
        ("Engine support bar", "work-under-load"),
        ("jack-stand pad", "work-under-load"),
        ("Axle stands", "work-under-load"),
        ("transmission jack adapter", "work-under-load"),
        ("valve spring compressor", "stored-energy"),
        ("Spring  Compressors", "stored-energy"),
        ("accumulator piston tool", "stored-energy"),
        ("insulated socket", "electrical-isolation"),
        ("Battery isolation key", "electrical-isolation"),
        ("pressure tester plug", "holding-pressure"),
        ("pressurised cover", "holding-pressure"),
        ("hydraulic line blank", "holding-pressure"),
        ("blanking plate", "holding-pressure"),
        ("boost leak plug", "holding-pressure"),
        ("compression test adapter", "holding-pressure"),
        ("Enginelift eye", "lifting"),
        ("Lif\N{SOFT HYPHEN}ting eye", "lifting"),
        ("\N{FULLWIDTH LATIN SMALL LETTER L}ift plate", "lifting"),
        ("Lïfting eye", "lifting"),
        ("engine hanger", "suspending"),
        ("cab prop", "work-under-load"),
        ("belt pre-tensioner pin", "stored-energy"),
        ("torsion bar unloader", "stored-energy"),
        ("HV battery disconnect", "electrical-isolation"),
        ("compressor for coil springs", "stored-energy"),
        ("door spring winding bar", "stored-energy"),
    ],
)
def test_a_name_that_warns_is_refused_though_nothing_is_stated(name, code):
    (refusal,) = refused_whatever(work(name=name))
    assert refusal.reason_code == code
    assert refusal.detail.split('"')[1] in cautions.plain_name(name)
    assert codes(name=name, uses=None) == [code]


@pytest.mark.parametrize(
    "name",
    [
        "",
        "brake drum puller",
        "suspension bush press ring",
        "jack screws for the cover",
        "oil slinger puller",
        "valve lifter puller",
        "air conditioning compressor clutch puller",
        "spring pin drift",
        "vibration isolator press ring",
        "support bearing puller",
        "fuel lift pump pulley puller",
        "hydraulic lifter puller",
        "forklift hub puller",
        "gearbox support bearing puller",
        "engine support bush remover",
        "vibration isolation mount press",
        "leaf spring bush puller",
        "spring washer tool",
        "clock spring puller",
        "raised countersunk screw remover",
        "centre hanger bearing puller",
        "clutch pressure plate aligner",
    ],
)
def test_bench_work_is_not_barred_by_its_name(name):
    assert codes(name=name) == []


RETAIN = ToolFunction.RETAIN


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("brake caliper bolts", "stays-in-brakes"),
        ("tie rod clamp screw", "stays-in-steering"),
        ("wheel stud", "stays-in-suspension"),
        ("seat belt bolt", "stays-in-restraint"),
        ("lap belt anchor", "stays-in-restraint"),
        ("roll cage bolts", "stays-in-restraint"),
        ("flywheel bolts", "stays-in-rotating-part"),
    ],
)
def test_what_stays_in_the_machine_is_no_tool_to_retain_it(name, code):
    assert codes(RETAIN, name) == [code]
    assert codes(RETAIN, f"{name} holder") == codes(PULL, name) == []
    assert codes(RETAIN, "crankshaft locking pin") == []


def test_a_spring_is_judged_by_its_energy_whatever_the_function_is_called():
    for function in (RETAIN, PULL, ToolFunction.PRESS_IN, ToolFunction.TURN):
        name = "clamp of the brake springs"
        assert codes(function, name, force=2400.0, travel=22.0) == ["stored-energy"], function
        assert codes(function, name) == ["stored-energy"]
        assert codes(function, name, force=50.0, travel=15.0) == []
    assert codes(ToolFunction.GUIDE, "sleeve over the springs") == []


def test_a_spring_compressor_is_judged_by_its_energy():
    name = "valve spring compressor"
    assert codes(COMPRESS, name, force=50.0, travel=15.0) == []
    assert codes(COMPRESS, name, force=800.0, travel=15.0) == ["stored-energy"]
    assert codes(COMPRESS, "accumulator tool", force=50.0, travel=15.0) == ["stored-energy"]
    # Told once, though the use and the name both say it.
    assert codes(PULL, "lifting eye", [ToolUse.LIFTING]) == ["lifting"]


@pytest.mark.parametrize("function", list(ToolFunction))
def test_the_maker_comes_first_and_no_caution_is_told_twice(function):
    for family in Family:
        check_cautions(function, family)


def check_cautions(function, family):
    said = cautions_for(work(function, "brake drum puller"), family, is_stainless=True)
    assert said[:2] == (cautions.MAKER_FIRST, cautions.BENCH_ONLY)
    assert said[-1] == cautions.STAINLESS
    assert len(set(said)) == len(said)
    is_apart = function in {ToolFunction.SEPARATE, PULL}
    is_pressed = function is ToolFunction.PRESS_IN
    assert (cautions.EVERYTHING_OUT in said) == (is_apart or is_pressed)
    assert (cautions.HEAT in said) == (function is not ToolFunction.GAUGE)
    assert (cautions.SWING in said) == (
        family.value in {"counterhold bar", "pins in a plate", "bar in slots", "hook spanner"}
    )
    holds = {ToolFunction.PRESS_IN, ToolFunction.RETAIN}
    assert (cautions.NO_SPRING in said) == (is_apart or function in holds)
    assert (cautions.NO_IMPACT in said) == (family in {Family.JACKING_SCREWS, Family.SOFT_STRIP})


def test_cautions_by_what_the_work_is():
    magnesium, steel = hole_material_of("magnesium"), hole_material_of("S235")
    jacking = Family.JACKING_SCREWS
    for more in ({"workpiece": magnesium}, {"pushed": magnesium}):
        assert cautions.MAGNESIUM in cautions_for(work(**more), jacking)
    plain = cautions_for(work(name="cover screws", workpiece=steel), jacking)
    assert {cautions.STAND_OFF, cautions.EYES, cautions.SUPPORT} <= set(plain)
    assert not {cautions.MAGNESIUM, cautions.STAINLESS, cautions.BENCH_ONLY} & set(plain)
    assert cautions.NO_WEIGHT in cautions_for(work(), Family.GUIDE_STUDS)
    stainless = work(PULL, workpiece=hole_material_of("1.4301"))
    in_the_holes = {cautions.STAINLESS, cautions.STRIPPED, cautions.AT_THE_HUB}
    assert in_the_holes <= set(cautions_for(stainless, Family.BAR_ACROSS_SCREWS))
    assert cautions_for(stainless, Family.ROD_WITH_NUTS)[-1] == cautions.AT_THE_HUB
    assert cautions.AT_THE_HUB not in cautions_for(work(ToolFunction.SEPARATE), jacking)
    assert cautions.EYES not in cautions_for(work(), Family.MEASURED_PIECE)


def test_an_estimate_is_called_one():
    need = Need(Range(1.0, 2.0), "sealed area", is_estimate=True)
    note = estimate_note(need, "torque")
    assert note is not None and "torque needed is an estimate (sealed area)" in note
    assert estimate_note(None) is None
    assert estimate_note(Need(Range(1.0, 2.0), "as stated", is_estimate=False)) is None
