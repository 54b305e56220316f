"""The whole answer to what may take a place, with what is needed to draw it."""

from enum import StrEnum
from typing import Self

from pydantic import Field

from api.schemas.base import Answer, DecimalOut, IdText, WholeNumber
from api.schemas.candidates import CandidateOut, CautionOut, LoopOut, RefusedOut, StepOut
from api.schemas.places import Parts, PlaceOut
from shared.interchange.found import Found, Place
from shared.interchange.rules import InterchangeRules

MOST_EDGES = 1_000
MOST_NODES = 10_000
_LONG = 4_000


class NodeRole(StrEnum):
    """What a part is in the drawing."""

    CALLED_FOR = "called-for"
    USABLE = "usable"
    BELOW_THRESHOLD = "below-threshold"
    CANNOT_BE_TOLD = "cannot-be-told"
    REFUSED = "refused"
    PASSED = "passed"
    """On the way to another, and nothing by itself."""


class NodeOut(Answer):
    """A part in the drawing."""

    id: IdText = Field(description="The part.", examples=["prt_1c3"])
    label: str = Field(
        description="Maker and number.", examples=["Oakhollow Drives OH-9021"], max_length=500
    )
    role: NodeRole = Field(description="What it is here.", examples=["usable"])


class GraphOut(Answer):
    """Parts and steps among them, ready to draw; edges run from what is called for."""

    nodes: tuple[NodeOut, ...] = Field(description="The parts.", max_length=MOST_NODES)
    edges: tuple[StepOut, ...] = Field(
        description="The steps, those of the paths told first.", max_length=MOST_EDGES
    )
    left_out: WholeNumber = Field(
        description="Steps looked at that are not drawn: they are beyond the most that is drawn, or"
        " lead to parts that are not told.",
        examples=[0],
    )


class ConfidenceRuleOut(Answer):
    """How sure a path must be, and how that is reckoned."""

    least_confidence: DecimalOut = Field(
        description="From here on a path is usable.", examples=["0.8"]
    )
    hop_discount: DecimalOut = Field(
        description="The factor for each step after the first.", examples=["0.95"]
    )
    most_steps: WholeNumber = Field(description="Steps of a path at most.", examples=[4])
    in_words: str = Field(
        description="The rule in words.",
        examples=["How sure a path is: what its steps are, multiplied."],
        max_length=_LONG,
    )

    @classmethod
    def of(cls, rules: InterchangeRules) -> Self:
        """Carry the rules over the border."""
        discount, least = format(rules.hop_discount, "f"), format(rules.least_confidence, "f")
        return cls(
            least_confidence=rules.least_confidence,
            hop_discount=rules.hop_discount,
            most_steps=rules.most_steps,
            in_words=(
                "How sure a path is: what its steps are, multiplied, and by"
                f" {discount} for each step after the first; supersessions in a row count as one"
                f" step, and no path has more than {rules.most_steps}. Of several paths to one part"
                f" the surest counts; the others add nothing. Usable from {least} on."
            ),
        )


class CandidatesOut(Answer):
    """What may take a place, what may not, and what would have to be known."""

    place: PlaceOut = Field(description="The question as it was understood.")
    candidates: tuple[CandidateOut, ...] = Field(
        description="The part called for, then others: usable ones first, the surest first.",
        max_length=200,
    )
    refused: tuple[RefusedOut, ...] = Field(description="What does not go in.", max_length=200)
    loops: tuple[LoopOut, ...] = Field(
        description="Circles among supersessions, each told once.", max_length=200
    )
    stopped: str | None = Field(
        description="Why not everything was looked at; null if it was.",
        examples=["40 records were not read, for their number"],
        max_length=_LONG,
    )
    records_left_out: WholeNumber = Field(
        description="Records that were not read, for their number.", examples=[0]
    )
    candidates_left_out: WholeNumber = Field(description="Candidates beyond limit.", examples=[0])
    refused_left_out: WholeNumber = Field(description="Refused ones beyond limit.", examples=[0])
    loops_left_out: WholeNumber = Field(description="Circles beyond limit.", examples=[0])
    cautions: tuple[CautionOut, ...] = Field(
        description="Warnings on record about the position and its assembly.", max_length=1_000
    )
    rule: ConfidenceRuleOut = Field(description="How sure a path must be.")
    graph: GraphOut = Field(description="The same, ready to draw.")

    @classmethod
    def of(
        cls,
        place: Place,
        found: Found,
        shown: tuple[CandidateOut, ...],
        *,
        limit: int,
        parts: Parts,
        records_left_out: int,
        cautions: tuple[CautionOut, ...],
        rules: InterchangeRules,
    ) -> Self:
        """Put the answer together; ``shown``: the first candidates, ready to go out."""
        refused = found.refused[:limit]
        return cls(
            place=PlaceOut.of(place),
            candidates=shown,
            refused=tuple(RefusedOut.of(one, parts) for one in refused),
            loops=tuple(LoopOut.of(loop) for loop in found.loops[:limit]),
            stopped=found.stopped,
            records_left_out=records_left_out,
            candidates_left_out=len(found.candidates) - len(shown),
            refused_left_out=len(found.refused) - len(refused),
            loops_left_out=max(0, len(found.loops) - limit),
            cautions=cautions,
            rule=ConfidenceRuleOut.of(rules),
            graph=drawn(place, found, limit, parts),
        )


def drawn(place: Place, found: Found, limit: int, parts: Parts) -> GraphOut:
    """Return the parts told and the steps among them, those of their paths first."""
    shown = found.candidates[:limit]
    roles: dict[str, NodeRole] = {place.part_id: NodeRole.CALLED_FOR}
    for one in shown:
        roles.setdefault(one.part.id, NodeRole(one.standing.value))
    for refused in found.refused[:limit]:
        roles.setdefault(refused.part_id, NodeRole.REFUSED)
    on_paths = dict.fromkeys(step for one in shown for step in one.steps)
    for step in on_paths:
        roles.setdefault(step.from_part_id, NodeRole.PASSED)
        roles.setdefault(step.to_part_id, NodeRole.PASSED)
    others = (
        step for step in found.steps if step.from_part_id in roles and step.to_part_id in roles
    )
    edges = list(dict.fromkeys((*on_paths, *others)))
    all_steps = len(dict.fromkeys((*on_paths, *found.steps)))
    return GraphOut(
        nodes=tuple(_node(part_id, role, parts) for part_id, role in roles.items()),
        edges=tuple(StepOut.of(step) for step in edges[:MOST_EDGES]),
        left_out=all_steps - min(len(edges), MOST_EDGES),
    )


def _node(part_id: str, role: NodeRole, parts: Parts) -> NodeOut:
    part = parts.get(part_id)
    label = part_id if part is None else f"{part.maker} {part.number}"
    return NodeOut(id=part_id, label=label, role=role)
