"""Who can give a position: shelf, donors, other assemblies; every reason why not; what it costs."""

from decimal import Decimal
from itertools import product

import pytest

from shared.decision.building.build import build
from shared.decision.codec import from_builtins
from shared.decision.giving.donors import donors_of
from shared.decision.giving.found import GiverKind, Likeness
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput
from tests.shared.decision.test_shelf_laws import yard as invented_yard
from tests.snapshots import (
    donor,
    eur,
    goods,
    looks,
    own_unit,
    part,
    position,
    seen,
    settings,
    snapshot,
    supplier,
    work,
)

WEAR_90 = {"prior_mean": "0.9", "prior_weight": "10", "basis": "shop's count"}


def yard(*donors, experience=(WEAR_90,), keys=("gear", "shaft"), rules=None, **members):
    """A worn gear and a worn shaft, both on offer; donors as given."""
    return snapshot(
        **{
            "parts": [part(key) for key in keys],
            "positions": [position(key) for key in keys],
            "suppliers": [supplier("a")],
            "offers": [goods(key, "a", "400") for key in keys],
            "units": [own_unit(), *donors],
            "settings": settings(salvage_experience=list(experience), **(rules or {})),
            **looks(**dict.fromkeys(keys, "heavy")),
            **members,
        }
    )


def ask(members, key="gear"):
    return donors_of(from_builtins(members, Snapshot), f"pos_{key}")


def givers(found):
    return [one.giver.salvaged_part_id or one.giver.unit_id for one in found.givings]


def reasons(found, unit_id):
    return next(one.reasons for one in found.cannot_give if one.giver.unit_id == unit_id)


def worths(**by_key):
    return [{"position_id": f"pos_{key}", "worth": eur(worth)} for key, worth in by_key.items()]


def stripped(*keys, **members):
    """A donor that has given these as salvaged parts already."""
    return donor("old", worth="1", taken_position_ids=[f"pos_{key}" for key in keys], **members)


def shelved(key, at="gear", out_of="old", **members):
    return {
        "id": f"slv_{key}",
        "donor_unit_id": f"unt_{out_of}",
        "position_id": f"pos_{at}",
        "label": f"L-{key}",
        "inspected_by": "Technician A",
        "inspected_on": "2031-02-01",
        **members,
    }


def test_a_donor_gives_with_its_chance_its_hours_and_what_it_loses():
    terms = {
        "remainder_worth": eur("60"),
        "part_worths": worths(gear="25", shaft="15"),
        "strip_p50_hours": "1",
        "strip_p90_hours": "2",
    }
    one = donor(
        "d",
        worth="100",
        terms=terms,
        lower_hours="800",
        upper_hours="900",
        provenance="farm sale",
        reason_retired="wear",
        serial_number="LF-7",
    )
    found = ask(yard(one, operations=[work("gear", "harvest", "0.5", "1", position_id="pos_gear")]))
    (giving,) = found.givings
    assert (giving.chance, giving.basis) == (pytest.approx(0.9), "shop's count")
    assert (giving.take_p50_hours, giving.take_p90_hours) == (Decimal("0.5"), Decimal(1))
    assert (giving.strip_p50_hours, giving.strip_p90_hours) == (1, 2)
    loss = giving.loss
    assert loss.taken is not None and loss.rest_before is not None and loss.rest_after is not None
    assert (loss.rest_before.amount, loss.taken.amount, loss.rest_after.amount) == (60, 25, 35)
    assert loss.outlay is not None and (loss.outlay.amount, loss.is_owned) == (100, True)
    assert [p.id for p in loss.still_gives] == ["pos_shaft"]
    giver = giving.giver
    assert (giver.traits.serial_number, giver.provenance, giver.reason_retired) == (
        "LF-7",
        "farm sale",
        "wear",
    )
    assert (giver.lower_hours, giver.upper_hours) == (800, 900)


def test_what_left_before_has_lessened_the_rest_and_is_given_no_more():
    terms = {"remainder_worth": eur("60"), "part_worths": worths(gear="25", shaft="15")}
    one = donor("d", worth="100", terms=terms, taken_position_ids=["pos_shaft"])
    (giving,) = ask(yard(one)).givings
    assert giving.loss.rest_before is not None and giving.loss.rest_before.amount == 45
    assert giving.loss.still_gives == ()
    assert reasons(ask(yard(one), "shaft"), "unt_d") == ("a piece of it was taken already",)


def test_the_shelf_comes_first_then_the_likeliest_then_the_least_given_up():
    dear, cheap, looked_at = (
        donor(key, worth="1", terms={"part_worths": worths(gear=w), "remainder_worth": eur("99")})
        for key, w in (("dear", "30"), ("cheap", "20"), ("seen", "90"))
    )
    members = yard(dear, cheap, looked_at, stripped("gear"), salvaged_parts=[shelved("1")])
    members["findings"].append(seen("gear", "none", "seen"))
    found = ask(members)
    assert givers(found) == ["slv_1", "unt_seen", "unt_cheap", "unt_dear"]
    assert found.givings[0].giver.kind is GiverKind.SHELF
    assert found.givings[1].chance == 1.0
    assert found.givings[1].basis == "measured on the donor, conforming"
    assert found.givings[0].chance is None  # nobody wrote down what was found of it


def test_another_generation_and_another_ratio_are_both_told_with_the_speed():
    """A thread on boat drives: generations do not mix, and 1.84 for 1.98 turns it 7.6 % faster."""
    members = yard(
        donor("d", worth="1", ratio="1.84", generation="1"),
        donor("e", worth="1", ratio="1.98", generation="2"),
        donor("f", worth="1", ratio="1.98"),
        positions=[position("gear", is_variant_bound=True), position("shaft")],
    )
    members["units"][0] |= {"ratio": "1.98", "generation": "2"}
    found = ask(members)
    assert givers(found) == ["unt_e"]
    assert reasons(found, "unt_d") == (
        "depends on the ratio: the other is '1.84', the unit is '1.98'; the other ratio turns the"
        " output 7.6 % faster",
        "depends on the generation: the other is '1', the unit is '2'",
    )
    assert reasons(found, "unt_f") == (
        "depends on the generation, and that of one unit is not on record",
    )
    by_unit = {one.giver.unit_id: one.giver.compared for one in found.cannot_give}
    likeness = {one.name: one.likeness for one in by_unit["unt_f"]}
    assert likeness == {"ratio": Likeness.SAME, "generation": Likeness.CANNOT_BE_TOLD}
    speed = {one.name: one.output_speed_percent for one in by_unit["unt_d"]}
    assert speed["ratio"] is not None and round(speed["ratio"], 1) == Decimal("7.6")
    assert givers(ask(members, "shaft")) == ["unt_d", "unt_e", "unt_f"]  # bound to nothing


def test_a_counter_rotating_drive_takes_no_inner_part_of_a_standard_one():
    """Threads on boat drives: thrust bearings and shaft differ with the hand."""
    members = yard(
        donor("d", worth="1", hand="right"),
        positions=[position("gear", is_variant_bound=True), position("shaft")],
    )
    members["units"][0]["hand"] = "left"
    assert reasons(ask(members), "unt_d") == (
        "depends on the hand: the other is 'right', the unit is 'left'",
    )


def test_every_reason_is_told_not_only_the_first():
    burnt = donor(
        "d", worth="1", hand="right", reason_retired="fire", taken_position_ids=["pos_gear"]
    )
    gear = position("gear", is_variant_bound=True, is_safety_critical=True)
    members = yard(burnt, positions=[gear, position("shaft")])
    members["units"][0]["hand"] = "left"
    members["findings"].append(seen("gear", "heavy", "d"))
    told = reasons(ask(members), "unt_d")
    assert len(told) == 5
    assert any("gear is safety-critical" in one for one in told)
    assert any("retired by fire" in one for one in told)
    assert "a piece of it was taken already" in told
    assert any("depends on the hand" in one for one in told)
    assert any("nonconforming on the donor" in one for one in told)


def test_a_matched_set_comes_whole_with_the_chance_of_its_worst_part():
    pair = {
        "id": "set_1",
        "assembly_id": "asm_1",
        "kind": "matched",
        "name": "pair",
        "position_ids": ["pos_gear", "pos_shaft"],
    }
    kit = part("kit", kit_lines=[{"part_id": "prt_gear"}, {"part_id": "prt_shaft"}])
    terms = {"remainder_worth": eur("60"), "part_worths": worths(gear="25", shaft="15")}
    members = yard(donor("d", worth="1", terms=terms), position_sets=[pair])
    members["parts"].append(kit)
    members["offers"].append(goods("kit", "a", "500"))
    members["findings"].append(seen("gear", "none", "d"))
    (giving,) = ask(members).givings
    assert [one.id for one in giving.comes_along] == ["pos_shaft"]
    assert giving.chance == pytest.approx(0.9)
    assert giving.basis.startswith("the least likely part of its matched set")
    assert giving.loss.taken is not None and giving.loss.taken.amount == 40
    assert giving.loss.still_gives == ()
    broken = {**members, "units": [own_unit(), donor("d", worth="1")]}
    broken["units"][1]["taken_position_ids"] = ["pos_shaft"]
    assert any("set 'pair' is broken" in one for one in reasons(ask(broken), "unt_d"))


def test_hours_of_a_set_are_those_of_all_its_parts():
    pair = {
        "id": "set_1",
        "assembly_id": "asm_1",
        "kind": "matched",
        "name": "pair",
        "position_ids": ["pos_gear", "pos_shaft"],
    }
    kit = part("kit", kit_lines=[{"part_id": "prt_gear"}, {"part_id": "prt_shaft"}])
    take = [
        work(key, "harvest", p50, p90, position_id=f"pos_{key}")
        for key, p50, p90 in (("gear", "0.5", "1"), ("shaft", "0.3", "0.4"))
    ]
    members = yard(donor("d", worth="1"), position_sets=[pair], operations=take)
    members["parts"].append(kit)
    members["offers"].append(goods("kit", "a", "500"))
    (giving,) = ask(members).givings
    assert (giving.take_p50_hours, giving.take_p90_hours) == (Decimal("0.8"), Decimal("1.4"))
    assert giving.has_take_hours
    (giving,) = ask({**members, "operations": take[:1]}).givings
    assert giving.take_p50_hours == Decimal("0.5") and not giving.has_take_hours


def test_of_donors_as_likely_the_one_that_gives_up_less_comes_first():
    """What is paid, less what the rest is worth afterwards.

    190 - 80 + 15, 90 - 40 + 25 and 300 - 290 + 40: neither the part's worth nor the price tells.
    """
    three = (
        donor(
            key,
            worth=worth,
            terms={"part_worths": worths(gear=gear), "remainder_worth": eur(rest)},
        )
        for key, worth, rest, gear in (
            ("dear", "190", "80", "15"),
            ("middle", "90", "40", "25"),
            ("good_rest", "300", "290", "40"),
        )
    )
    assert givers(ask(yard(*three))) == ["unt_good_rest", "unt_middle", "unt_dear"]


def test_what_nobody_wrote_down_is_told():
    bought = {
        "is_owned": False,
        "price": eur("90"),
        "undisturbed_worth": None,
        "remainder_worth": eur("60"),
        "freight": eur("12"),
        "p50_days": "3",
        "p90_days": "10",
    }
    one = donor("d", terms=bought, ratio="1.84", hand="left")
    members = yard(one)
    members["units"][0] |= {"ratio": "1.98", "hand": "left", "generation": "2"}
    (giving,) = ask(members).givings
    assert giving.loss.taken is None and giving.loss.rest_after is None
    assert giving.loss.rest_before is not None and giving.loss.rest_before.amount == 60
    unlike, buying, hours, loses = giving.notes
    assert unlike.startswith(
        "The donor differs in ratio; not on record of both units: generation. By the record"
    )
    assert "after 3 working days in five cases of ten, after 10 in nine" in buying
    assert "freight 12.00 EUR" in buying
    assert "Hours to take it" in hours and not giving.has_take_hours
    assert "rest loses" in loses
    at_once = {**bought, "p50_days": "0", "p90_days": "0", "freight": None}
    (giving,) = ask(yard(donor("d", terms=at_once))).givings
    assert "no time to bring it here is on record" in giving.notes[0]
    known = {"remainder_worth": eur("60"), "part_worths": worths(gear="5")}
    alike = donor("d", worth="1", terms=known)
    take = [work("gear", "harvest", "0.5", "1", position_id="pos_gear")]
    (giving,) = ask(yard(alike, operations=take)).givings
    assert giving.notes == ()


def test_pieces_that_are_planned_singly_are_one_giving_each_piece_by_itself():
    members = yard(
        donor("d", worth="1", terms={"part_worths": worths(gear="9"), "remainder_worth": eur("9")}),
        positions=[position("gear", quantity=2), position("shaft")],
    )
    worn = next(one for one in members["findings"] if one["position_id"] == "pos_gear")
    members["findings"] = [{**worn, "id": f"fnd_{n}", "piece": n} for n in (1, 2)]
    found = ask(members)
    (giving,) = found.givings
    assert (found.pieces, giving.pieces) == (2, 1)
    assert giving.chance == pytest.approx(0.9)
    assert [one.id for one in giving.loss.still_gives] == ["pos_shaft"]
    together = {**members, "findings": [worn]}
    (both,) = ask(together).givings
    assert (both.pieces, both.chance) == (2, pytest.approx(0.81))


def test_without_anything_to_take_its_place_a_doubtful_part_is_no_giving():
    found = ask(yard(donor("d", worth="1"), offers=[goods("shaft", "a", "400")]))
    assert found.givings == ()
    assert reasons(found, "unt_d") == (
        "it may prove bad, and nothing else on offer could take its place",
    )
    allowed = settings(policy={"harvest_without_fallback": "allowed"}, salvage_experience=[WEAR_90])
    one = ask(yard(donor("d", worth="1"), offers=[], settings=allowed))
    assert givers(one) == ["unt_d"]


def test_shims_stay_with_their_unit():
    """Situation from the trade: the donor's shims never move with the donor's case."""
    members = yard(
        donor("d", worth="1"),
        keys=("gear", "shim", "shaft"),
        positions=[
            position("gear"),
            position("shim", renewal_rule="select-fit"),
            position("shaft"),
        ],
    )
    found = ask(members)
    assert [one.id for one in found.select_fit] == ["pos_shim"]
    assert any("none comes from a donor" in note for note in found.notes)
    own = ask(members, "shim")
    assert own.givings == ()
    assert any("none comes from a donor" in note for note in own.notes)
    burnt = {**members, "units": [own_unit(), donor("d", worth="1", reason_retired="fire")]}
    assert ask(burnt).notes == ()  # nothing is given, so nothing is said of what does not come
    assert reasons(own, "unt_d") == (
        "chosen by measuring: it stays with the unit it was measured for",
    )


def test_what_lies_inside_something_dealt_with_whole_is_not_given_by_itself():
    parts = [shelved("1", at="shaft")]
    members = yard(donor("d", worth="1"), stripped("shaft"), salvaged_parts=parts)
    members["positions"][1]["parent_id"] = "pos_gear"
    members["positions"][0]["serviceability"] = {"ruling": "inspect-only"}
    found = ask(members, "shaft")
    assert (found.givings, found.decided_with and found.decided_with.id) == ((), "pos_gear")
    assert [one.giver.salvaged_part_id for one in found.cannot_give] == ["slv_1"]
    assert givers(ask(members)) == ["unt_d"]


def test_a_part_on_the_shelf_is_told_with_its_own_hours_variant_and_worth():
    members = yard(
        stripped("gear", variant="short", lower_hours="900"),
        donor("older", worth="1", variant="short", taken_position_ids=["pos_gear"]),
        positions=[position("gear", is_variant_bound=True), position("shaft")],
        salvaged_parts=[
            shelved("1", lower_hours="700", variant="long", worth=eur("35")),
            shelved("2", out_of="older"),
        ],
        held_parts=[{"id": "slv_9", "position_id": "pos_gear"}],
    )
    members["units"][0]["variant"] = "long"
    found = ask(members)
    (giving,) = found.givings
    assert (giving.giver.salvaged_part_id, giving.giver.lower_hours) == ("slv_1", 700)
    assert giving.loss.taken is not None and giving.loss.taken.amount == 35
    cannot = {one.giver.salvaged_part_id: one.reasons for one in found.cannot_give}
    assert cannot["slv_2"] == ("depends on the variant: the other is 'short', the unit is 'long'",)
    assert cannot["slv_9"] == ("held for another job",)


def test_a_part_that_is_not_weighed_says_so():
    """Of 26 parts for two pieces the seven of least worth make 21 pairs, the most weighed."""
    rack = position("rack", quantity=26, part_id="prt_gear")
    members = yard(
        stripped("rack"),
        positions=[position("gear", quantity=2), rack, position("shaft")],
        salvaged_parts=[
            shelved(f"{n:02}", at="rack", part_id="prt_gear", piece=n, worth=eur(n))
            for n in range(1, 27)
        ],
    )
    found = ask(members)
    assert givers(found) == [*(f"slv_{n:02}" for n in range(1, 8)), "unt_old"]
    left = {one.giver.salvaged_part_id: one.reasons for one in found.cannot_give}
    assert all("not weighed" in left[f"slv_{n:02}"][0] for n in range(8, 27))


def test_names_that_begin_alike_are_not_mixed_up():
    members = yard(
        donor("8", worth="1", serial_number="7", taken_position_ids=["pos_gear"]),
        donor("9", worth="1", serial_number="77", reason_retired="fire"),
    )
    found = ask(members)
    assert reasons(found, "unt_8") == ("a piece of it was taken already",)
    assert len(reasons(found, "unt_9")) == 1 and "fire" in reasons(found, "unt_9")[0]


def test_donors_of_one_serial_number_keep_their_own_reasons():
    """Serial numbers of two makers, or a mistake in one of them."""
    burnt = donor("burnt", worth="1", serial_number="7", reason_retired="fire")
    stripped_one = donor("taken", worth="1", serial_number="7", taken_position_ids=["pos_gear"])
    cracked = donor("bad", worth="1", serial_number="7")
    members = yard(burnt, stripped_one, cracked)
    members["findings"].append(seen("gear", "heavy", "bad"))
    found = ask(members)
    assert reasons(found, "unt_taken") == ("a piece of it was taken already",)
    (fire,) = reasons(found, "unt_burnt")
    assert "retired by fire" in fire
    (bad,) = reasons(found, "unt_bad")
    assert bad.startswith("nonconforming on the donor")


def test_two_positions_of_one_name_in_another_assembly_keep_their_own_reasons():
    one = donor("d", worth="1", assembly_id="asm_2", taken_position_ids=["pos_left"])
    gifts = [other_assembly(id="pos_left"), other_assembly(id="pos_right", part_id="prt_shaft")]
    found = ask(yard(one, gifts=gifts))
    told = {each.giver.position.id: each.reasons for each in found.cannot_give}
    assert len(told["pos_left"]) == len(told["pos_right"]) == 1
    assert "taken already" in told["pos_left"][0]
    assert "not planned with here" in told["pos_right"][0]


def test_parts_of_one_label_keep_their_own_reasons():
    members = yard(
        stripped("gear", variant="short"),
        donor("older", worth="1", taken_position_ids=["pos_gear"], reason_retired="fire"),
        positions=[position("gear", is_variant_bound=True), position("shaft")],
        salvaged_parts=[
            {**shelved("1"), "label": "A"},
            {**shelved("2", out_of="older", variant="long"), "label": "A"},
        ],
    )
    members["units"][0]["variant"] = "long"
    told = {one.giver.salvaged_part_id: one.reasons for one in ask(members).cannot_give}
    assert told["slv_1"] == ("depends on the variant: the other is 'short', the unit is 'long'",)
    (fire,) = told["slv_2"]
    assert "retired by fire" in fire


def other_assembly(**gift):
    """A donor of another assembly whose wheel is the same part as the gear here."""
    return {
        "unit_id": "unt_d",
        "to_position_id": "pos_gear",
        "position": {
            "id": "pos_wheel",
            "assembly_id": "asm_2",
            "name": "wheel",
            "part_id": "prt_gear",
            **gift,
        },
    }


def test_a_donor_of_another_assembly_gives_what_is_the_same_part():
    terms = {
        "remainder_worth": eur("60"),
        "part_worths": [{"position_id": "pos_wheel", "worth": eur("25")}],
    }
    one = donor("d", worth="1", terms=terms, assembly_id="asm_2")
    cautions = [{"kind": "hazard", "text": "spring under load"}]
    found = ask(yard(one, gifts=[other_assembly(cautions=cautions)]))
    (giving,) = found.givings
    assert (giving.giver.position.id, giving.giver.assembly_id) == ("pos_wheel", "asm_2")
    assert giving.candidate is not None and giving.candidate.part.id == "prt_gear"
    assert giving.loss.taken is not None and giving.loss.taken.amount == 25
    assert giving.loss.rest_after is not None and giving.loss.rest_after.amount == 35
    assert [one.text for one in giving.cautions] == ["spring under load"]
    assert any("another assembly" in note for note in found.notes)


def test_another_number_is_given_with_the_path_that_lets_it_in():
    claim = {
        "id": "clm_1",
        "part_id": "prt_gear",
        "stand_in_part_id": "prt_wheel",
        "evidence_kind": "maker-bulletin",
        "evidence": "bulletin 7",
    }
    one = donor("d", worth="1", assembly_id="asm_2")
    members = yard(
        one,
        gifts=[other_assembly(part_id="prt_wheel")],
        parts=[part("gear"), part("shaft"), part("wheel")],
        claims=[claim],
    )
    (giving,) = ask(members).givings
    assert giving.candidate is not None
    assert [step.record_id for step in giving.candidate.steps] == ["clm_1"]
    assert giving.giver.part_id == "prt_wheel"
    assert any("bulletin 7" in note for note in giving.notes)
    told = {**members, "claims": [{**claim, "evidence_kind": "told"}]}
    assert any("told" in reason for reason in reasons(ask(told), "unt_d"))


@pytest.mark.parametrize(
    ("gift", "unit", "told"),
    [
        ({"part_id": "prt_shaft"}, {}, "not planned with here"),
        ({"part_id": None}, {}, "not on record"),
        ({"renewal_rule": "select-fit"}, {}, "chosen by measuring"),
        ({"is_variant_bound": True}, {"hand": "right"}, "depends on the hand"),
        ({}, {"taken_position_ids": ["pos_wheel"]}, "taken already"),
        ({}, {"reason_retired": "fire"}, "retired by fire"),
    ],
)
def test_a_donor_of_another_assembly_says_why_it_cannot(gift, unit, told):
    one = donor("d", worth="1", assembly_id="asm_2", **unit)
    members = yard(one, gifts=[other_assembly(**gift)])
    members["units"][0]["hand"] = "left"
    found = ask(members)
    assert found.givings == ()
    assert any(told in reason for reason in reasons(found, "unt_d"))


@pytest.mark.parametrize(
    ("retired", "bound", "variant", "grade", "rule"),
    [
        *product(("wear",), (True, False), ("long", "short"), (None, "none"), ("on-condition",)),
        ("fire", False, "long", "none", "on-condition"),
        ("wear", False, "long", "heavy", "on-condition"),
        ("wear", False, "long", "none", "always"),
    ],
)
def test_it_never_disagrees_with_the_decision(retired, bound, variant, grade, rule):
    """Whoever has a source in the draft gives; whoever has none does not, and says why."""
    gear = position("gear", is_variant_bound=bound, renewal_rule=rule)
    members = yard(
        donor("d", worth="1", reason_retired=retired, variant=variant),
        stripped("gear", variant=variant),
        positions=[gear, position("shaft")],
        salvaged_parts=[shelved("1")],
    )
    members["units"][0]["variant"] = "long"
    if grade is not None:
        members["findings"].append(seen("gear", grade, "d"))
    taken = from_builtins(members, Snapshot)
    sources = build(taken).draft.sources
    found = donors_of(taken, "pos_gear")
    assert ("unt_d" in givers(found)) is ("pos_gear:salvaged:unt_d" in sources)
    assert ("slv_1" in givers(found)) is ("pos_gear:shelf:slv_1" in sources)
    assert len(found.givings) + len(found.cannot_give) == 3
    assert all(one.reasons for one in found.cannot_give)


@pytest.mark.parametrize("seed", range(16))
def test_on_invented_yards_it_says_what_the_draft_says(seed):
    """Sets, several pieces, shelves of two donors; each failure names its seed."""
    taken = from_builtins(invented_yard(seed), Snapshot)
    draft = build(taken).draft
    for place in taken.positions:
        by_donor, by_part = set(), set()
        for source in draft.sources.values():
            facts = draft.facts[source.id]
            if source.position_id.partition("#")[0] != place.id or facts.kind != "salvaged":
                continue
            by_part |= set(facts.salvaged_part_ids)
            by_donor |= set() if facts.salvaged_part_ids else {facts.donor_unit_id}
        found = donors_of(taken, place.id)
        assert set(givers(found)) == by_donor | by_part
        assert all(one.reasons for one in found.cannot_give)
        out = {one.giver.salvaged_part_id for one in (*found.givings, *found.cannot_give)}
        assert {p.id for p in taken.salvaged_parts if p.position_id == place.id} <= out
        told = {one.giver.unit_id for one in found.cannot_give if one.giver.kind == "donor"}
        donors = {unit.id for unit in taken.units if unit.kind == "donor"}
        assert told | by_donor == donors and not told & by_donor


def test_a_position_of_another_assembly_is_refused():
    with pytest.raises(InvalidInput) as refused:
        ask(yard(), "nowhere")
    assert refused.value.pointer == "/position_id"
