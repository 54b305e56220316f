"""Words that stand beside a thread and are kept: head, drive, finish, shape, use.

The list is the trade's (common practice, no source). A word on no list is refused, never dropped:
it may be the one that matters.
"""

import re
from typing import Final

_HEADS: Final = (
    "hexagon hex head heads socket cap button pan countersunk csk flat round cheese fillister "
    "truss oval raised mushroom carriage coach square flange flanged washer dome domed low high "
    "profile low-profile flat-head bihexagon double slim hollow knurled thumb wing eye ring hook"
)
_DRIVES: Final = (
    "slotted slot cross recess recessed hexalobular lobular spline key drive external internal "
    "tamper tamperproof security pin star"
)
_FINISHES: Final = (
    "zinc zn plated plating galvanized galvanised hdg hot-dip dip black oxide blackened blued "
    "phosphated phosphate plain bright chrome chromed nickel nickel-plated zinc-plated cadmium "
    "yellow passivated blue clear silver flake zinc-flake coated coating oiled dry waxed "
    "lubricated greased stainless steel brass titanium aluminium aluminum nylon plastic bronze "
    "copper alloy carbon hardened tempered unplated untreated quenched forged rolled cut"
)
_SHAPES: Final = (
    "shear stretch yield torque-to-yield tty reduced shank waisted fitted shoulder fully full "
    "partially partly part threaded full-thread part-thread drilled wired cross-drilled "
    "pre-coated patch locking self-locking prevailing torque insert captive captured weld banjo "
    "plug drain bleed bleeder anchor tension jacking pusher puller dowel cone dog cup point "
    "pointed tip tipped used new unmarked marked special short fit close medium free "
    "serrated ribbed self clinch rivet blind high tensile strength structural male female taper "
    "tapered parallel hole tapped top bottom"
)
_USES: Final = (
    "wheel lug exhaust manifold sump oil filler hub spark sender fitting union coupling connector "
    "adapter adaptor brake caliper steering suspension seat belt lifting hoist sling crane airbag "
    "frangible breakaway connecting cylinder main flywheel pulley crankshaft camshaft bearing "
    "cover guard engine gearbox mounting safety"
)
_FORMS: Final = (
    "bolt stud studding setscrew capscrew rod set grub machine threaded locknut jam lock thin half "
    "castle castellated slit slotted crown acorn"
)
_SHORT: Final = "ss hd hds shcs hhcs bhcs fhcs mach zp bzp blk phos pl"
_MIDDLES: Final = "with and for of"

_PLURALS: Final = {"bolts": "bolt", "studs": "stud", "setscrews": "setscrew", "rods": "rod"}

WORDS: Final = frozenset(
    " ".join((_HEADS, _DRIVES, _FINISHES, _SHAPES, _USES, _FORMS, _SHORT, _MIDDLES)).split()
)

LIMIT: Final = re.compile(
    r"(?:extra[ -]fine|fine|coarse|metric|unified)(?: pitch)?(?![A-Za-z])", re.IGNORECASE
)
"""Words that leave some of the threads only; the thread's own name then says it."""

SCREW_WORDS: Final = frozenset({"bolt", "stud", "studding", "setscrew", "capscrew", "rod", "grub"})
"""Kept words that say that the thread is an external one of a screw, bolt or stud."""
NUT_WORDS: Final = frozenset({"locknut"})

FILLERS: Final = frozenset({"thread", "threads", "size", "iso", "series"})
"""Words that change nothing and are not kept."""

WORD: Final = re.compile(r"[A-Za-z][A-Za-z]*(?:-[A-Za-z]+)*(?:\.(?= |$))?")
_AF: Final = r"(?:AF|WAF|across flats)"
_WIDTH: Final = (
    r"(?!12[ -]point|18-8)(?:[0-9]{1,2}/[0-9]{1,2}|[0-9]{1,2}(?:\.5)?)(?![0-9/]|\.[0-9])"
)
# "8 AF 13" is an 8 and a width of 13 mm; in "13 AF 10.9" the class follows.
_BEHIND: Final = rf" ?{_AF}\b(?! ?{_WIDTH})"
CODE: Final = re.compile(
    r"(?:hex(?:agon|agonal)? )?key ?(?!12[ -]point|18-8)[0-9]{1,2}(?:\.5)?(?: ?mm\b)?"
    rf"(?![0-9/.x]|(?: ?mm)?{_BEHIND})"
    rf"|{_AF} ?{_WIDTH}(?: ?mm\b)?(?!x)"
    rf"|[0-9]{{1,2}}/[0-9]{{1,2}}(?: ?\"| ?in)?{_BEHIND}"
    rf"|[0-9]{{1,2}}(?:\.5)?(?: ?mm)?{_BEHIND}"
    r"|(?:TX?|PH|PZ|E) ?[0-9]{1,2}(?![0-9/.x-])"
    r"|12[ -]point\b|18-8\b|(?:AISI )?(?:303|304|316|316L|410|416)\b(?! ?mm| ?long)"
    r"|(?:ASTM )?(?:A307|A325|A449|A490|A574|A193|B7|B8|B16|2H)\b",
    re.IGNORECASE,
)
"""Words with a figure in them: hex key 5, 13 AF, T30, 12-point, 18-8, ASTM A325."""

_PHRASES: Final = tuple(
    tuple(phrase.split())
    for phrase in (
        "hexagon socket head",
        "hexagon socket",
        "hexagon head",
        "hexagon flange",
        "hex socket head",
        "hex socket",
        "hex head",
        "hex flange",
        "socket head",
        "socket cap",
        "button head",
        "pan head",
        "cheese head",
        "flange head",
        "square head",
        "countersunk head",
        "cross recess",
        "zinc plated",
        "zinc flake",
        "fully threaded",
        "partly threaded",
        "threaded rod",
        "self locking",
        "with nut",
    )
)


_FLATS: Final = re.compile(_WIDTH)


def code_as_kept(written: str) -> str:
    """Return a word with a figure as it is kept, a width across flats as "AF 13"."""
    if re.search(_AF, written, re.IGNORECASE) is None:
        return written
    figure = _FLATS.search(written)
    return f"AF {figure[0]}" if figure else written


def known_word(written: str) -> str | None:
    """Return a word of the list as it is kept, in the singular; None for one on no list."""
    word = written.lower().rstrip(".")
    word = _PLURALS.get(word, word)
    return word if word in WORDS else None


def _pieces(text: str) -> list[str]:
    """Part words at their blanks, but leave those with a figure whole."""
    found: list[str] = []
    while text:
        code = CODE.match(text)
        piece = code[0] if code else text.partition(" ")[0]
        found.append(piece)
        text = text[len(piece) :].lstrip(" ")
    return found


def phrases_of(words: list[str]) -> tuple[str, ...]:
    """Join neighbours that are one thing in the trade: "hexagon", "head" is "hexagon head".

    >>> phrases_of(["hex", "flange", "zinc", "plated", "bolt"])
    ('hex flange', 'zinc plated', 'bolt')
    """
    single = _pieces(" ".join(words))
    found: list[str] = []
    at = 0
    while at < len(single):
        run = next(
            (one for one in _PHRASES if tuple(single[at : at + len(one)]) == one), (single[at],)
        )
        found.append(" ".join(run))
        at += len(run)
    return tuple(found)
