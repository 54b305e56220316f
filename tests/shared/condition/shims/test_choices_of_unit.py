"""The shims of one unit, from what is on record."""

from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from shared.assemblies.model import (
    Characteristic,
    Derivation,
    DerivationKind,
    DerivationTerm,
    Grade,
    InspectionMethod,
    Position,
    RenewalRule,
)
from shared.condition.model import (
    Finding,
    Gauge,
    Reading,
    Shim,
    ShimEffect,
    ShimPack,
    ShimStage,
    Unit,
    UnitKind,
)
from shared.condition.shim_place import ShimPlace
from shared.condition.shims.choices_of_unit import (
    MeasuredNow,
    OnHand,
    ShimRecords,
    choices_of_unit,
)
from tests.shared.condition.shims.asking import q, shims_of, sold

PLACE = ShimPlace(
    "spl_1",
    "pos_1",
    "input shaft",
    ShimEffect.MORE_SHIMS_DECREASE,
    sets_characteristic_id="chr_1",
    sizes=sold("0.20", "0.30"),
)
FLOAT = Characteristic("chr_1", "pos_1", "end float", new_lower=q("0.05"), new_upper=q("0.15"))
FOUND = ShimPack(
    "shm_1",
    "unt_1",
    "Input shaft",
    "end float",
    ShimEffect.MORE_SHIMS_DECREASE,
    ShimStage.AS_FOUND,
    "bench two",
    date(2031, 3, 4),
    (Shim(q("0.20")),),
)
READ = Finding(
    "fnd_1",
    "unt_1",
    "pos_1",
    "chr_1",
    "bench two",
    datetime(2031, 3, 4, 9, tzinfo=UTC),
    InspectionMethod.GAUGE,
    measured=q("0.20", standard_uncertainty="0.006"),
)
RECORDS = ShimRecords(
    Unit("unt_1", "asm_1", UnitKind.CUSTOMER),
    (PLACE,),
    (),
    (FLOAT,),
    (READ,),
    (),
    (FOUND,),
    (),
    Decimal("0.95"),
)


def choose(now=None, **members):
    (choice,) = choices_of_unit(replace(RECORDS, **members), now)
    return choice


def test_the_pack_and_the_finding_give_the_choice():
    choice = choose()
    assert (choice.missing, choice.finding_id, choice.pack) == ((), "fnd_1", FOUND)
    assert [shims_of(pack) for pack in choice.found.packs] == [["0.3"]]
    assert choice.found.old_pack.total == q("0.2")


def test_the_shops_probability_decides():
    sure = choose(acceptance_probability=Decimal("0.9999999999999"))
    assert sure.found.advice == "not-likely-enough"


def test_stock_counts_where_its_part_is_sold_for_the_place():
    sizes = tuple(replace(size, part_id=f"prt_{place}") for place, size in enumerate(PLACE.sizes))
    place = replace(PLACE, sizes=sizes)
    other = choose(places=(place,), stock=(OnHand("prt_9", 5),))
    assert other.found.packs[0].from_stock is False
    there = choose(places=(place,), stock=(OnHand("prt_1", 5),))
    assert there.found.packs[0].from_stock is True
    # What it was measured as goes before what it is sold as.
    read = choose(
        places=(place,), stock=(OnHand("prt_1", 5, q("0.296", standard_uncertainty="0.002")),)
    )
    assert shims_of(read.found.packs[0]) == ["0.296"]


@pytest.mark.parametrize(
    ("members", "said"),
    [
        ({"packs": ()}, "no as-found pack is recorded"),
        ({"findings": ()}, "end float is not measured"),
        ({"characteristics": ()}, "not on record as a characteristic"),
        ({"characteristics": (replace(FLOAT, new_upper=None),)}, "a limit on one side only"),
        ({"places": (replace(PLACE, sizes=()),)}, "no thicknesses are on record"),
        ({"findings": (READ, replace(READ, id="fnd_2"))}, "several findings"),
        ({"packs": (replace(FOUND, effect=ShimEffect.MORE_SHIMS_INCREASE),)}, "no as-found pack"),
        ({"packs": (replace(FOUND, place="output shaft"),)}, "no as-found pack"),
        ({"findings": (replace(READ, measured=None, at_least=q("0.2")),)}, "from one side only"),
        (
            {
                "findings": (
                    replace(
                        READ,
                        measured=None,
                        readings=(Reading(q("0.18"), "a"), Reading(q("0.22"), "b")),
                    ),
                )
            },
            "nothing says which of them counts",
        ),
    ],
)
def test_what_is_not_on_record_is_told_and_not_made_up(members, said):
    choice = choose(**members)
    assert any(said in text for text in choice.missing)
    if "sizes" not in said and "thicknesses" not in said:
        assert choice.found is None


FITTED = replace(
    FOUND,
    id="shm_2",
    stage=ShimStage.AS_FITTED,
    recorded_on=date(2031, 3, 4),
    job_id="job_1",
    shims=(Shim(q("0.30")),),
)


def read_at(day, hour, value="0.10"):
    at = datetime(2031, 3, day, hour, tzinfo=UTC)
    measured = q(value, standard_uncertainty="0.006")
    return replace(READ, id="fnd_2", found_at=at, measured=measured)


@pytest.mark.parametrize(
    ("found_at", "counts"),
    [
        ((3, 9), False),
        ((4, 9), False),  # the same day: before or after is not known
        ((5, 11), False),  # in the last zone it is still the day of fitting
        ((5, 12), True),
    ],
)
def test_a_finding_counts_only_if_made_after_the_pack_was_fitted(found_at, counts):
    choice = choose(packs=(FOUND, FITTED), findings=(read_at(*found_at),))
    assert (choice.found is not None) is counts
    told = "has not been measured since the pack was fitted" in " ".join(choice.missing)
    assert told is not counts


def test_what_is_measured_over_the_fitted_pack_counts_beside_what_was_before():
    on_record = {"shm_2": datetime(2031, 3, 4, 14, tzinfo=UTC)}
    choice = choose(packs=(FOUND, FITTED), findings=(READ, read_at(4, 15)), recorded_at=on_record)
    assert (choice.pack, choice.finding_id) == (FITTED, "fnd_2")
    assert choice.found.advice == "old-pack-stays" and not choice.found.packs
    assert "probability above 0.9999" in choice.found.reason
    early = choose(packs=(FOUND, FITTED), findings=(read_at(4, 13),), recorded_at=on_record)
    assert early.found is None


def test_a_fitted_pack_that_came_out_wrong_is_chosen_anew():
    for value in ("0.145", "0.20"):  # in the range, but not surely; beyond it
        choice = choose(packs=(FOUND, FITTED), findings=(read_at(6, 9, value),))
        assert choice.found.advice != "old-pack-stays" and choice.found.packs
    # Of a pack as found nothing is kept because it happens to be right: it has been out.
    assert choose(findings=(read_at(4, 9),)).found.advice == "fit-and-check"


def test_packs_for_a_part_that_is_to_be_renewed_are_a_first_idea():
    bearing = Position("pos_2", "asm_1", "Bearing")
    noise = Characteristic("chr_2", "pos_2", "noise", worst_acceptable_grade=Grade.LIGHT)
    rough = Finding(
        "fnd_3", "unt_1", "pos_2", "chr_2", "bench two", READ.found_at, InspectionMethod.BY_EYE,
        grade=Grade.HEAVY,
    )  # fmt: skip
    members = {
        "places": (replace(PLACE, disturbed_by_position_ids=("pos_2",)),),
        "positions": (bearing,),
        "characteristics": (FLOAT, noise),
    }
    idea = "Bearing is to be renewed"
    assert idea in " ".join(choose(**members, findings=(READ, rough)).cautions)
    good = replace(rough, grade=Grade.NONE)
    assert idea not in " ".join(choose(**members, findings=(READ, good)).cautions)
    due = replace(bearing, renewal_rule=RenewalRule.ALWAYS)
    always = choose(**{**members, "positions": (due,)}, findings=(READ, good))
    assert idea in " ".join(always.cautions)
    # The pack that stays was measured with the new part.
    after = choose(**members, packs=(FITTED,), findings=(read_at(6, 9), rough))
    assert idea not in " ".join(after.cautions)


def test_a_gauge_out_of_calibration_leaves_the_doubt_unknown():
    gauge = Gauge(
        "gge_1",
        "Indicator 2",
        standard_uncertainty=q("0.006"),
        calibrated_on=date(2029, 1, 1),
        calibration_months=12,
    )
    read = replace(READ, measured=q("0.20"), gauge_id="gge_1")
    choice = choose(findings=(read,), gauges=(gauge,))
    assert choice.found.advice == "doubt-not-known"
    assert any("ran out" in text for text in choice.cautions)
    good = replace(gauge, calibrated_on=date(2030, 6, 1))
    assert choose(findings=(read,), gauges=(good,)).found.advice == "fit-and-check"
    dirty = choose(findings=(replace(READ, is_cleaned=False),))
    assert dirty.found.advice == "doubt-not-known"


def test_a_derived_setting_counts_like_one_that_was_measured():
    depth = Characteristic("chr_2", "pos_1", "depth", unit="mm")
    stack = Characteristic("chr_3", "pos_1", "stack", unit="mm")
    derived = replace(
        FLOAT,
        derivation=Derivation(
            DerivationKind.SUM,
            (DerivationTerm("chr_2"), DerivationTerm("chr_3", Decimal(-1))),
        ),
    )
    findings = tuple(
        replace(READ, id=f"fnd_{of}", characteristic_id=of, measured=q(size, plus_minus="0.004"))
        for of, size in (("chr_2", "30.20"), ("chr_3", "30.00"))
    )
    choice = choose(characteristics=(derived, depth, stack), findings=findings)
    assert choice.finding_id == "derived:chr_1"
    assert shims_of(choice.found.packs[0]) == ["0.3"]
    half = choose(characteristics=(derived, depth, stack), findings=findings[:1])
    assert half.found is None and "stack is not measured" in half.missing[0]


def test_what_is_measured_now_goes_before_the_finding():
    now = MeasuredNow(q("0.40", standard_uncertainty="0.006"), is_without_shims=True)
    choice = choose(now, packs=(), findings=())
    assert choice.found.needed.value.value == Decimal("0.3")
    choice = choose(MeasuredNow(q("0.10", standard_uncertainty="0.006")))
    assert shims_of(choice.found.packs[0]) == ["0.2"] and choice.found.packs[0].from_stock
