"""GET /v1/fits, GET /v1/standards, and the page that lists the tables."""

from html.parser import HTMLParser

import pytest

from api.standards_page import standards_page
from shared.standards.catalogue import SourceSummary, TableSummary, catalogue
from shared.standards.reader import Basis
from tests.api.bodies import error_of

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored


def fits(shop, **query):
    return shop.call("GET", "/fits", params=query)


def test_a_fit_is_answered_with_limits_and_clearances(shop):
    answer = fits(shop, nominal="25", classes="H7,g6").json()
    hole, shaft = answer["items"]
    assert (hole["tolerance_class"], hole["is_hole"]) == ("H7", True)
    assert hole["upper_deviation"] == {"value": "21.0000000", "unit": "µm"}
    assert shaft["least"] == {"value": "24.9800000", "unit": "mm"}
    assert answer["fit"] == {
        "kind": "clearance",
        "least_clearance": {"value": "0.00700000000", "unit": "mm"},
        "most_clearance": {"value": "0.0410000000", "unit": "mm"},
    }


@pytest.mark.parametrize("classes", ["H7/g6", "H7 / g6", "H7 g6"])
def test_a_fit_is_written_as_drawings_write_it(shop, classes):
    answer = fits(shop, nominal="25", classes=classes).json()
    assert [one["tolerance_class"] for one in answer["items"]] == ["H7", "g6"]


def test_an_interference_is_a_clearance_below_zero(shop):
    fit = fits(shop, nominal="1 in", classes="H7, p6").json()["fit"]
    assert fit["kind"] == "interference"
    assert fit["least_clearance"]["value"].startswith("-0.035")


def test_one_class_alone_has_limits_and_no_fit(shop):
    answer = fits(shop, nominal="17", classes="k5").json()
    assert answer["fit"] is None
    assert len(answer["items"]) == 1


@pytest.mark.parametrize(
    ("query", "pointer"),
    [
        ({"nominal": "25"}, "/classes"),
        ({"classes": "H7"}, "/nominal"),
        ({"nominal": "25", "classes": "H7,"}, "/classes"),
        ({"nominal": "25", "classes": "w9"}, "/classes"),
        ({"nominal": "25", "classes": "K9"}, "/classes"),
        ({"nominal": "0.5", "classes": "h18"}, "/classes"),  # would be less than nothing
        ({"nominal": "25", "classes": ",".join(["H7"] * 9)}, "/classes"),
        ({"nominal": "501", "classes": "H7"}, "/nominal"),
        ({"nominal": "3/4", "classes": "H7"}, "/nominal"),
        ({"nominal": "25", "classes": "H7", "unit": "kg"}, "/unit"),
    ],
)
def test_what_has_no_answer_is_refused_by_its_name(shop, query, pointer):
    assert error_of(fits(shop, **query), pointer)


def test_the_tables_are_listed_with_their_sources(shop):
    items = shop.call("GET", "/standards").json()["items"]
    assert [one["name"] for one in items] == [one.name for one in catalogue()]
    grades = next(one for one in items if one["name"] == "iso286_grades")
    assert grades["rows"] == 260
    assert grades["sources"][0]["source"] == "ISO 286-1"
    assert {one["basis"] for one in grades["sources"][0]["basis"]} <= set(Basis)


# --- the page ------------------------------------------------------------------------------------


class Page(HTMLParser):
    """What stands in a page: which elements, their attributes, the text."""

    VOID = frozenset({"meta", "link"})

    def __init__(self, text):
        super().__init__(convert_charrefs=True)
        self.open, self.elements, self.attributes, self.text = [], [], [], ""
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attrs):
        self.elements.append(tag)
        self.attributes += attrs
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.text += data


def test_anybody_may_read_the_page_of_tables(client):
    answer = client.get("/standards", headers={"Accept": "text/html,*/*;q=0.8"})
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    page = Page(answer.text)
    assert page.open == []
    for one in catalogue():
        assert one.title in page.text
        assert all(source.source in page.text for source in one.sources)
    ids = [value for name, value in page.attributes if name == "id"]
    links = [value for name, value in page.attributes if name == "href" and value.startswith("#")]
    assert links == [f"#{one}" for one in ids]
    assert len(set(ids)) == len(ids)


def test_the_page_needs_nothing_that_its_policy_forbids(client):
    answer = client.get("/standards")
    page = Page(answer.text)
    assert not {"script", "style", "img"} & set(page.elements)
    assert not [name for name, _ in page.attributes if name == "style" or name.startswith("on")]
    style = client.get("/standards.css", headers={"Accept": "text/css,*/*;q=0.1"})
    assert style.headers["content-type"].startswith("text/css")
    assert "default-src 'none'" in answer.headers["content-security-policy"]


def test_what_a_table_says_is_shown_as_text_never_as_markup():
    nasty = '<script>alert("&")</script>'
    source = SourceSummary(nasty, nasty, 1, {Basis.MEMORY: 1})
    page = Page(standards_page([TableSummary("x", nasty, nasty, 1, (source,))]))
    assert "script" not in page.elements
    assert page.text.count(nasty) == 5


def test_the_pages_are_not_in_the_document_of_the_api(client):
    paths = client.get("/openapi.json").json()["paths"]
    assert "/v1/standards" in paths
    assert not {"/standards", "/standards.css"} & paths.keys()
    assert client.options("/standards").headers["allow"] == "GET, HEAD, OPTIONS"
