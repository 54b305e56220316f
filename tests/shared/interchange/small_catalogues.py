"""Small catalogues written in few letters: a claim "ab" says that b may stand in for a."""

from datetime import date
from decimal import Decimal

from shared.assemblies.traits import Traits
from shared.evidence import EvidenceKind
from shared.interchange.candidates import candidates
from shared.interchange.found import Catalogue, Place, Standing
from shared.interchange.model import ClaimSays, InterchangeClaim, Part, PartLine, Supersession
from shared.interchange.rules import EvidenceBelief, InterchangeRules

TODAY = date(2031, 3, 4)
BULLETIN, TOLD = EvidenceKind.MAKER_BULLETIN, EvidenceKind.TOLD
USABLE, BELOW, OPEN = Standing.USABLE, Standing.BELOW_THRESHOLD, Standing.CANNOT_BE_TOLD
POLICY = tuple(kind for kind in EvidenceKind if kind is not TOLD)


def part(id_, designation=None):
    return Part(id_, "Mill & Sons", f"N-{id_}", f"part {id_}", "part", designation)


def claim(path, id_=None, evidence=BULLETIN, **facts):
    start, end = path
    return InterchangeClaim(id_ or f"{start}{end}", start, end, evidence, "seen", **facts)


def denial(path, id_=None, evidence=BULLETIN, **facts):
    return claim(path, id_ or f"no-{path}", evidence, says=ClaimSays.DOES_NOT_FIT, **facts)


def rule(path, id_=None, evidence=BULLETIN, **facts):
    later = facts.pop("later", tuple(PartLine(one) for one in path[1:]))
    return Supersession(id_ or f"s-{path}", path[0], evidence, "bulletin", later, **facts)


def catalogue(*records, parts="abcdek", **facts):
    facts.setdefault("rules", InterchangeRules(least_confidence=Decimal("0.5")))
    facts.setdefault("accepted", POLICY)
    return Catalogue(
        tuple(part(one) if isinstance(one, str) else one for one in parts),
        tuple(one for one in records if isinstance(one, InterchangeClaim)),
        tuple(one for one in records if isinstance(one, Supersession)),
        **facts,
    )


def place(called_for="a", assembly="drive", position="seat", **traits):
    return Place(called_for, TODAY, assembly, position, Traits(**traits))


def find(*records, at=None, **facts):
    return candidates(at or place(), catalogue(*records, **facts))


def by_records(candidate):
    return [step.record_id for step in candidate.steps]


def by_id(found):
    assert len({one.part.id for one in found.candidates}) == len(found.candidates)
    return {one.part.id: one for one in found.candidates}


def standings(found):
    return {one.part.id: one.standing for one in found.candidates}


def refused(found):
    return {(one.part_id, one.record_id): one.reason for one in found.refused}


def certain(mean="0.9", **facts):
    """Rules under which every record is believed alike."""
    beliefs = tuple(EvidenceBelief(kind, Decimal(mean), Decimal(10)) for kind in EvidenceKind)
    facts.setdefault("least_confidence", Decimal("0.5"))
    return InterchangeRules(beliefs=beliefs, **facts)
