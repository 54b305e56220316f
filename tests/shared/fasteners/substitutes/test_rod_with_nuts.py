"""A threaded rod with nuts: what it takes to hold, and that no set that holds is missed."""

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from itertools import combinations, product
from math import pi
from random import Random

import pytest

from shared.designations.reading import read_fastener
from shared.fasteners.friction import stated_friction
from shared.fasteners.model import FeatureKind, ItemForm, TightRing, ToolFunction, ToolUse
from shared.fasteners.substitutes.families import rod_search
from shared.fasteners.substitutes.families.rod_washers import washer_parts
from shared.fasteners.substitutes.families.rod_with_nuts import candidates
from shared.fasteners.substitutes.model import Candidate, Drawer, Piece, Requirement
from shared.fasteners.turning import BearingFace
from tests.shared.fasteners.substitutes import bench
from tests.shared.fasteners.substitutes.bench import bar, drawer, failing, piece
from tests.shared.fasteners.substitutes.plain_rods import rod_with_nuts

PRESS, PULL, COMPRESS = ToolFunction.PRESS_IN, ToolFunction.PULL, ToolFunction.COMPRESS


def rod(written: str = "M16x300 8.8 threaded rod", **told: object) -> Piece:
    is_rod = "rod" in written
    form = ItemForm.THREADED_ROD if is_rod else ItemForm.SCREW
    return piece(form, written, fastener=read_fastener(written), **{"quantity": 1, **told})


def nut(written: str = "M16 nut 8", quantity: int = 2, **told: object) -> Piece:
    found = piece(ItemForm.NUT, written, quantity=quantity, fastener=read_fastener(written), **told)
    return replace(found, key=f"{written} {quantity} {told}")


def washer(thick: float = 6, across: float = 60, thread: str = "M16", quantity: int = 9) -> Piece:
    return replace(
        bench.washer(thread, thick, quantity, outside_diameter=across),
        key=f"{thread} washer {thick} {across} {quantity}",
    )


def ring(
    inside: float = 54.5,
    outside: float = 60.5,
    length: float = 25,
    material: str | None = "S355",
    form: ItemForm = ItemForm.RING,
    quantity: int = 1,
    **told: float,
) -> Piece:
    name = f"{form.value} {inside:g} x {outside:g} x {length:g}"
    sizes = {"bore": inside, "outside_diameter": outside, "length": length, **told}
    return piece(form, name, material=material, quantity=quantity, **sizes)


def tube(inside: float = 65, outside: float = 76, length: float = 45) -> Piece:
    return ring(inside, outside, length, "S235", ItemForm.TUBE)


BEARING = {
    "bore": 62,
    "face_inside": 54,
    "face_outside": 61,
    "reach": 80,
    "travel": 16,
    "spacing": 80,
    "width": 20,
    "clear_diameter": 25,
}


def work(function: ToolFunction = PRESS, force: float = 6000, **members: object) -> Requirement:
    told = {"tight_ring": TightRing.OUTER, "workpiece": "C45", "pushed": "S235", **members}
    return bench.requirement(function, sizes=BEARING, force=force, **told)


PIECES = (rod(), nut(), washer(), ring(), bar(140, 60, 20), tube())


def best(requirement: Requirement, *pieces: Piece) -> Candidate:
    found = list(candidates(requirement, drawer(*(pieces or PIECES))))
    return max(found, key=lambda one: one.is_accepted)


def swapped(old: Piece, new: Piece) -> tuple[Piece, ...]:
    return tuple(new if one.form is old.form else one for one in PIECES)


@pytest.mark.parametrize("function", [PRESS, PULL, COMPRESS])
def test_it_holds_and_says_how(function: ToolFunction) -> None:
    found = best(work(function))
    assert found.is_accepted, failing(found)
    assert found.force_least is not None
    assert found.force_least >= 6000
    assert found.torque_steps[-1] == found.torque
    assert {part.piece.form for part in found.parts} >= {ItemForm.RING, ItemForm.BAR}
    assert (ItemForm.TUBE in {part.piece.form for part in found.parts}) is (function is PULL)
    assert found.steps
    assert found.cautions


def test_the_bar_governs_by_the_handbook_formula() -> None:
    found = best(work())
    # 60 less the hole of 17.5 mm, 20 thick, 80 + 10 span: F l / 4 at a third of 340 MPa.
    assert found.force_most == pytest.approx((60 - 17.5) * 20**2 / 6 * 340 / 3 * 4 / 90)
    least = min(
        (check.margin, check.name) for check in found.checks if check.detail.startswith("Bears")
    )
    assert least[1] == "bar bending"


def test_washers_are_stacked_as_half_a_ring_turns_about_its_diameter() -> None:
    found = best(work(), rod(), nut(), washer(), ring(), bar(140, 60, 40))
    check = bench.check_of(found, "washers")
    # M16 nut: face 22.49 mm on a hole of 17.5 mm; the washer lies on 54.5 + 0.2 x 6 = 55.7 mm.
    arm = 55.7 / 2 - (22.49 + 17.5) / 4
    bears = 4 * (60 - 19.2) * 6**2 / 6 * 340 / 3 * pi / arm
    assert check.margin is not None
    assert f"Bears {bears / 1000:.3g} kN" in check.detail


def test_thick_washers_over_a_small_bore_shear_before_they_bend() -> None:
    thread, face = read_fastener("M16 nut 8").thread, BearingFace(outside=22, inside=18)
    bridge, _ = washer_parts(thread, (face,), washer(10), ring(22, 60), stacked=2)
    # On the face's mean circle of 20 mm; the ring bears 4.8 mm further out.
    assert bridge.force == pytest.approx(2 * pi * 20 * 10 * 340 / 5)


@pytest.mark.parametrize("name", BEARING)
@pytest.mark.parametrize("function", [PRESS, PULL])
def test_every_size_has_to_be_stated(name: str, function: ToolFunction) -> None:
    unused = {PRESS: "width", PULL: "spacing"}[function]
    found = best(bench.without(work(function), name))
    assert found.is_accepted is (name == unused)
    if name != unused:
        missed = {check.missing for check in found.checks}
        assert f"features/{name.replace('_', '-')}" in missed


@pytest.mark.parametrize("member", ["force", "tight_ring", "uses", "is_symmetric"])
def test_every_fact_has_to_be_stated(member: str) -> None:
    found = best(replace(work(), **{member: None}))
    assert not found.is_accepted
    assert member in {check.missing for check in found.checks}


@pytest.mark.parametrize(
    ("requirement", "why"),
    [
        (work(tight_ring=TightRing.BOTH), "tight ring"),
        # An inner ring's face, and the bar on the housing: through the balls.
        (
            bench.with_sizes(work(tight_ring=TightRing.INNER), bore=90),
            "tight ring",
        ),
        (work(is_symmetric=False), "symmetry"),
        (work(uses=frozenset({ToolUse.LIFTING})), "use"),
        (work(force=9000), "bar bending"),
        (bench.with_sizes(work(), clear_diameter=16.4), "rod passes"),
        (bench.with_sizes(work(), travel=80), "travel"),
        (bench.with_sizes(work(), face_inside=54.6), "press ring"),
        (bench.with_sizes(work(), face_outside=60.4), "press ring"),
        (bench.with_sizes(work(), bore=60.6), "press ring"),
        (bench.with_sizes(work(PULL), bore=60.6), "press ring"),
        (bench.with_sizes(work(), spacing=121), "bar length"),
        (bench.with_sizes(work(), reach=200), "rod length"),
        (bench.with_sizes(work(PULL), width=28), "tube length"),
        (bench.with_sizes(work(PULL), bore=64.1), "tube bore"),
        (bench.with_sizes(work(nothing_in_the_way=False), clear_height=315), "room"),
    ],
)
def test_what_does_not_fit_is_told_by_its_name(requirement: Requirement, why: str) -> None:
    found = best(requirement)
    assert not found.is_accepted
    assert why in failing(found)


@pytest.mark.parametrize(
    ("new", "why"),
    [
        (rod("M16x300 LH 8.8 threaded rod"), "nut"),
        (rod("M16x1.5x300 8.8 threaded rod"), "nut"),
        (rod("M16x300 hollow threaded rod"), "rod"),
        (rod("M16x300 8.8 countersunk"), "rod"),
        (rod("M16x300 8.8 hexagon head bolt"), "thread length"),
        (rod("M16x180 8.8 threaded rod"), "rod length"),
        (rod(thread_length=293.9), "thread length"),
        (bar(140, 60, 20, quantity=0), "count"),
        (ring(quantity=0), "count"),
        (nut(quantity=1), "nut"),
        (nut("M16 nylon insert nut 8"), "nut"),
        (nut(thickness=8.0), "nut"),
        (nut(material="CuZn39Pb3"), "nut"),
        (washer(6, 55), "washer fit"),
        (washer(quantity=2), "washers"),
        (washer(2), "washers"),
        (washer(thread="M14"), "washer"),
        (ring(material=None), "material"),
        (ring(53.9), "press ring"),
        (ring(form=ItemForm.SOCKET), "rod in the ring"),
        (bar(140, 60, 20, None), "material"),
        (bar(140, 60, 40, "EN-GJS-400"), "material"),
        (bar(140, 47, 40), "bar width"),
        (bar(140, 60, 40, bore=19.5), "bar hole"),
    ],
)
def test_a_piece_that_does_not_do_is_refused(new: Piece, why: str) -> None:
    pieces = tuple(one for one in PIECES if one.form is not new.form)
    if new.form in {ItemForm.SCREW, ItemForm.SOCKET}:
        old = {ItemForm.SCREW: ItemForm.THREADED_ROD, ItemForm.SOCKET: ItemForm.RING}[new.form]
        pieces = tuple(one for one in pieces if one.form is not old)
    requirement = bench.with_sizes(work(), bore=62)
    found = list(candidates(requirement, drawer(new, *pieces)))
    assert not any(one.is_accepted for one in found)
    assert why in set.union(*(failing(one) for one in found))


@pytest.mark.parametrize(
    "new",
    [
        rod("M16x300 8.8 fully threaded hexagon bolt"),
        nut("M16 nut", 2),
        ring(form=ItemForm.SOCKET, clear_diameter=19.0),
        bar(140, 60, 20, bore=17.0),
        rod(thread_length=294.1),
    ],
)
def test_a_piece_that_does_is_taken(new: Piece) -> None:
    pieces = tuple(one for one in PIECES if one.form is not new.form)
    if new.form in {ItemForm.SCREW, ItemForm.SOCKET}:
        old = {ItemForm.SCREW: ItemForm.THREADED_ROD, ItemForm.SOCKET: ItemForm.RING}[new.form]
        pieces = tuple(one for one in pieces if one.form is not old)
    assert best(work(force=5000), new, *pieces).is_accepted


def test_two_lots_of_nuts_go_together_and_the_weaker_counts() -> None:
    pieces = tuple(one for one in PIECES if one.form is not ItemForm.NUT)
    found = best(work(), nut("M16 nut 8", 1), nut("M16 nut 10", 1), *pieces)
    assert found.is_accepted
    weak = best(work(), nut("M16 nut 8", 2), *pieces)
    assert bench.check_of(found, "nut").margin == bench.check_of(weak, "nut").margin


def test_nuts_of_two_frictions_count_as_the_worse_of_both() -> None:
    pieces = tuple(one for one in PIECES if one.form is not ItemForm.NUT)
    waxed, plain, mixed = (
        best(work(force=3000, friction=None, lubrication="oiled"), *nuts, *pieces)
        for nuts in (
            (nut("M16 nut 8 waxed"),),
            (nut("M16 nut 8"),),
            (nut("M16 nut 8 waxed", 1), nut("M16 nut 8", 1)),
        )
    )
    assert waxed.torque is not None
    assert plain.torque is not None
    assert waxed.torque < plain.torque
    assert mixed.torque == waxed.torque
    assert mixed.force_least is not None
    assert plain.force_least is not None
    assert mixed.force_least < plain.force_least


def test_no_more_washers_are_stacked_than_there_are() -> None:
    found = best(work(), *swapped(washer(), washer(quantity=4)))
    assert found.is_accepted
    assert {part.count for part in found.parts if part.piece.form is ItemForm.WASHER} == {4}


@pytest.mark.parametrize(
    ("name", "bears"),
    [
        # The bar, 60 wide, stands on the tube's wall of 5.5 mm in two places: a third of 340 MPa.
        ("tube", 60 * (76 - 65) * 340 / 3),
        # 420 MPa of S235 over 1.25; the washer's hole is not stated and counts as 1.2 diameters.
        ("nut seat", pi / 4 * (22.49**2 - 19.2**2) * 420 / 1.25),
        ("bar on tube", 60 * (76 - 65) * 420 / 1.25),
        ("tube seat", pi / 4 * (76**2 - 65**2) * 420 / 1.25),
        ("bar bending", (60 - 17.5) * 20**2 / 6 * 340 / 3 * 4 / 70.5),
        ("bar shear", 2 * (60 - 17.5) * 20 * 340 / 5 / 1.5),
        ("ring face", pi / 4 * (60.5**2 - 54.5**2) * 560 / 1.25),
        ("washer on ring", pi / 4 * (60**2 - 54.5**2) * 420 / 1.25),
    ],
)
def test_each_part_bears_what_it_does_by_hand(name: str, bears: float) -> None:
    check = bench.check_of(best(work(PULL)), name)
    assert f"Bears {bears / 1000:.3g} kN" in check.detail


def test_the_rod_thread_is_counted_on_the_lowest_nut_of_its_class() -> None:
    marked, unmarked = (best(work(), *swapped(nut(), one)) for one in (nut(), nut("M16 nut")))
    # 0.72 and 0.45 diameters less half a pitch at each end.
    assert "on 9.52 mm" in bench.check_of(marked, "rod thread").basis
    assert "on 5.2 mm" in bench.check_of(unmarked, "rod thread").basis


def test_pieces_on_hand_come_before_stronger_ones_to_buy() -> None:
    bought = replace(bar(140, 60, 40, name="bought"), is_on_hand=False)
    assert best(work(), *PIECES, bought).is_on_hand
    found = best(work(force=9000), *PIECES, bought)
    assert found.is_accepted
    assert not found.is_on_hand


def test_slippery_lowers_the_torque_and_rough_the_force() -> None:
    slippery, middle, rough = (
        best(work(friction=stated_friction(*mu))) for mu in ((0.06, 0.16), (0.1, 0.16), (0.1, 0.2))
    )
    assert slippery.torque is not None
    assert middle.torque is not None
    assert middle.force_least is not None
    assert rough.force_least is not None
    assert slippery.torque < middle.torque
    assert rough.force_least < middle.force_least


def random_drawer(random: Random) -> tuple[Requirement, Drawer]:
    """Draw a small drawer, most of whose sets fail by a little."""
    pick = random.choice
    function = pick([PRESS, PULL, COMPRESS])
    requirement = work(
        function,
        force=pick([1500, 3000, 5000, 9000]),
        tight_ring=pick([TightRing.OUTER, TightRing.NO_BEARING]),
        friction=pick([None, bench.OILED]),
    )
    rods = [
        rod(f"M16x{pick([200, 230, 260, 290])} {pick(['4.6', '8.8'])} threaded rod"),
        rod(f"M16x{pick([190, 220, 250])} 8.8 {pick(['fully threaded ', ''])}hexagon bolt"),
    ]
    nuts = [
        nut(f"M16 nut {mark}".strip(), pick([1, 1, 2]))
        for mark in random.sample(["8", "10", "", "8 waxed"], 2)
    ]
    washers = [
        washer(thick, pick([56, 60]), quantity=pick([2, 4, 6])) for thick in (pick([3, 5]), 8)
    ]
    rings = [
        ring(pick([54.5, 53]), 60.5, pick([15, 25, 40]), pick(["S235", "S355"])),
        ring(pick([54.5, 56]), 60, pick([12, 30]), "S235", ItemForm.TUBE),
    ]
    bars = [bar(pick([110, 140]), pick([48, 60]), thick) for thick in (pick([12, 16]), 20)]
    tubes = [tube(pick([63, 62.9]), 76, length) for length in (38, pick([37, 60]))]
    pieces = [*rods, *nuts, *washers, *rings, *bars]
    if function is PULL:
        pieces += tubes
    return requirement, drawer(*pieces)


def all_sets(stock: Drawer, own: Piece) -> Iterator[tuple[tuple[Piece, int], ...]]:
    """Every set that may be put together with a rod, by brute force."""
    wanted = 1 if own.form is ItemForm.SCREW else 2
    nuts = [((one, wanted),) for one in stock.of(ItemForm.NUT)]
    if wanted == 2:
        nuts += [((a, 1), (b, 1)) for a, b in combinations(stock.of(ItemForm.NUT), 2)]
    rings = stock.of(ItemForm.RING, ItemForm.TUBE)
    tubes: tuple[Piece | None, ...] = (None, *stock.of(ItemForm.TUBE))
    for chosen, flat, count, press, support, strong in product(
        nuts, stock.of(ItemForm.WASHER), range(2, 6), rings, tubes, stock.of(ItemForm.BAR)
    ):
        if support is not press:
            held = () if support is None else ((support, 1),)
            yield ((own, 1), *chosen, (flat, count), (press, 1), *held, (strong, 1))


def holds(requirement: Requirement, parts: tuple[tuple[Piece, int], ...]) -> bool:
    return not rod_with_nuts(requirement, parts).reasons


@pytest.mark.parametrize("looks_at_some_first", [True, False])
def test_a_set_is_found_wherever_brute_force_finds_one(
    monkeypatch: pytest.MonkeyPatch, looks_at_some_first: bool
) -> None:
    if not looks_at_some_first:
        monkeypatch.setattr(rod_search, "few_of", lambda *_: [])
    random, yes, no = Random(11), 0, 0
    for _ in range(8):
        requirement, stock = random_drawer(random)
        found = list(candidates(requirement, stock))
        for own in stock.of(ItemForm.THREADED_ROD, ItemForm.SCREW):
            given = [one for one in found if one.is_accepted and one.parts[0].piece is own]
            for one in given:
                assert holds(requirement, tuple((part.piece, part.count) for part in one.parts))
            is_possible = any(map(partial(holds, requirement), all_sets(stock, own)))
            assert bool(given) is is_possible
            yes, no = yes + is_possible, no + (not is_possible)
    assert min(yes, no) >= 3


@pytest.mark.parametrize("function", [PRESS, PULL, COMPRESS])
def test_a_ring_of_unknown_length_is_no_yes(function: ToolFunction) -> None:
    old = ring()
    sizes = tuple(size for size in old.sizes if size[0] is not FeatureKind.LENGTH)
    found = best(work(function), *swapped(old, replace(old, sizes=sizes)))
    assert failing(found) >= {"ring length", "force"}
    assert found.torque is None


@pytest.mark.parametrize("function", [PRESS, PULL, COMPRESS])
def test_a_disc_that_bridges_the_face_bends(function: ToolFunction) -> None:
    asked = work(function, 5000, tight_ring=TightRing.NO_BEARING)
    others = rod(), nut(), washer(6, 34), bar(140, 60, 20), tube()
    found = best(asked, ring(18, 60.5, 2, "S235"), *others)
    # Half a disc of 42.5 mm, 2 mm thick; held at 55.3 mm, loaded at 26.5 mm.
    bears = 340 / 3 * 42.5 * 2**2 / 6 * pi / ((55.3 - 26.5) / 2)
    check = bench.check_of(found, "ring bending")
    assert not check.passes
    assert f"Bears {bears:.3g} N per screw" in check.detail
    assert best(asked, ring(18, 60.5, 12, "S235"), *others).is_accepted
    assert not best(asked, ring(18, 60.5, 12, "EN-GJL-250"), *others).is_accepted


@pytest.mark.parametrize("written", ["DIN 6331 M16 8", "DIN 6334 M16", "M16 coupling nut"])
def test_a_nut_far_higher_than_counted_is_left_out(written: str) -> None:
    assert "nut" in failing(best(work(), *swapped(nut(), nut(written))))


@pytest.mark.parametrize("turned", [1, -1])
def test_no_tube_or_bar_stands_for_one_that_does_what_it_does_not(turned: int) -> None:
    def accepted(rod_length: int, *supports: Piece) -> Candidate:
        own = rod(f"M16x{rod_length} 8.8 threaded rod")
        found = best(work(PULL), own, nut(), washer(), ring(), *supports[::turned])
        assert found.is_accepted, failing(found)
        return found

    # Alike in length, one of them weak.
    weak = replace(tube(65, 65.5), key="weak")
    assert accepted(300, weak, tube(), bar(140, 60, 20)).parts[-2].piece == tube()
    # The stronger is too long for the rod.
    strong = replace(tube(65, 72, 100), key="long")
    assert accepted(260, strong, tube(), bar(140, 60, 20)).parts[-2].piece == tube()
    # The wider does not reach across.
    long, short = bar(140, 60, 20), bar(75, 75, 20)
    assert accepted(300, tube(), long, short).parts[-1].piece == long


@pytest.mark.parametrize(("bore", "left"), [(10, 60 - 17.5 - 10), (17, 60 - 17.5), (19, 60 - 19)])
def test_a_hole_too_narrow_for_the_rod_weakens_the_bar(bore: float, left: float) -> None:
    found = best(work(force=4000), *swapped(bar(140, 60, 20), bar(140, 60, 20, bore=bore)))
    bears = left * 20**2 / 6 * 340 / 3 * 4 / 90
    assert found.is_accepted
    assert f"Bears {bears / 1000:.3g} kN" in bench.check_of(found, "bar bending").detail


@pytest.mark.parametrize(("through", "holds"), [(16.2, True), (16.19, False)])
def test_the_rod_passes_the_narrowest_hole_of_a_socket(through: float, holds: bool) -> None:
    others = tuple(one for one in PIECES if one.form is not ItemForm.RING)
    socket = ring(form=ItemForm.SOCKET, clear_diameter=through)
    found = best(work(), *others, socket)
    assert found.is_accepted is holds, failing(found)
