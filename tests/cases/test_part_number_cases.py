"""Situations from the trade: part numbers, and which of their spellings are one.

Makers and names are invented. In some situations the figures are filled in on the source's rule;
each says so.
"""

from typing import Any

import pytest
from litestar.testing import TestClient

from api.app import Api
from tests.api import bodies
from tests.api.bodies import Shop, fresh
from tests.api.conftest import make_shop


@pytest.fixture(scope="module")
def shop(app: Api, client: TestClient[Any]) -> Shop:
    return make_shop(app, client, fresh("Invented workshop"))


def stored(shop: Shop, maker: str, number: str, **more: Any) -> str:
    return shop.make("/parts", bodies.part(maker=maker, number=number, **more))


def got(shop: Shop, path: str, **query: str) -> Any:
    answer = shop.get(path, **query)
    assert answer.status_code == 200, answer.text
    return answer.json()


def find(shop: Shop, text: str, **query: str) -> Any:
    return got(shop, "/part-numbers", text=text, **query)


def told(found: Any) -> list[tuple[str, str]]:
    return [(one["match"], one["written"]) for one in found["items"]]


def named(found: Any) -> list[str]:
    """The numbers that the text names; near misses are none."""
    return [one["written"] for one in found["items"] if one["does_name"]]


# --- three identifiers for one item. Source: public: owners' forum archive ----------------------

IDENTIFIERS = [("3-11-28", "book-position"), ("0417-0263580", "maker"), ("306SZZG", "trade")]


@pytest.fixture(scope="module")
def bearing(shop: Shop) -> tuple[str, str]:
    """The bearing under its three numbers, and its maker."""
    maker = fresh("Fernbank Vehicles")
    others = [
        {"kind": "book-position", "text": "3-11-28", "source": "Parts book, section 3, plate 11"},
        {"kind": "trade", "text": "306SZZG", "source": "bearing trade"},
    ]
    return stored(shop, maker, "0417-0263580", name="Ball bearing", other_numbers=others), maker


@pytest.mark.parametrize(("text", "kind"), IDENTIFIERS)
def test_each_of_three_identifiers_finds_the_item_and_says_what_it_is(
    shop: Shop, bearing: tuple[str, str], text: str, kind: str
) -> None:
    part_id, maker = bearing
    found = find(shop, text, maker=maker)
    (one,) = found["items"]
    assert (one["match"], one["kind"], one["written"]) == ("exact", kind, text)
    assert one["part_id"] == part_id
    is_line = kind == "book-position"  # Of that book alone.
    assert found["settled_part_id"] == (None if is_line else part_id)
    for other in {name for _, name in IDENTIFIERS} - {kind}:
        assert named(find(shop, text, maker=maker, kind=other)) == []


def test_a_line_of_the_book_is_no_part_number_and_no_day(
    shop: Shop, bearing: tuple[str, str]
) -> None:
    part_id, maker = bearing
    for text in ("31128", "28 November 2003", "2003-11-28", "28.11.2003"):
        assert find(shop, text, maker=maker)["items"] == [], text
    washer_id = stored(shop, maker, "31128", name="Washer")
    by_line = find(shop, "3-11-28", maker=maker)
    assert named(by_line) == ["3-11-28"] and by_line["items"][0]["part_id"] == part_id
    assert by_line["settled_part_id"] is None and "Parts book" in by_line["why_not_settled"]
    assert by_line["items"][0]["written"] == "3-11-28"  # as it was written, not 3112 8 or a day
    by_number = find(shop, "31128", maker=maker)
    assert named(by_number) == ["31128"] and by_number["settled_part_id"] == washer_id


# --- a casting number that is a part number too. Source: public: engine-part rebuilder's page ----


@pytest.fixture(scope="module")
def pistons(shop: Shop) -> dict[str, str]:
    """Two finished pistons of one casting, by number, and under "maker" their maker."""
    maker = fresh("Millrace Pistons")
    cast = [{"kind": "casting", "text": "2084176", "source": "in the skirt"}]
    names = {"2084176": "Piston, one relief", "2417305": "Piston, two reliefs"}
    return {
        "maker": maker,
        **{
            number: stored(shop, maker, number, name=name, kind="piston", other_numbers=cast)
            for number, name in names.items()
        },
    }


def test_a_number_cast_in_names_neither_of_two_pistons(shop: Shop, pistons: dict[str, str]) -> None:
    maker = pistons["maker"]
    found = find(shop, "2084176", maker=maker)
    both = {pistons["2084176"], pistons["2417305"]}
    assert {one["part_id"] for one in found["items"]} == both
    assert {one["name"] for one in found["items"]} == {"Piston, one relief", "Piston, two reliefs"}
    # An exact match on the text would have settled on the first piston.
    assert ("exact", "maker") in [(one["match"], one["kind"]) for one in found["items"]]
    assert found["settled_part_id"] is None
    assert "stamped or inked" in found["why_not_settled"]


def test_once_it_is_known_to_be_cast_in_the_stamped_number_is_asked_for(
    shop: Shop, pistons: dict[str, str]
) -> None:
    maker = pistons["maker"]
    cast = find(shop, "2084176", maker=maker, kind="casting")
    assert len(cast["items"]) == 2 and cast["settled_part_id"] is None
    assert "stamped or inked on the finished part" in cast["why_not_settled"]
    assert find(shop, "2417305", maker=maker)["settled_part_id"] == pistons["2417305"]


# --- suffixes. Source: public: instrument-parts service page; motorcycle wiki; figures filled in


@pytest.fixture(scope="module")
def suffixes(shop: Shop) -> dict[str, str]:
    """Makers whose rules differ: a bare number means -001; a letter is another part; a vendor's."""
    makers = {
        "bare": fresh("Ashgrove Instruments"),
        "lettered": fresh("Birchwood Instruments"),
        "vendor": fresh("Cinder Lane Motorcycles"),
        "no rule": fresh("Dunmere Instruments"),
    }
    rules: dict[str, dict[str, Any]] = {
        "bare": {"base_length": 5, "default_suffix": "001"},
        "lettered": {"note": "ddd-ddd-dd; a letter behind it may be another part."},
        "vendor": {"last_letter_is_optional": True},
    }
    for name, rule in rules.items():
        source = {"maker": makers[name], "source": "Maker's parts service"}
        shop.make("/number-rules", {**source, **rule})
    for name in ("bare", "no rule"):
        stored(shop, makers[name], "12345-001")
        stored(shop, makers[name], "12345-789")
    for name in ("lettered", "vendor"):
        stored(shop, makers[name], "100-521-00")
    return makers


def test_a_bare_number_means_the_default_suffix_with_this_maker_alone(
    shop: Shop, suffixes: dict[str, str]
) -> None:
    found = find(shop, "12345", maker=suffixes["bare"])
    assert told(found)[0] == ("maker-rule", "12345-001") and named(found) == ["12345-001"]
    assert found["settled_part_id"] == found["items"][0]["part_id"]
    elsewhere = find(shop, "12345", maker=suffixes["no rule"])
    assert named(elsewhere) == [] and elsewhere["settled_part_id"] is None


def test_another_suffix_is_another_part(shop: Shop, suffixes: dict[str, str]) -> None:
    found = find(shop, "12345-789", maker=suffixes["bare"])
    assert named(found) == ["12345-789"]
    only = fresh("Ashgrove Instruments")
    rule = {"maker": only, "source": "Maker's list", "base_length": 5, "default_suffix": "001"}
    shop.make("/number-rules", rule)
    stored(shop, only, "12345-789")
    # Even where nothing else is on record.
    for text in ("12345", "12345-001"):
        alone = find(shop, text, maker=only)
        assert named(alone) == [] and alone["settled_part_id"] is None


def test_a_letter_at_the_end_is_dropped_by_the_makers_rule_alone(
    shop: Shop, suffixes: dict[str, str]
) -> None:
    lettered = find(shop, "100-521-00A", maker=suffixes["lettered"])
    assert named(lettered) == [] and lettered["settled_part_id"] is None
    assert told(lettered) == [("typing-error", "100-521-00")]  # offered, not taken
    other_id = stored(shop, suffixes["lettered"], "100-521-00A", name="Another part")
    again = find(shop, "100-521-00A", maker=suffixes["lettered"])
    assert named(again) == ["100-521-00A"] and again["settled_part_id"] == other_id
    assert named(find(shop, "100-521-00", maker=suffixes["lettered"])) == ["100-521-00"]
    by_vendor = find(shop, "100-521-00A", maker=suffixes["vendor"])
    assert told(by_vendor) == [("maker-rule", "100-521-00")] and by_vendor["settled_part_id"]


def test_the_same_digits_are_a_spelling_and_the_makers_form_is_kept(
    shop: Shop, suffixes: dict[str, str]
) -> None:
    found = find(shop, "12345001", maker=suffixes["bare"])
    assert told(found) == [("normal-form", "12345-001")]
    part = got(shop, f"/parts/{found['settled_part_id']}")
    assert part["number"] == "12345-001"  # the form to order by


# --- look-alikes. Source: public: tale from an order-desk technician; small-engine page; figures
#     filled in on the source's rule


@pytest.fixture(scope="module")
def stocks(shop: Shop) -> tuple[str, str]:
    """Makers of a stock with one number, and of one in which its look-alike is there too."""
    one, two = fresh("Ivel Carburettors"), fresh("Ivel Carburettors")
    stored(shop, one, "716804")
    for number in ("716804", "716B04"):
        stored(shop, two, number)
    return one, two


@pytest.mark.parametrize(("text", "pair"), [("716B04", "B/8"), ("7168O4", "O/0")])
def test_a_look_alike_is_offered_as_one(
    shop: Shop, stocks: tuple[str, str], text: str, pair: str
) -> None:
    found = find(shop, text, maker=stocks[0])
    assert told(found) == [("look-alike", "716804")]  # neither nothing, nor the number itself
    assert f"look-alike {pair}" in found["items"][0]["note"]
    assert found["settled_part_id"] is None and "not taken" in found["why_not_settled"]


def test_of_two_true_numbers_none_is_chosen_silently(shop: Shop, stocks: tuple[str, str]) -> None:
    found = find(shop, "716B04", maker=stocks[1])
    assert told(found) == [("exact", "716B04"), ("look-alike", "716804")]
    assert named(found) == ["716B04"]  # not merged
    assert found["settled_part_id"] is None
    assert "716804" in found["why_not_settled"] and "B/8" in found["why_not_settled"]
    typed = find(shop, "7168O4", maker=stocks[1])
    assert sorted(told(typed)) == [("look-alike", "716804"), ("look-alike", "716B04")]
    assert typed["settled_part_id"] is None
