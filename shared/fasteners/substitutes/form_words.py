"""What a piece is by the plain words that a shop has for it. Common practice, no source."""

import re
from typing import Final

from shared.fasteners.model import ItemForm

_TOKEN: Final = re.compile(r"[a-z]+(?:-[a-z]+)*")

_PHRASES: Final = (
    ("hook spanner", ItemForm.HOOK_SPANNER),
    ("threaded rod", ItemForm.THREADED_ROD),
    ("threaded bar", ItemForm.THREADED_ROD),
    ("shim stock", ItemForm.STRIP),
    ("gauge block", ItemForm.MEASURED_PIECE),
    ("measured piece", ItemForm.MEASURED_PIECE),
)
_WORDS: Final = {
    "studding": ItemForm.THREADED_ROD,
    "washer": ItemForm.WASHER,
    "nut": ItemForm.NUT,
    "screw": ItemForm.SCREW,
    "bolt": ItemForm.SCREW,
    "setscrew": ItemForm.SCREW,
    "tube": ItemForm.TUBE,
    "pipe": ItemForm.TUBE,
    "strip": ItemForm.STRIP,
    "plate": ItemForm.PLATE,
    "bar": ItemForm.BAR,
    "flat": ItemForm.BAR,
    "dowel": ItemForm.PIN,
    "pin": ItemForm.PIN,
    "sleeve": ItemForm.SLEEVE,
    "socket": ItemForm.SOCKET,
    "ring": ItemForm.RING,
}
_PLURAL: Final = {f"{word}s": form for word, form in _WORDS.items()}

_OTHER: Final = {
    ItemForm.PIN: frozenset(
        "spring roll split cotter taper tapered slotted grooved clevis r hollow coiled tubular"
        " hitch linch lock ball release stepped sleeve threaded tapped clip shear expansion"
        " grease".split()
    ),
    ItemForm.RING: frozenset(
        "o retaining snap piston seal sealing spring lock supporting shim o-ring circlip wire"
        " toothed wear key".split()
    ),
    ItemForm.WASHER: frozenset(
        "spring lock toothed tooth serrated conical wave wavy curved sealing copper fibre fiber"
        " rubber bonded spherical tab retaining crush nylon plastic cup slotted split square"
        " taper tapered thrust star".split()
    ),
    ItemForm.TUBE: frozenset("hose rubber heat-shrink grease sealant silicone adhesive".split()),
    ItemForm.BAR: frozenset(
        "round hollow hexagon hex pry pinch angle box channel section profile u-profile tee tube"
        " tubular pipe rail perforated slotted expanded threaded spring".split()
    ),
    ItemForm.PLATE: frozenset(
        "hollow perforated slotted expanded corrugated chequer checker chequered checkered"
        " sandwich".split()
    ),
    ItemForm.STRIP: frozenset("sealing rubber foam felt perforated corrugated".split()),
    ItemForm.NUT: frozenset(
        "insert rivet cage caged t tee t-nut t-nuts stiff stop all-metal toothed prong barrel"
        " furniture speed spring clip knurled thumb".split()
    ),
}
"""Words that make another thing of it: a roll pin is hollow, a retaining ring bears no face."""
_STIFF_NUT: Final = "nyl"
"""How the shops' words for nuts with a stiff plastic ring begin, however they are spelled."""
_OTHER_PINS: Final = re.compile(
    r"\b(?:iso|din|en)(?:[ -](?:iso|en))?[ -]?(?:8748|875[0-2]|13337|1481|734[346]|1234|94|2339"
    r"|873[679]|874[0-5]|147[0-7]|2340|2341|144[34]|11024)\b"
)
"""Spring, coiled, split, taper, grooved and clevis pins by their standards. From memory."""


def form_of_words(*texts: str) -> ItemForm | None:
    """Return what the first of ``texts`` that says anything says; None where none does.

    >>> form_of_words("hardware", "Flat bar 40x10")
    <ItemForm.BAR: 'bar'>
    >>> form_of_words("roll pins") is form_of_words("gasket") is None
    True
    """
    for text in texts:
        found = _form(text)
        if found is not None:
            return None if is_other(found, *texts) else found
    return None


def is_other(form: ItemForm, *texts: str) -> bool:
    """Whether words beside a form say that it is none that the families count with."""
    words = {word for text in texts for word in _TOKEN.findall(text.casefold())}
    words |= {word.removesuffix("s") for word in words}
    if form is ItemForm.PIN and any(_OTHER_PINS.search(text.casefold()) for text in texts):
        return True
    if form is ItemForm.NUT and any(word.startswith(_STIFF_NUT) for word in words):
        return True
    return bool(words & _OTHER.get(form, frozenset()))


def _form(text: str) -> ItemForm | None:
    words = _TOKEN.findall(text.casefold())
    plain = " ".join(words)
    for phrase, form in _PHRASES:
        if phrase in plain:
            return form
    # The last word names the thing: a socket screw is a screw, a pin plate a plate.
    for word in reversed(words):
        form_said = _WORDS.get(word) or _PLURAL.get(word)
        if form_said is not None:
            return form_said
    return None
