"""Situations from the trade: what a donor gives to a unit, and what it does not.

Makers and names are invented.
"""

from decimal import Decimal
from typing import Any

import pytest
from litestar.testing import TestClient

from api.app import Api
from tests.api import bodies
from tests.api.bodies import Shop, fresh, money
from tests.api.conftest import make_shop

AS_OF = "2031-03-04T09:15:00Z"
EXPERIENCE = {"prior_mean": "0.7", "prior_weight": "10", "good": 12, "trials": 15}


@pytest.fixture(scope="module")
def shop(app: Api, client: TestClient[Any]) -> Shop:
    shop = make_shop(app, client, fresh("Invented workshop"))
    shop.make("/shop-settings", bodies.settings(salvage_experience=[EXPERIENCE]))
    return shop


@pytest.fixture(scope="module")
def supplier_id(shop: Shop) -> str:
    return shop.make("/suppliers", bodies.supplier())


def got(shop: Shop, path: str, **query: str) -> Any:
    answer = shop.get(path, as_of=AS_OF, **query)
    assert answer.status_code == 200, answer.text
    return answer.json()


class Design:
    """An assembly under construction: positions by name, each with its part on offer."""

    def __init__(self, shop: Shop, supplier_id: str, kind: str) -> None:
        self.shop, self.supplier_id = shop, supplier_id
        self.id = shop.make("/assemblies", bodies.assembly(kind=kind))
        self.positions: dict[str, str] = {}
        self.parts: dict[str, str] = {}

    def part(self, **more: Any) -> str:
        """A part that can be bought: a fallback, should one from a donor prove bad."""
        part_id = self.shop.make("/parts", bodies.part(**more))
        self.shop.make("/offers", bodies.offer(self.supplier_id, part_id=part_id))
        return part_id

    def position(self, name: str, **more: Any) -> None:
        self.parts[name] = self.part(name=name, kind=name.casefold())
        place = {"assembly_id": self.id, "name": name, "part_id": self.parts[name], **more}
        self.positions[name] = self.shop.make("/positions", place)

    def unit(self, kind: str = "customer", **more: Any) -> str:
        return self.shop.make("/units", {"assembly_id": self.id, "kind": kind, **more})

    def donor(self, **more: Any) -> str:
        more = {"released_on": "2026-02-11", **more}
        return self.shop.make("/units", bodies.donor(self.id, **more))

    def donors(self, name: str, **query: str) -> Any:
        return got(self.shop, f"/positions/{self.positions[name]}/donors", **query)

    def candidates(self, name: str, **query: str) -> Any:
        return got(self.shop, f"/positions/{self.positions[name]}/candidates", **query)


def givers(answer: Any) -> set[str]:
    return {one["giver"]["unit_id"] for one in answer["givings"]}


def reasons(answer: Any, unit_id: str) -> str:
    (one,) = (one for one in answer["cannot_give"] if one["giver"]["unit_id"] == unit_id)
    return "; ".join(one["reasons"])


def standings(answer: Any) -> dict[str, str]:
    return {one["part"]["id"]: one["standing"] for one in answer["candidates"]}


def refusals(answer: Any) -> dict[str, str]:
    return {one["part"]["id"]: one["reason"] for one in answer["refused"]}


# --- shims and a donor's case ------------------------------------------------------------------


def test_a_donors_shims_do_not_come_with_its_case(shop: Shop, supplier_id: str) -> None:
    """Source: public: outboard service manual pages."""
    design = Design(shop, supplier_id, "outboard")
    design.position("Bare case")
    design.position("Shims F", renewal_rule="select-fit")
    donor_id, unit_id = design.donor(), design.unit()
    case = design.donors("Bare case", unit_id=unit_id)
    assert givers(case) == {donor_id}
    assert [one["name"] for one in case["select_fit"]] == ["Shims F"]
    shims = design.donors("Shims F", unit_id=unit_id)
    assert givers(shims) == set() and "chosen by measuring" in reasons(shims, donor_id)


# --- a counter-rotating gearcase, and only standard ones on offer ---------------------------------


class Boats:
    """An outboard with a left-hand gearcase on a boat with one engine, another on one with two.

    Source: public: boat-engine forum threads. They do not agree on whether controls change.
    """

    def __init__(self, shop: Shop, supplier_id: str) -> None:
        self.shop = shop
        self.one_engine, self.standard = (
            Design(shop, supplier_id, kind)
            for kind in ("counter-rotating outboard, single", "outboard")
        )
        for design in (self.one_engine, self.standard):
            design.position("Gearcase")
            design.position("Gears and shaft", parent_id=design.positions["Gearcase"])
            design.position("Propeller")
        left, right = self.one_engine.parts, self.standard.parts
        self.two_engines = Design(shop, supplier_id, "counter-rotating outboard, of a pair")
        place = {"assembly_id": self.two_engines.id, "part_id": left["Gearcase"]}
        self.two_engines.positions["Gearcase"] = shop.make(
            "/positions", {"name": "Gearcase", **place}
        )
        complete = {
            "evidence": "Owners swapped complete cases on boats with one engine.",
            "assembly_id": self.one_engine.id,
            "hand": "left",
            "companion_lines": [{"part_id": right["Propeller"]}],
            "to_check": ["Which way this maker's shift moves: owners disagree."],
        }
        inner = "Thrust bearings and shaft differ."
        reverse = "A standard case run backwards failed after 5 hours."
        self.claim(left["Gearcase"], right["Gearcase"], **complete)
        self.claim(*self.both("Gears and shaft"), says="does-not-fit", evidence=inner)
        self.claim(right["Propeller"], left["Propeller"], says="does-not-fit", evidence=reverse)
        self.unit_id = self.one_engine.unit(hand="left")
        self.right_hand = self.standard.donor(hand="right", serial_number="standard")

    def both(self, name: str) -> tuple[str, str]:
        """The left-hand part and the right-hand one."""
        return self.one_engine.parts[name], self.standard.parts[name]

    def claim(self, called_for: str, stand_in: str, **more: Any) -> None:
        claim = {"part_id": called_for, "stand_in_part_id": stand_in, **more}
        self.shop.make("/interchange-claims", {"evidence_kind": "fitted-and-run", **claim})


@pytest.fixture(scope="module")
def boats(shop: Shop, supplier_id: str) -> Boats:
    return Boats(shop, supplier_id)


def test_a_complete_case_of_the_other_hand_goes_with_its_propeller(boats: Boats) -> None:
    right = boats.standard.parts
    found = boats.one_engine.candidates("Gearcase", unit_id=boats.unit_id)
    (case,) = (one for one in found["candidates"] if one["part"]["id"] == right["Gearcase"])
    assert case["standing"] == "usable"  # not all swaps are forbidden
    (along,) = case["companions"]
    assert (along["part"]["id"], along["quantity"]) == (right["Propeller"], 1)
    assert any("shift" in told for told in case["to_check"])
    (giving,) = boats.one_engine.donors("Gearcase", unit_id=boats.unit_id)["givings"]
    assert giving["giver"]["unit_id"] == boats.right_hand
    traits = {one["name"]: one for one in giving["giver"]["compared"]}
    assert traits["hand"]["likeness"] == "differs"  # the hand is not forgotten
    told = giving["candidate"]
    assert [one["part"]["id"] for one in told["companions"]] == [right["Propeller"]]
    assert any("shift" in line for line in told["to_check"])


def test_the_inner_parts_of_the_other_hand_do_not_go(boats: Boats) -> None:
    right = boats.standard.parts["Gears and shaft"]
    found = boats.one_engine.candidates("Gears and shaft", unit_id=boats.unit_id)
    assert right not in standings(found)
    assert "Thrust bearings and shaft differ" in refusals(found)[right]
    answer = boats.one_engine.donors("Gears and shaft", unit_id=boats.unit_id)
    assert boats.right_hand not in givers(answer)


def test_a_standard_case_is_not_run_backwards(boats: Boats) -> None:
    left = boats.one_engine.parts["Propeller"]
    found = boats.standard.candidates("Propeller", hand="right")
    assert left not in standings(found)
    assert "failed after 5 hours" in refusals(found)[left]


def test_on_a_boat_with_two_engines_and_where_the_hand_is_not_told(boats: Boats) -> None:
    right = boats.standard.parts["Gearcase"]
    pair = boats.two_engines.candidates("Gearcase", hand="left")
    assert right not in standings(pair) and "another assembly" in refusals(pair)[right]
    untold = boats.one_engine.candidates("Gearcase")
    assert standings(untold)[right] == "cannot-be-told"
    (case,) = (one for one in untold["candidates"] if one["part"]["id"] == right)
    assert any("hand not given" in question for question in case["questions"])


def test_of_one_design_in_two_hands_nothing_that_depends_on_it_goes_over(
    shop: Shop, supplier_id: str
) -> None:
    """By model alone the right-hand unit would do; by what is not on record it might."""
    design = Design(shop, supplier_id, "outboard in both hands")
    design.position("Gears and shaft", is_variant_bound=True)
    unit_id = design.unit(hand="left")
    left, right, unknown = (
        design.donor(**more) for more in ({"hand": "left"}, {"hand": "right"}, {})
    )
    answer = design.donors("Gears and shaft", unit_id=unit_id)
    assert givers(answer) == {left}
    assert "depends on the hand" in reasons(answer, right)
    assert "not on record" in reasons(answer, unknown)


# --- a spare drive of the previous generation and another ratio -----------------------------------


class Drive:
    """A drive in two halves, needed in the second generation with 1.98; one of the first with 1.84.

    Source: public: boat-drive forum thread.
    """

    def __init__(self, shop: Shop, supplier_id: str) -> None:
        self.shop, self.design = shop, Design(shop, supplier_id, "boat drive")
        for half in ("Upper half", "Lower half"):
            self.design.position(half, is_variant_bound=True)
        needed = {"generation": "second", "ratio": "1.98"}
        old = {"generation": "first", "ratio": "1.84"}
        self.unit_id = self.design.unit(**needed)
        self.old, self.like = self.design.donor(**old), self.design.donor(**needed)
        worth = {"is_owned": True, "undisturbed_worth": money("100.00")}
        stock = {"serial_number": "old drive", "donor": worth}
        self.design.unit("stock", **stock, **old)


@pytest.fixture(scope="module")
def drive(shop: Shop, supplier_id: str) -> Drive:
    return Drive(shop, supplier_id)


@pytest.mark.parametrize("half", ["Lower half", "Upper half"])
def test_generations_do_not_mix_in_halves(drive: Drive, half: str) -> None:
    answer = drive.design.donors(half, unit_id=drive.unit_id)
    assert givers(answer) == {drive.like}
    why = reasons(answer, drive.old)
    # All of it: with the ratio alone it would seem that another final drive mends it.
    assert "generation" in why and "'first'" in why and "'second'" in why
    assert "ratio" in why and "7.6 % faster" in why
    (old,) = (one for one in answer["cannot_give"] if one["giver"]["unit_id"] == drive.old)
    ratio = next(one for one in old["giver"]["compared"] if one["name"] == "ratio")
    assert ratio["likeness"] == "differs"
    assert round(Decimal(ratio["output_speed_percent"]), 1) == Decimal("7.6")


def test_the_whole_old_drive_does_not_go_either(drive: Drive) -> None:
    job_id = drive.shop.make("/jobs", {"unit_id": drive.unit_id, "complaint": "Gears broken."})
    options = got(drive.shop, f"/jobs/{job_id}/options", break_evens="0", settlings="0")
    (whole,) = (one for one in options["exclusions"] if "old drive" in one["subject"])
    assert whole["code"] == "barred"
    for told in ("generation 'first', wanted 'second'", "'1.84', wanted '1.98'", "7.6 % faster"):
        assert told in whole["detail"]


# --- two odd crankcase halves ---------------------------------------------------------------------


class Halves:
    """An engine in two halves; one donor is whole, of two others half is left, half on the shelf.

    Source: public: motorcycle magazine column.
    """

    def __init__(self, shop: Shop, supplier_id: str, *, bored_as_a_pair: bool) -> None:
        self.design = design = Design(shop, supplier_id, "motorcycle engine")
        check = [] if bored_as_a_pair else MANDREL
        for half in ("One half", "Other half"):
            design.position(half, cautions=check)
        if bored_as_a_pair:
            ids = list(design.positions.values())
            matched = {"kind": "matched", "name": "Halves bored as a pair", "position_ids": ids}
            shop.make("/position-sets", {"assembly_id": design.id, **matched})
        lines = [{"part_id": part_id} for part_id in design.parts.values()]
        design.part(kind="kit", name="Pair of halves", kit_lines=lines)
        self.unit_id = design.unit()
        self.whole = design.donor()
        self.with_one, self.with_other = design.donor(), design.donor()
        for donor_id, taken in ((self.with_one, "Other half"), (self.with_other, "One half")):
            part = bodies.salvaged_part(donor_id, design.positions[taken])
            shop.make("/salvaged-parts", part)

    def kinds(self, half: str) -> Any:
        answer = self.design.donors(half, unit_id=self.unit_id)
        return answer, {
            (one["giver"]["kind"], one["giver"]["unit_id"]) for one in answer["givings"]
        }


MANDREL = [
    {"kind": "handling", "text": "Halves of two engines: check the bores with a mandrel."},
    {"kind": "handling", "text": "New camshaft bushes are line-reamed with the halves bolted up."},
]


def test_halves_machined_one_at_a_time_may_be_paired_and_are_checked(
    shop: Shop, supplier_id: str
) -> None:
    """Ball bearings, split vertically: possible."""
    halves = Halves(shop, supplier_id, bored_as_a_pair=False)
    answer, given = halves.kinds("One half")
    odd = {("donor", halves.with_one), ("shelf", halves.with_other)}
    assert given == {("donor", halves.whole), *odd}
    assert all(one["comes_along"] == [] for one in answer["givings"])
    told = " ".join(one["text"] for one in answer["cautions"])
    assert "mandrel" in told and "line-reamed" in told
    candidates = halves.design.candidates("One half")
    assert [one["text"] for one in candidates["cautions"]] == [one["text"] for one in MANDREL]


def test_halves_bored_as_a_pair_come_from_one_engine(shop: Shop, supplier_id: str) -> None:
    """Plain shells in both halves, split horizontally: no."""
    halves = Halves(shop, supplier_id, bored_as_a_pair=True)
    other = halves.design.positions["Other half"]
    answer, given = halves.kinds("One half")
    assert given == {("donor", halves.whole)}
    (whole,) = answer["givings"]
    assert [one["id"] for one in whole["comes_along"]] == [other]
    assert "is broken: of Other half" in reasons(answer, halves.with_one)
    why_not = [one["reasons"] for one in answer["cannot_give"] if one["giver"]["kind"] == "shelf"]
    assert why_not and all("from the same unit" in reason for (reason,) in why_not)
