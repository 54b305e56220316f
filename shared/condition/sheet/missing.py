"""What is still to be recorded before a unit can be judged, and where."""

from collections.abc import Collection, Iterator, Mapping, Sequence

from shared.condition.model import Finding, Verdict
from shared.condition.sheet.lines import readings_of
from shared.condition.sheet.model import (
    Missing,
    MissingKind,
    SheetLine,
    SheetPosition,
    SheetRecords,
    SheetShims,
    SheetStep,
    Treatment,
)


def missing_from(
    records: SheetRecords,
    steps: Sequence[SheetStep],
    current: Sequence[Finding],
    why_not_derived: Mapping[str, str],
    inputs: Collection[str],
) -> tuple[Missing, ...]:
    """Return what is wanting: of the unit, of the job, then position by position.

    ``why_not_derived``: by characteristic id, what a measure that follows from others waits for.
    ``inputs``: what is judged by what follows from it alone, and needs no limit of its own.

    Of what is renewed whatever is found nothing is wanting; nor of what is never reached, unless
    safety hangs on it.
    """
    found = list(_of_unit(records))
    path = f"/v1/units/{records.unit.id}/findings"
    by_id = {one.id: one for one in current}
    for step in steps:
        for position in step.positions:
            is_reached = position.treatment is not Treatment.NEVER_REACHED
            if not position.is_due and (is_reached or position.is_safety_critical):
                for line in position.lines:
                    why = why_not_derived.get(line.characteristic_id)
                    is_input = line.characteristic_id in inputs
                    found += _of_line(position, line, by_id, path, why, is_input=is_input)
            if is_reached:
                found += [
                    _pack(position, shims)
                    for shims in position.shims
                    if shims.as_found_pack_id is None
                ]
    return tuple(dict.fromkeys(found))


def _of_unit(records: SheetRecords) -> Iterator[Missing]:
    unit = records.unit
    path = f"/v1/units/{unit.id}"
    if unit.serial_number is None:
        yield Missing(
            MissingKind.SERIAL_NUMBER,
            path,
            "/serial_number",
            "serial number not on record: what holds for some numbers only cannot be told",
        )
    if unit.lower_hours is None and unit.upper_hours is None:
        yield Missing(
            MissingKind.HOURS,
            path,
            "/upper_hours",
            "hours run not on record: read the meter, or give the range they lie in",
        )
    traits = (unit.hand, unit.ratio, unit.generation, unit.variant)
    bound = [one.name for one in records.positions if one.is_variant_bound]
    if bound and not any(traits):
        yield Missing(
            MissingKind.VARIANT,
            path,
            "/variant",
            "hand, ratio, generation or variant not on record, and "
            f"{', '.join(bound[:3])}{' and others' if len(bound) > 3 else ''} depend on it",
        )
    if records.job_id is not None and not records.is_cause_known:
        yield Missing(
            MissingKind.CAUSE,
            f"/v1/jobs/{records.job_id}",
            "/cause",
            "the cause of the failure is not on record: look for it while taking apart; unknown, it"
            " counts as able to come back",
        )


def _of_line(
    position: SheetPosition,
    line: SheetLine,
    by_id: Mapping[str, Finding],
    path: str,
    why_not: str | None,
    *,
    is_input: bool,
) -> Iterator[Missing]:
    for piece in line.open_pieces:
        yield _finding(position, line, piece, path, why_not)
    if is_input:
        return
    if not line.found and not _has_limit(line):
        yield _limit(position, line)
    for found in line.found:
        if found.verdict is not Verdict.INDETERMINATE:
            continue
        finding = by_id[found.finding_id]
        read = readings_of(finding)
        kind, text = MissingKind.SETTLING, found.settled_by or found.detail
        if finding.is_cleaned is False:
            text = f"clean the part and measure again; {text}"
        if not _has_limit(line):
            yield _limit(position, line)
            continue
        if found.is_derived:
            kind = MissingKind.INPUT
        elif read < line.minimum_readings:
            kind = MissingKind.READINGS
            text = f"{read} of {line.minimum_readings} readings wanted: measure in more places"
        text = text.removeprefix(f"{line.name}: ")  # said by the line already
        yield _line(kind, position, line, found.piece, path, f"{line.name}: {text}")


def _finding(
    position: SheetPosition, line: SheetLine, piece: int | None, path: str, why_not: str | None
) -> Missing:
    which = "" if piece is None else f" (piece {piece})"
    if position.treatment is Treatment.NEVER_REACHED:
        text = f"{line.name}{which}: safety hangs on it, and it {position.treatment_told}"
        return _line(MissingKind.FINDING, position, line, piece, path, text)
    if line.follows_from:
        names = ", ".join(dict.fromkeys(one.name for one in line.follows_from))
        waits = why_not or "not of every piece is that measured"
        text = f"{line.name}{which} follows from {names}: {waits}"
        return _line(MissingKind.INPUT, position, line, piece, path, text)
    how = f": {line.how}" if line.how else ""
    text = f"{line.name}{which} not inspected{how}"
    return _line(MissingKind.FINDING, position, line, piece, path, text)


def _limit(position: SheetPosition, line: SheetLine) -> Missing:
    return Missing(
        MissingKind.LIMIT,
        f"/v1/characteristics/{line.characteristic_id}",
        "/service_upper",
        f"{position.name}: {line.name}: no limit on record; keep the readings, and ask for the"
        " limit",
        position.position_id,
        line.characteristic_id,
    )


def _pack(position: SheetPosition, shims: SheetShims) -> Missing:
    return Missing(
        MissingKind.SHIM_PACK,
        "/v1/shim-packs",
        "/shims",
        f"{position.name}, {shims.name}: the pack found in place is not on record; {shims.advice}",
        position.position_id,
        shims.sets_characteristic_id,
        shim_place_id=shims.shim_place_id,
    )


def _line(
    kind: MissingKind,
    position: SheetPosition,
    line: SheetLine,
    piece: int | None,
    path: str,
    text: str,
) -> Missing:
    told = f"{position.name}: {text}"
    return Missing(kind, path, "/items", told, position.position_id, line.characteristic_id, piece)


def _has_limit(line: SheetLine) -> bool:
    limits = (line.new_lower, line.new_upper, line.service_lower, line.service_upper)
    is_graded = line.is_crack or line.worst_acceptable_grade is not None
    return is_graded or any(one is not None for one in limits)
