"""What the work asks of a tool: as stated, or estimated from what holds the parts together."""

from dataclasses import replace

import pytest

from shared.errors import InvalidInput, OutOfRange
from shared.fasteners.substitutes.model import Range
from shared.fasteners.substitutes.needs import SealedFace, force_need, stated_need
from shared.fasteners.substitutes.press_fit import PressFit, press_force
from shared.standards.hole_materials import hole_material_of, hole_materials
from shared.standards.sealants import UNKNOWN, sealant_of, sealants

SILICONE = SealedFace(2000, sealant_of("rtv silicone"))
FIT = PressFit(25, 20, "H7", "p6", 50, 10, hole_material_of("EN AC-46000"), hole_material_of("C45"))


def test_a_stated_force_stands_in_place_of_estimates():
    need = force_need(Range(9000, 9000), SILICONE)
    assert (need.amount, need.is_estimate, need.notes) == (Range(9000, 9000), False, ())
    assert force_need() is None


def test_sealed_area_and_press_fit_add_up():
    sealed, pressed = force_need(sealed=SILICONE), force_need(press=FIT)
    assert sealed.amount == Range(1000, 6000)
    both = force_need(sealed=SILICONE, press=FIT)
    assert both.amount.most == pytest.approx(sealed.amount.most + pressed.amount.most)
    assert both.amount.least == pytest.approx(sealed.amount.least + pressed.amount.least)
    assert both.is_estimate
    assert "estimate" in both.basis
    assert any("rust" in note for note in both.notes)
    assert any("20 °C" in note and "plating" in note for note in both.notes)
    # Of a hub that nobody knows, no silence is taken for a yes.
    for left_out in ("hub", "hub_outside"):
        notes = force_need(press=replace(FIT, **{left_out: None})).notes
        assert any("was not computed" in note for note in notes)


def test_a_force_stated_below_the_least_estimate_is_not_believed():
    need = force_need(Range(800, 999), SILICONE)
    assert need.amount == Range(800, 6000)
    assert need.is_estimate
    assert "less than the least estimate" in need.notes[0]
    assert force_need(Range(800, 1000), SILICONE).amount == Range(800, 1000)
    # Within the estimate the stated force stands, and what the estimate reaches to is said.
    assert "reaches to 6 kN" in force_need(Range(800, 1000), SILICONE).notes[0]


@pytest.mark.parametrize(
    ("asked", "pointer"),
    [
        ({"force": Range(0, 0)}, "/force"),
        ({"force": Range(5, 4)}, "/force_highest"),
        ({"force": Range(5, float("inf"))}, "/force_highest"),
        ({"sealed": SealedFace(0)}, "/sealed_area"),
        ({"sealed": SealedFace(float("nan"))}, "/sealed_area"),
        ({"press": replace(FIT, diameter=0)}, "/press_fit/diameter"),
        ({"press": replace(FIT, diameter=501, hub_outside=None)}, "/press_fit/diameter"),
        ({"press": replace(FIT, length=-1)}, "/press_fit/length"),
        ({"press": replace(FIT, hub_outside=25)}, "/press_fit/hub_outside"),
        ({"press": replace(FIT, shaft_bore=25)}, "/press_fit/shaft_bore"),
        ({"press": replace(FIT, hole_class="p6")}, "/press_fit/hole_class"),
        ({"press": replace(FIT, shaft_class="H7")}, "/press_fit/shaft_class"),
        ({"press": replace(FIT, shaft_class="qq")}, "/press_fit/shaft_class"),
        ({"press": replace(FIT, shaft_class="g6")}, "/press_fit/shaft_class"),
    ],
)
def test_nonsense_is_refused_where_it_stands(asked, pointer):
    with pytest.raises(InvalidInput) as refused:
        force_need(**asked)
    assert refused.value.pointer == pointer


def test_a_torque_has_its_own_pointers():
    with pytest.raises(OutOfRange) as refused:
        stated_need(Range(5, 4), "torque")
    assert refused.value.pointer == "/torque_highest"


def test_a_fact_left_out_never_makes_the_work_lighter():
    strongest = force_need(sealed=SealedFace(2000)).amount
    for row in sealants():
        assert 0 < row.bond_least <= row.bond_most
        known = force_need(sealed=SealedFace(2000, row)).amount
        assert known.most <= strongest.most
    assert sealant_of(UNKNOWN).bond_most == max(row.bond_most for row in sealants())
    for hub in hole_materials():
        for shaft in hole_materials()[::4]:
            fit = replace(FIT, hub=hub, shaft=shaft)
            most = press_force(fit).force.most
            for fact in ("hub_outside", "shaft_bore", "hub", "shaft"):
                assert press_force(replace(fit, **{fact: None})).force.most >= most


def test_a_transition_fit_may_hold_with_no_force():
    found = press_force(replace(FIT, shaft_class="k6"))
    assert found.force.least == 0 < found.force.most


def test_a_hub_that_may_split_is_told_of():
    assert "split" in press_force(replace(FIT, shaft_class="u6", hub_outside=30)).notes[-1]
    # 150 MPa over 1.5 to count on: 108.9 MPa are above it, 99.8 MPa are not.
    assert "split" in press_force(replace(FIT, shaft_class="r6", hub_outside=30)).notes[-1]
    assert "split" not in press_force(replace(FIT, shaft_class="r6", hub_outside=35)).notes[-1]
    # Beyond the table's stress nothing is told where the hub's outside is not known.
    assert press_force(replace(FIT, shaft_class="u6", hub_outside=None)).hub_stress is None


def test_a_sealant_is_named_by_many_words_or_refused():
    assert sealant_of("Anaerobic flange sealant").sealant == "anaerobic"
    assert sealant_of("No sealant").sealant == "none"
    with pytest.raises(InvalidInput) as refused:
        sealant_of("chewing gum")
    assert "silicone" in refused.value.fix
