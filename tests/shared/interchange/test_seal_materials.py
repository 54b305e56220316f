"""Which seal material bears a fluid."""

import pytest

from shared.errors import Ambiguous, InvalidInput, OutOfRange
from shared.interchange.seal_materials import (
    _SEVERAL,
    find_fluid,
    rate_materials,
    read_temperature,
)
from shared.standards.seal_materials import (
    Rating,
    fluids_by_word,
    seal_fluids,
    seal_materials,
    seal_ratings,
)


def rated(fluid, temperature=None):
    found = rate_materials(find_fluid(fluid), temperature)
    return {item.material.code: item.rating.value for item in found.items}


def test_every_material_is_rated_in_every_fluid():
    pairs = {(row.material, row.fluid) for row in seal_ratings()}
    assert pairs == {(m.code, f.name) for m in seal_materials() for f in seal_fluids()}


def test_a_rating_says_its_limit_or_its_reason():
    for row in seal_ratings():
        if row.rating in {Rating.SUITABLE, Rating.LIMITED}:
            assert row.upper is not None, row
        if row.rating is not Rating.SUITABLE:
            assert row.reason, row
        else:  # what serves in some seats or grades only is limited
            assert "only" not in row.reason, row


MINERAL = ["mineral oil", "engine oil", "ATF", "grease", "diesel", "E10", "kerosene", "propane"]


@pytest.mark.parametrize("fluid", MINERAL)
def test_epdm_never_meets_mineral_oil_or_fuel(fluid):
    assert rated(fluid)["EPDM"] == "unsuitable"
    assert rated(fluid)["SBR"] == "unsuitable"


@pytest.mark.parametrize("fluid", ["DOT 3", "dot 4", "DOT 5.1"])
def test_glycol_brake_fluid_is_for_epdm_and_ruins_nbr_and_fkm(fluid):
    found = rated(fluid, 80)
    assert found["EPDM"] == "suitable"
    assert {found["NBR"], found["FKM"], found["HNBR"], found["ACM"]} == {"unsuitable"}
    assert "a life hangs" in rate_materials(find_fluid(fluid), None).cautions[0].lower()


@pytest.mark.parametrize(
    ("fluid", "material", "degrees"),
    [
        ("compressed air", "EPDM", 20), ("compressed air", "SBR", 20),
        ("cutting fluid", "EPDM", 20), ("soluble oil", "FKM", 40), ("gear oil", "NBR", 95),
        ("engine oil", "FKM", 180), ("ATF", "FKM", 180),
    ],
)  # fmt: skip
def test_what_only_seems_to_serve_is_not_called_suitable(fluid, material, degrees):
    assert rated(fluid, degrees)[material] != "suitable"


@pytest.mark.parametrize("mixture", ["thinner", "paint thinner", "spirit", "white spirit"])
def test_words_of_mixtures_are_not_rated_as_one_of_their_parts(mixture):
    with pytest.raises(InvalidInput):
        find_fluid(mixture)


def test_silicone_does_not_meet_silicone_nor_polyurethane_hot_water():
    assert rated("silicone grease")["VMQ"] == "unsuitable"
    assert rated("steam")["AU"] == "unsuitable"
    assert rated("methanol")["FKM"] == "unsuitable"


@pytest.mark.parametrize(
    ("material", "degrees", "rating"),
    [
        ("NBR", 90, "suitable"), ("NBR", 115, "limited"), ("NBR", 130, "unsuitable"),
        ("NBR", -25, "limited"), ("NBR", -45, "unsuitable"), ("FKM", 150, "suitable"),
        ("FKM", 260, "unsuitable"), ("FKM", -20, "limited"), ("PTFE", -60, "suitable"),
        ("PTFE", -120, "limited"), ("VMQ", 140, "unsuitable"),
    ],
)  # fmt: skip
def test_heat_and_cold_only_lower_a_rating(material, degrees, rating):
    assert rated("mineral oil", degrees)[material] == rating


def test_no_temperature_makes_a_rating_better():
    order = [rating.value for rating in Rating]
    for fluid in seal_fluids():
        base = rated(fluid.name)
        for degrees in (-60, -30, 20, 90, 130, 210, 300):
            for material, rating in rated(fluid.name, degrees).items():
                assert order.index(rating) >= order.index(base[material])


def test_words_of_several_fluids_are_asked_about():
    for word, names in _SEVERAL.items():
        with pytest.raises(Ambiguous) as asked:
            find_fluid(f"  {word.upper()} ")
        assert asked.value.readings == names
        assert set(names) <= set(fluids_by_word())
        assert word not in fluids_by_word()


def test_an_unknown_fluid_is_refused_with_the_nearest():
    with pytest.raises(InvalidInput) as refused:
        find_fluid("engin oil")
    assert "engine oil" in refused.value.fix
    for odd in ("", "x" * 10_000, "\u0661", "NaN"):
        with pytest.raises(InvalidInput):
            find_fluid(odd)


def test_temperatures_are_read_as_the_trade_writes_them():
    assert [read_temperature(text) for text in ("90", "90,5", "-20", "90 °C")] == [
        90,
        90.5,
        -20,
        90,
    ]
    assert read_temperature("194 °F") == pytest.approx(90)
    for odd in ("22 ft-lb", "hot", "", "1e400", "NaN", "80-90 °C"):
        with pytest.raises(InvalidInput) as refused:
            read_temperature(odd)
        assert refused.value.pointer == "/temperature"
    with pytest.raises(OutOfRange):
        rate_materials(find_fluid("air"), 2000)
