"""A kept part with readings over its hours: the chance to be at its limit by the horizon counts.

A journal read at 1,000 h and at 2,000 h with u = 0.001 mm each wears 0.02 mm in 1,000 h; its limit
lies 0.06 mm further. By arithmetic the line reaches it 3,000 h after the second reading, and as the
readings are normal and independent, with a chance of one half. After x thousand hours it is there
with the chance that a normal deviate is below (0.02 x - 0.06) / (u sqrt((1 + x)^2 + x^2)) (law of
propagation, JCGM 100 5.1.2).
"""

from math import sqrt

import pytest
from scipy.stats import norm

from shared.condition.model import Verdict
from shared.decision.building.build import build
from shared.decision.building.wear_life import wear_life
from shared.decision.codec import from_builtins
from shared.decision.snapshot import Snapshot
from shared.life.renewal import expected_failures
from tests.snapshots import (
    answer,
    best,
    chosen,
    donor,
    eur,
    goods,
    job,
    own_unit,
    part,
    position,
    settings,
    snapshot,
    supplier,
)

U = 0.001
LIMIT = "19.90"


def length(value, **doubt):
    return {"value": value, "unit": "mm", **doubt}


def read(value, hours, unit="1", **members):
    return {
        "id": f"fnd_{unit}_{value}",
        "unit_id": f"unt_{unit}",
        "position_id": "pos_shaft",
        "characteristic_id": "chr_shaft",
        "found_by": "Technician A",
        "found_at": f"2030-0{1 + int(hours or 0) // 1000}-01T07:00:00Z",
        "method": "gauge",
        "measured": length(value, standard_uncertainty=str(U)),
        "unit_hours": hours,
        **members,
    }


WORN = [read("19.98", "1000"), read("19.96", "2000")]


def shaft(*findings, kept="0.001", horizon="3000", **members):
    """A journal that may be kept; a new one is 50, a comeback costs 40 besides."""
    base = {
        "job": job(horizon_hours=horizon),
        "settings": settings_of(kept),
        "parts": [part("shaft")],
        "positions": [position("shaft")],
        "characteristics": [
            {
                "id": "chr_shaft",
                "position_id": "pos_shaft",
                "name": "journal",
                "service_lower": length(LIMIT),
            }
        ],
        "findings": list(findings or WORN),
        "suppliers": [supplier("a")],
        "offers": [goods("shaft", "a", "50")],
    }
    return snapshot(**{**base, **members})


def settings_of(kept="0.001", **members):
    record = {"kind": "keep", "prior_mean": kept, "prior_weight": "10", "basis": "own record"}
    return settings(comeback_experience=[record] if kept else [], **members)


def kept_of(members, proved=None):
    """Facts of the kept part, and what its chance of failure stands on."""
    built = build(from_builtins(members, Snapshot), proved=proved)
    facts = built.draft.facts["pos_shaft:keep"]
    return facts, "; ".join(built.draft.all_assumptions())


def test_half_of_such_parts_are_at_the_limit_when_the_line_is():
    long = settings_of(None, warranty={"warranty_hours": "2800"})
    facts, told = kept_of(shaft(settings=long))
    assert facts.spec.survival(3000) == pytest.approx(0.5, abs=1e-6)
    x = 2.8
    early = norm.cdf((0.02 * x - 0.06) / (U * sqrt((1 + x) ** 2 + x**2)))
    assert facts.spec.survival(2800) == pytest.approx(1 - early, abs=1e-6)
    assert "by its wear: 2e-05 mm/h, at the limit in" in told


def test_a_horizon_beyond_the_limit_turns_the_plan():
    assert chosen(best(shaft(horizon="1000"))) == {"shaft": "keep"}
    far = shaft(horizon="6000", settings=settings_of(warranty={"comeback_fixed_cost": eur("40")}))
    assert chosen(best(far)) == {"shaft": "new"}
    unworn = shaft(read("19.96", None), horizon="6000", settings=far["settings"])
    assert chosen(best(unworn)) == {"shaft": "keep"}


def test_the_record_counts_where_it_is_worse():
    facts, told = kept_of(shaft(kept="0.4"))
    assert facts.spec.survival(500) == pytest.approx(0.6)
    assert "own record" in told


def test_within_the_warranty_the_record_counts_where_it_is_worse_there():
    facts, told = kept_of(shaft(kept="0.01"))
    # By its wear next to none in 500 h, by the record 1 %; half by wear in 3,000 h, 6 % by record.
    assert facts.spec.survival(500) == pytest.approx(0.99)
    assert facts.spec.survival(3000) == pytest.approx(0.5, abs=1e-6)
    assert "by its wear" in told
    assert "within the warranty the shop's experience" in told


def test_nothing_else_on_record_is_told_with_it():
    facts, told = kept_of(shaft(kept=None))
    assert facts.spec is not None
    assert "nothing else on record" in told


@pytest.mark.parametrize(
    "findings", [[read("19.96", "2000")], [read("19.98", None), read("19.96", None)]]
)
def test_without_two_readings_over_hours_there_is_no_trend(findings):
    facts, told = kept_of(shaft(*findings))
    assert facts.spec.survival(500) == pytest.approx(0.999)
    assert "by its wear" not in told
    assert not any("again" in note for note in facts.notes)


def test_readings_on_another_unit_tell_nothing_of_this_one():
    given = [read("19.98", "1000", "d"), read("19.96", "2000", "d"), read("19.95", None)]
    facts, told = kept_of(shaft(*given, units=[own_unit(), donor("d")]))
    assert facts.spec.survival(500) == pytest.approx(0.999)
    assert "by its wear" not in told


def test_when_to_measure_again_is_told_on_the_line():
    (line,) = best(shaft()).lines
    half = "measure journal again after 1500 h at the latest: half the remaining hours"
    assert any(half in note for note in line.notes)
    capped = settings_of(rules={"inspection_cap_hours": "400"})
    (line,) = best(shaft(settings=capped)).lines
    assert any("after 400 h at the latest: the shop's cap" in note for note in line.notes)
    # Where a failure is dangerous half of what is left at least counts, not half the estimate.
    facts, _ = kept_of(shaft(positions=[position("shaft", is_safety_critical=True)]))
    assert any("half the lower bound of the remaining hours" in note for note in facts.notes)


def test_what_wears_inside_a_part_that_stays_whole_counts():
    inside = [position("shaft", parent_id="pos_rotor"), position("rotor")]
    parts = [part("shaft"), part("rotor")]
    inside[1]["serviceability"] = {"ruling": "replace-as-assembly", "reason": "balanced"}
    whole = build(from_builtins(shaft(kept=None, positions=inside, parts=parts), Snapshot))
    facts = whole.draft.facts["pos_rotor:keep"]
    assert facts.spec.survival(3000) == pytest.approx(0.5, abs=1e-6)


def test_hours_that_the_unit_has_run_since_are_counted():
    ran = [own_unit(lower_hours="2400", upper_hours="2500")]
    facts, _ = kept_of(shaft(kept=None, horizon="2500", units=ran))
    assert facts.spec.survival(2500) == pytest.approx(0.5, abs=1e-6)


def test_a_size_that_goes_the_wrong_way_is_told_and_not_reckoned_with():
    facts, told = kept_of(shaft(read("19.96", "1000"), read("19.98", "2000")))
    assert facts.spec.survival(500) == pytest.approx(0.999)
    assert any("no trend of wear of journal" in note for note in facts.notes)
    assert "by its wear" not in told


def test_a_part_beyond_its_limit_is_priced_as_such_and_not_by_a_trend():
    risky = settings_of(policy={"refit_nonconforming": "allowed"})
    risky["comeback_experience"].append(
        {"kind": "keep-nonconforming", "prior_mean": "0.3", "prior_weight": "10"}
    )
    beyond = shaft(read("19.95", "1000"), read("19.85", "2000"), settings=risky)
    facts, told = kept_of(beyond)
    assert facts.verdict is Verdict.NONCONFORMING
    assert facts.spec.survival(500) == pytest.approx(0.7)
    assert "by its wear" not in told


def test_proof_that_it_conforms_takes_the_chance_to_be_at_the_limit_already_off():
    close = [read("19.915", "1000"), read("19.9015", "2000")]
    members = shaft(
        *close, horizon="60", settings=settings_of(None, warranty={"warranty_hours": "50"})
    )
    doubtful, _ = kept_of(members)
    settled, _ = kept_of(members, proved={"pos_shaft": Verdict.CONFORMING})
    assert doubtful.verdict is Verdict.INDETERMINATE
    at_once = norm.cdf(-1.5)  # 0.0015 mm off the limit, u = 0.001 mm
    assert doubtful.spec.survival(50) == pytest.approx(
        settled.spec.survival(50) * (1 - at_once), rel=1e-6
    )


def test_a_life_by_wear_that_is_over_is_as_short_as_can_be_and_one_out_of_reach_as_long():
    assert wear_life(lambda hours: 1.0, 500, 900).survival(500) < 1e-9
    assert wear_life(lambda hours: 0.0, 500, 900).survival(500) == pytest.approx(1)


@pytest.mark.parametrize(
    ("warranty", "horizon"), [(500, 3000), (500, 1001), (900, 600), (400, 400)]
)
@pytest.mark.parametrize(
    "chance",
    [
        lambda hours: float(hours >= 1000),  # sharper than any Weibull that is reckoned with
        lambda hours: norm.cdf(hours, 3000, 900),
        lambda hours: norm.cdf((hours - 500) / (20 + hours / 2)),  # a rate that is little known
        lambda hours: 0.0009 + 0.3 * (hours >= 450) + 0.6991 * norm.cdf(hours, 2000, 100),
        lambda hours: 0.3 + 0.7 * norm.cdf(hours, 1000, 100),  # may be over already
    ],
)
def test_a_life_by_wear_is_never_more_hopeful_than_the_trend_where_it_is_read(
    chance, warranty, horizon
):
    life = wear_life(chance, warranty, horizon)
    for hours in (warranty, horizon):
        assert 1 - life.survival(hours) >= chance(hours) - 1e-9


def test_of_several_measures_that_wear_the_first_at_its_limit_ends_it():
    members = shaft(kept=None)
    (journal,) = members["characteristics"]
    members["characteristics"].append({**journal, "id": "chr_other", "name": "other journal"})
    members["findings"] += [
        {**one, "id": f"{one['id']}_b", "characteristic_id": "chr_other"} for one in WORN
    ]
    facts, told = kept_of(members)
    assert facts.spec.survival(3000) == pytest.approx(0.25, abs=1e-6)  # one half each
    assert "(other journal); by its wear" in told


def test_what_is_as_good_as_worn_out_does_not_fail_time_and_again_without_end():
    life = wear_life(lambda hours: 1.0, 500, 1500)
    assert expected_failures(life, 1500) < 100
    likely = wear_life(lambda hours: min(0.95, 0.9 + hours / 1e5), 500, 1500)
    assert expected_failures(likely, 1500) < 8


def test_such_readings_are_not_moved_to_see_what_would_change_and_that_is_told():
    asked = {"break_evens": 30, "settlings": 0}
    result = answer(shaft(asked=asked))
    assert not any("reading" in one.subject for one in result.break_evens)
    assert any("further inputs" in one for one in result.effort.left_out)
    plain = answer(shaft(read("19.96", None), asked=asked))
    assert any("reading" in one.subject for one in plain.break_evens)
