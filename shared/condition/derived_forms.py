"""Out-of-round and taper from the readings of one size."""

from collections.abc import Sequence
from dataclasses import replace

from shared.assemblies.model import Characteristic, Derivation, DerivationKind
from shared.condition.case import first_size
from shared.condition.derived_finding import PREFIX, Bench, Found, Measure, finding_of
from shared.condition.form import form_of
from shared.condition.limits import kind_of_characteristic
from shared.condition.measured import BudgetLine, DerivedFinding
from shared.condition.model import Finding
from shared.condition.readings import Point, points_of
from shared.condition.temperature import change_to_reference
from shared.quantities.units import canonical_unit


def forms_of(characteristic: Characteristic, derivation: Derivation, bench: Bench) -> Found:
    """Tell the form of one size from its readings: piece by piece, or of the piece named."""
    if len(derivation.terms) != 1:
        return "form is told of one size, and the record names another number"
    term = derivation.terms[0]
    named = bench.by_id.get(term.characteristic_id)
    if named is None:
        return f"the characteristic '{term.characteristic_id}' is not on record"
    own = [one for one in bench.findings if one.characteristic_id == named.id and one.readings]
    pieces = sorted({one.piece or 0 for one in own})
    is_here = named.position_id == characteristic.position_id
    if term.piece is not None:
        pieces = [piece for piece in pieces if piece == term.piece]
    elif len(pieces) > 1 and (not is_here or 0 in pieces):
        return f"{named.name} is read on several pieces, and no piece is named"
    if not pieces:
        return f"{named.name} has no readings at several places: one says nothing of its form"
    made: list[DerivedFinding] = []
    why = ""
    for piece in pieces:
        found = _form(
            characteristic, derivation.kind, [f for f in own if (f.piece or 0) == piece], bench
        )
        if isinstance(found, str):
            why = found
            continue
        id_ = PREFIX + characteristic.id
        id_ += f":piece-{piece}" if len(pieces) > 1 else ""
        made.append(
            finding_of(characteristic, found, id_, (piece or None) if is_here else None, bench)
        )
    return tuple(made) or f"{named.name}: {why}"


def _form(
    characteristic: Characteristic,
    kind_of_form: DerivationKind,
    found: Sequence[Finding],
    bench: Bench,
) -> Measure | str:
    """Return the greatest form deviation that any of the findings of one piece shows."""
    measures: list[Measure] = []
    why = ""
    for finding in found:
        kind = kind_of_characteristic(characteristic, first_size(finding))
        result = form_of(kind_of_form, points_of(finding, kind, bench.gauges))
        if isinstance(result, str):
            why = result
            continue
        few = len(finding.readings) < characteristic.minimum_readings
        count = f"{len(finding.readings)} of at least {characteristic.minimum_readings} readings"
        unit = canonical_unit(kind)
        text = (
            f"from {len(finding.readings)} readings: {place_text(result.greater)}"
            f" {result.greater.value:.6g} {unit} less {place_text(result.lesser)}"
            f" {result.lesser.value:.6g} {unit}"
        )
        change = change_to_reference(finding, result.value, kind)
        measures.append(
            Measure(
                kind,
                result.value,
                result.u,
                (
                    BudgetLine(
                        place_text(result.greater),
                        result.greater.value,
                        1.0,
                        result.greater.u,
                        finding.id,
                    ),
                    BudgetLine(
                        place_text(result.lesser),
                        result.lesser.value,
                        -1.0,
                        result.lesser.u,
                        finding.id,
                    ),
                ),
                (finding,),
                (text, *(() if result.why_no_u is None else (result.why_no_u,))),
                (min(0.0, change), max(0.0, change)),
                (count,) if few else (),
            )
        )
    if not measures:
        return why
    greatest = max(measures, key=lambda one: (one.u is None, one.value, one.u or 0.0))
    least_sure = max(one.u or 0.0 for one in measures)
    if greatest.u is None or greatest.u == least_sure:
        return greatest
    unit = canonical_unit(greatest.kind)
    told = f"another finding of it is less sure, u = {least_sure:.3g} {unit}"
    return replace(greatest, u=least_sure, notes=(*greatest.notes, told))


def place_text(point: Point) -> str:
    """Return where a size was read, in words."""
    words = [
        f"{word} {name}"
        for word, name in (("plane", point.plane), ("direction", point.direction))
        if name is not None
    ]
    return " ".join(words) or "a place not named"
