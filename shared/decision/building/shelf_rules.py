"""Which parts on the shelf may go where: what they are, where they come from, how they were found.

A part on the shelf is out and was looked at: it is judged as a part that is kept, by the service
limits and by the findings that speak of it. What nobody can tell of it counts as not inspected.
"""

from dataclasses import replace

from shared.assemblies.model import Position
from shared.assemblies.traits import Traits
from shared.condition.judgement import PositionJudgement
from shared.condition.model import Finding, Unit, Verdict
from shared.condition.verdict import standing_findings
from shared.decision.building.built_with import why_built_otherwise
from shared.decision.building.draft import Draft
from shared.decision.building.harvest import why_origin_barred, why_run_part_barred
from shared.decision.building.kept import is_barred_unproved
from shared.decision.building.planned import Bench, PlannedPosition, worst_of
from shared.decision.building.position_facts import usable_candidate
from shared.interchange.candidates import Candidate
from shared.salvage.model import ShelvedPart


def is_for(draft: Draft, part: ShelvedPart, position: Position) -> bool:
    """Whether a part sat in this position, is called for there, or may take that part's place."""
    return (
        part.position_id == position.id
        or (part.part_id is not None and part.part_id == position.part_id)
        or stands_in(draft, part, position) is not None
    )


def stands_in(draft: Draft, part: ShelvedPart, position: Position) -> Candidate | None:
    """The candidate that a part is where another number is called for; None: it is none.

    Nothing stands in for a member of a matched set, and only one goes for one.
    """
    is_called_for = part.part_id in (None, position.part_id)
    if is_called_for or draft.bench.matched_set_of(position.id) is not None:
        return None
    candidate = usable_candidate(draft, position, part.part_id)
    return candidate if candidate is not None and candidate.ratio == 1 else None


def judged(bench: Bench, part: ShelvedPart, position: Position) -> PositionJudgement:
    """Judge a part as it would be kept in a position.

    Where it sat elsewhere, what was found of it there counts, and what is inspected here does not
    count as done.
    """
    origin = bench.positions.get(part.position_id)
    here = bench.judge_piece(position, part.piece, own_findings(bench, part))
    if origin is None or origin.id == position.id:
        return here
    there = bench.judge_piece(origin, part.piece, own_findings(bench, part))
    return worst_of(position.id, (there, here))


def own_findings(bench: Bench, part: ShelvedPart) -> tuple[Finding, ...]:
    """The findings that a part names, and those that have superseded them since."""
    findings = bench.findings_of(part.donor_unit_id)
    named = set(part.finding_ids)
    while later := {f.id for f in findings if f.supersedes_id in named} - named:
        named |= later
    return tuple(finding for finding in findings if finding.id in named)


def why_not_used(
    draft: Draft, planned: PlannedPosition, part: ShelvedPart, judgement: PositionJudgement
) -> str | None:
    """Why a part on the shelf does not go into a position; None when it may."""
    bench, position = draft.bench, planned.position
    donor = bench.units[part.donor_unit_id]
    return (
        why_origin_barred(draft, donor)
        or why_run_part_barred(draft, position, traits_of(part, donor))
        or _why_another(draft, part, position, traits_of(part, donor))
        or _why_not_whole(bench, part, donor)
        or _why_bad_on_donor(bench, part)
        or _why_not_good(draft, planned, judgement)
    )


def traits_of(part: ShelvedPart, donor: Unit) -> Traits:
    """Traits of the unit that a part came out of, its own variant before that unit's."""
    return replace(donor.traits, variant=part.variant or donor.variant)


def _why_another(draft: Draft, part: ShelvedPart, position: Position, traits: Traits) -> str | None:
    """Why it is not the part for this place: another number, or not the set's own."""
    bench = draft.bench
    if part.position_id != position.id and bench.matched_set_of(position.id) is not None:
        return "belongs to a matched set: only what sat in this very position goes with its mates"
    if part.position_id != position.id and part.is_of_matched_set:
        return "it came out of a matched set: it is not fitted without its mates"
    if part.part_id is None:
        return why_built_otherwise(draft, position, traits)
    if position.part_id is None or part.part_id == position.part_id:
        return None
    if stands_in(draft, part, position) is not None:
        return None
    told = bench.number_of(part.part_id)
    return f"recorded as another part than the one called for here: {told}"


def _why_not_whole(bench: Bench, part: ShelvedPart, donor: Unit) -> str | None:
    """Why something may be missing inside it: the donor has given of that singly."""
    origin = bench.positions.get(part.position_id)
    if origin is None:
        return None
    gone = [one.name for one in bench.inside(origin) if one.id in donor.taken_position_ids]
    return f"it may be incomplete: inside it, '{gone[0]}' was taken singly" if gone else None


def _why_bad_on_donor(bench: Bench, part: ShelvedPart) -> str | None:
    """Why what was found on the donor speaks against it, though the part does not say so.

    Findings of another assembly cannot be judged here, so a part that has any is asked about.
    """
    origin = bench.positions.get(part.position_id)
    if origin is None:
        if part.finding_ids:
            return "its findings are of another assembly's position: they are not judged here"
        return None
    named = {finding.id for finding in own_findings(bench, part)}
    standing = standing_findings(bench.findings_of(part.donor_unit_id))
    unnamed = [finding for finding in standing if finding.id not in named]
    bad = bench.judge_piece(origin, part.piece, unnamed).nonconforming
    if not bad:
        return None
    return f"nonconforming on the donor, by findings that the part does not name: {'; '.join(bad)}"


def _why_not_good(
    draft: Draft, planned: PlannedPosition, judgement: PositionJudgement
) -> str | None:
    verdict = judgement.verdict
    if verdict is Verdict.CONFORMING:
        return None
    if verdict is Verdict.NONCONFORMING:
        return f"nonconforming: {'; '.join(judgement.nonconforming)}"
    if planned.holds_safety_critical:
        return f"safety-critical and {verdict}: it is fitted only when it conforms"
    if is_barred_unproved(draft.bench.settings.policy, verdict):
        return f"{verdict}: the shop's policy bars keeping, and so fitting, it"
    return None
