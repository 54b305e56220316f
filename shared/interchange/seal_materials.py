"""Which material bears a fluid at a temperature: suitable, limited, unsuitable, or ask.

By the ratings of ``shared.standards.seal_materials`` and the temperatures that each material bears.
Temperatures in degrees Celsius.
"""

import re
from dataclasses import dataclass
from difflib import get_close_matches
from types import MappingProxyType
from typing import Final

from shared.errors import Ambiguous, InvalidInput, OutOfRange, WrongDimension
from shared.quantities import read_text
from shared.standards.seal_materials import (
    Rating,
    SealFluidRow,
    SealMaterialRow,
    SealRatingRow,
    fluids_by_word,
    ratings_by_fluid,
    seal_materials,
)

_SEVERAL: Final = MappingProxyType(
    {
        "brake fluid": ("glycol brake fluid", "silicone brake fluid", "mineral brake fluid"),
        "oil": (
            "mineral oil",
            "gear oil",
            "synthetic ester",
            "vegetable oil",
            "silicone oil",
            "polyglycol oil",
        ),
        "compressor oil": (
            "mineral oil",
            "synthetic hydrocarbon oil",
            "synthetic ester",
            "polyglycol oil",
        ),
        "turbine oil": ("mineral oil", "synthetic ester"),
        "two-stroke oil": ("mineral oil", "synthetic ester"),
        "coolant": ("engine coolant", "cutting emulsion"),
        "synthetic oil": ("synthetic hydrocarbon oil", "synthetic ester", "polyglycol oil"),
        "biodegradable hydraulic oil": ("synthetic ester", "vegetable oil", "polyglycol oil"),
        "fuel": (
            "petrol with up to 10 % alcohol",
            "petrol without alcohol",
            "diesel fuel",
            "fuel with 85 % ethanol",
        ),
        "glycol": ("glycol brake fluid", "engine coolant", "water-glycol hydraulic fluid"),
        "alcohol": ("ethanol", "methanol"),
        "hydraulic fluid": (
            "mineral oil",
            "water-glycol hydraulic fluid",
            "phosphate ester hydraulic fluid",
            "synthetic ester",
        ),
    }
)
"""Words that name several fluids, which need different materials."""

_COLDEST, _HOTTEST = -273.15, 1000.0
_LONGEST: Final = 60
_BARE: Final = re.compile(r"-?[0-9]{1,4}(?:[.,][0-9]{1,3})?")
_STRETCH: Final = 20.0
"""How far beyond the temperature of a rating good grades of the material may still serve, K."""

_NO_RUBBER: Final = (
    "No rubber: it creeps and does not spring back, so only in a groove made for it or over a"
    " rubber ring."
)

CAUTIONS: Final = (
    "The trade's common ratings, no maker's: the sheet of the grade and of the fluid decides. In a"
    " mixture the worst part counts.",
    "Where a life hangs on the seal (brakes, steering, gas, pressure) fit the approved part only;"
    " local rules and licensed practice come first.",
)


@dataclass(frozen=True, slots=True)
class RatedMaterial:
    """A material in the fluid at the temperature, with the reasons for its rating."""

    material: SealMaterialRow
    rating: Rating
    reasons: tuple[str, ...]
    row: SealRatingRow


@dataclass(frozen=True, slots=True)
class RatedFluid:
    """How the materials bear a fluid, the best first."""

    fluid: SealFluidRow
    temperature: float | None
    items: tuple[RatedMaterial, ...]
    cautions: tuple[str, ...]


def find_fluid(text: str, pointer: str = "/fluid") -> SealFluidRow:
    """Return the fluid of this name, in any case and spacing.

    Raises Ambiguous for a word of several fluids, InvalidInput ("fluid-unknown") for any other.
    """
    word = " ".join(text.split()).casefold()
    if word in _SEVERAL:
        raise Ambiguous(
            pointer,
            f"'{word}' names several fluids, which need different materials.",
            "Say which; the label of the fluid tells.",
            _SEVERAL[word],
        )
    found = fluids_by_word().get(word)
    if found is not None:
        return found
    names = list(dict.fromkeys(row.name for row in fluids_by_word().values()))
    near = get_close_matches(word[:_LONGEST], [*fluids_by_word(), *_SEVERAL], n=3, cutoff=0.6)
    shown = word if len(word) <= _LONGEST else word[:_LONGEST] + "..."
    raise InvalidInput(
        pointer,
        f"No ratings are held for '{shown}'.",
        f"Nearest: {', '.join(near)}." if near else f"Give one of: {', '.join(names)}.",
        "fluid-unknown",
    )


def read_temperature(text: str, pointer: str = "/temperature") -> float:
    """Return a temperature as people write it, in degrees Celsius; a bare number is in these.

    Raises InvalidInput with ``pointer``.

    >>> read_temperature("90"), read_temperature("-20 °C"), round(read_temperature("194 F"), 6)
    (90.0, -20.0, 90.0)
    """
    if _BARE.fullmatch(text.strip()):
        return float(text.strip().replace(",", "."))
    try:
        reading = read_text(text)
    except InvalidInput as error:
        error.pointer = pointer
        raise
    if reading.kind != "temperature" or reading.value is None:
        raise InvalidInput(
            pointer,
            f"Got a {reading.kind}; wanted one temperature.",
            "Give the hottest that the seal meets, such as 90 or 194 °F.",
            WrongDimension.code,
        )
    return float(reading.value.value)


def rate_materials(fluid: SealFluidRow, temperature: float | None) -> RatedFluid:
    """Rate every material in the fluid, at the temperature where one is given.

    Raises OutOfRange (temperature) outside -273.15 to 1000 degrees.

    >>> rated = rate_materials(find_fluid("mineral oil"), 90)
    >>> {item.material.code: item.rating.value for item in rated.items}["EPDM"]
    'unsuitable'
    """
    if temperature is not None and not _COLDEST <= temperature <= _HOTTEST:
        raise OutOfRange("temperature", temperature, f"from {_COLDEST:g} to {_HOTTEST:g} °C")
    of_fluid = {row.material: row for row in ratings_by_fluid()[fluid.name]}
    rated = [_rated(row, of_fluid[row.code], temperature) for row in seal_materials()]
    order = list(Rating)
    rated.sort(key=lambda one: order.index(one.rating))
    own = (fluid.caution,) if fluid.caution else ()
    unsaid = () if temperature is not None else ("No temperature was given: mind the limits.",)
    return RatedFluid(fluid, temperature, tuple(rated), (*own, *unsaid, *CAUTIONS))


def _rated(
    material: SealMaterialRow, row: SealRatingRow, temperature: float | None
) -> RatedMaterial:
    reasons = [_sentence(row.reason)] if row.reason else []
    rating = row.rating
    if temperature is not None and rating in {Rating.SUITABLE, Rating.LIMITED}:
        by_heat, why = _by_temperature(material, row, temperature)
        rating = max(rating, by_heat, key=list(Rating).index)
        if why:
            reasons.insert(0, why)
    if material.code == "PTFE" and rating is not Rating.UNSUITABLE:
        reasons.append(_NO_RUBBER)
    return RatedMaterial(material, rating, tuple(reasons), row)


def _by_temperature(
    material: SealMaterialRow, row: SealRatingRow, temperature: float
) -> tuple[Rating, str]:
    if temperature > material.upper_best:
        return Rating.UNSUITABLE, f"Too hot: the best grades bear {material.upper_best:g} °C."
    if temperature < material.lower_best:
        return Rating.UNSUITABLE, f"Too cold: the best grades bear {material.lower_best:g} °C."
    if row.upper is not None and temperature > row.upper:
        is_far = row.rating is Rating.LIMITED or temperature > row.upper + _STRETCH
        rating = Rating.UNSUITABLE if is_far else Rating.LIMITED
        return rating, f"Too hot in this fluid: rated to {row.upper:g} °C."
    if temperature > material.upper_surely:
        return Rating.LIMITED, f"Usual grades bear {material.upper_surely:g} °C."
    if temperature < material.lower_surely:
        return Rating.LIMITED, f"Usual grades bear {material.lower_surely:g} °C."
    return Rating.SUITABLE, ""


def _sentence(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}."
