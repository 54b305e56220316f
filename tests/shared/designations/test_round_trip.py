"""Reading the one name of a part gives the part: every thread, class, nut, standard and mark.

Any other text is read or refused.
"""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.designations.fastener_names import name_of
from shared.designations.model import Bearing, Fastener, FastenerForm, Hand
from shared.designations.reading import readings_of
from shared.errors import InvalidInput
from shared.standards.bearings import mark_rows
from shared.standards.nuts import nut_class_names
from shared.standards.part_standards import StandardPart, part_standards
from shared.standards.property_classes import class_names
from shared.standards.threads import threads

_WORDS = ("hex head", "zinc plated", "stud", "T25", "18-8", "hex key 5", "ISO 4017", "locknut")


def same_again(part: Fastener) -> None:
    (again,) = readings_of(part.canonical)
    assert replace(again, notes=()) == replace(part, notes=())


def test_every_thread_is_read_by_its_name_and_no_other_has_it() -> None:
    for thread in threads():
        for hand in Hand:
            name = thread.designation + ("-LH" if hand is Hand.LEFT else "")
            same_again(Fastener(canonical=name, thread=thread, hand=hand))


@st.composite
def fasteners(draw: st.DrawFn) -> Fastener:
    """Screws and nuts in canonical terms, each as its own reading would give it."""
    thread = draw(st.sampled_from(threads()))
    is_nut = draw(st.booleans())
    inches = st.integers(1, 4 * 64).map(lambda parts: round(parts * 25.4 / 64, 6))
    length = draw(st.none() | st.integers(1, 20000).map(lambda tenths: tenths / 10) | inches)
    metric = [name for name in class_names() if not name.startswith("SAE")]
    sae = [name for name in class_names() if name.startswith("SAE")]
    if is_nut:
        classes = ["8", "04", "10", "A2-70"] if thread.is_metric else ["A4-80"]
    elif thread.series.value.startswith("UN"):
        classes = sae
    else:
        classes = metric
    name = draw(st.none() | st.sampled_from(classes))
    words = draw(st.lists(st.sampled_from(_WORDS), max_size=2, unique=True))
    if is_nut:
        words = [word for word in words if word not in {"stud", "ISO 4017"}]
    else:
        words = [word for word in words if word != "locknut"]
    words.sort(key=lambda word: word == "ISO 4017")
    part = Fastener(
        canonical="",
        thread=thread,
        form=FastenerForm.NUT if is_nut else FastenerForm.SCREW,
        hand=draw(st.sampled_from(Hand)),
        length=length,
        property_class=name,
        tolerance_class=draw(st.none() | st.sampled_from(("6g", "6H")))
        if thread.is_metric
        else None,
        words=tuple(words),
    )
    return replace(part, canonical=name_of(part))


@settings(max_examples=150, deadline=None, derandomize=True)
@given(fasteners())
def test_every_fastener_is_read_by_its_name(part: Fastener) -> None:
    same_again(part)


_PIECES = st.sampled_from(
    "M 8 x 1.25 1/4 -20 UNC BSW BA # G R NPT pipe nut 8.8 A2-70 grade 5 LH 6g x40 1-1/2 mm in "
    'key SW 25x47x7 6205 2RS AS568- -214 DIN 471 ISO circlip O-ring , / " . 0 1e400 nan'.split(" ")
)


@settings(max_examples=250, deadline=None, derandomize=True)
@given(st.one_of(st.text(max_size=130), st.lists(_PIECES, max_size=30).map(" ".join),
                 st.lists(_PIECES, max_size=30).map("".join)))  # fmt: skip
def test_any_text_is_read_or_refused_and_what_is_read_is_read_again_by_its_name(
    text: str,
) -> None:
    try:
        parts = readings_of(text)
    except InvalidInput as error:
        assert error.pointer == "/text"
        assert error.fix
        return
    for part in parts:
        assert [again.canonical for again in readings_of(part.canonical)] == [part.canonical]
        if isinstance(part, Fastener):
            same_again(part)


@pytest.mark.parametrize(
    "text",
    ["1" * 120, "M" * 120, "1/" * 60, "x1" * 60, "-" * 120, "1 1/2 " * 20,
     "(" * 120, "M8x" + "9" * 110, "hex-" * 30, "1e400", "nan", "8.8 " * 30, "M8" * 60,
     "a" * 10_000],
)  # fmt: skip
def test_absurd_text_is_refused_like_any_other(text: str) -> None:
    with pytest.raises(InvalidInput):
        readings_of(text)


def test_every_property_class_is_read_by_its_name() -> None:
    for name in class_names():
        thread = "3/8-16 UNC" if name.startswith("SAE") else "M10x1.5"
        (part,) = readings_of(f"{thread} {name}")
        assert isinstance(part, Fastener)
        assert part.property_class == name
        same_again(part)


def test_every_class_of_nuts_is_read_by_its_name() -> None:
    for name in nut_class_names():
        (part,) = readings_of(f"{'3/8-16 UNC' if name.startswith('SAE') else 'M10x1.5'} nut {name}")
        assert isinstance(part, Fastener)
        assert (part.form, part.property_class) == (FastenerForm.NUT, name)
        same_again(part)


def test_every_standard_of_threaded_parts_is_kept_in_the_name() -> None:
    for row in part_standards():
        if row.part is StandardPart.OTHER:
            with pytest.raises(InvalidInput):
                readings_of(f"{row.standard} M10x1.5")
            continue
        (part,) = readings_of(f"{row.standard} M10x1.5")
        assert isinstance(part, Fastener)
        assert row.standard.replace(" ", "") in {word.replace(" ", "") for word in part.words}
        same_again(part)


def test_every_mark_of_bearings_is_read_by_its_name() -> None:
    for row in mark_rows():
        for part in readings_of(
            f"{row.mark} 6205" if row.place == "prefix" else f"6205-{row.mark}"
        ):
            assert isinstance(part, Bearing)
            assert row.canonical in {mark.mark for mark in part.marks}
            assert readings_of(part.canonical) == (part,)
