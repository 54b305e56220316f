"""Which of the shop's figures says how likely the same failure comes again."""

from decimal import Decimal

import pytest

from shared.evidence import CauseKind, FailureMechanism
from shared.life.cause import Failed, RecurrenceRow, recurrence
from shared.life.model import CauseChance

KNOWN, UNKNOWN = Decimal("0.02"), Decimal("0.10")
FITTED_WRONG, TIRED = CauseKind.INSTALLATION, FailureMechanism.FATIGUE
ROWS = (
    CauseChance(FITTED_WRONG, Decimal("0.05"), TIRED, "own comebacks"),
    CauseChance(FITTED_WRONG, Decimal("0.03")),
    CauseChance(CauseKind.CONTAMINATION, Decimal("0.20")),
    CauseChance(CauseKind.DESIGN, Decimal("0.08"), FailureMechanism.FRACTURE),
)


def read(**said):
    return recurrence(Failed(**said), ROWS, KNOWN, UNKNOWN)


@pytest.mark.parametrize(
    ("kind", "mechanism", "chance", "row", "index"),
    [
        (FITTED_WRONG, TIRED, "0.05", RecurrenceRow.KIND_AND_MECHANISM, 0),
        (FITTED_WRONG, FailureMechanism.WEAR, "0.03", RecurrenceRow.KIND, 1),
        (FITTED_WRONG, None, "0.03", RecurrenceRow.KIND, 1),
        (CauseKind.DESIGN, FailureMechanism.FRACTURE, "0.08", RecurrenceRow.KIND_AND_MECHANISM, 3),
        (CauseKind.DESIGN, TIRED, "0.02", RecurrenceRow.KNOWN, None),
        (CauseKind.DESIGN, None, "0.02", RecurrenceRow.KNOWN, None),
        (CauseKind.OPERATION, TIRED, "0.02", RecurrenceRow.KNOWN, None),
    ],
)
def test_the_narrowest_row_counts_once_the_cause_is_removed(kind, mechanism, chance, row, index):
    found = read(cause_kind=kind, mechanism=mechanism, is_cause_removed=True)
    assert (found.chance, found.row, found.index) == (Decimal(chance), row, index)
    assert found.counts is found.row
    assert found.basis.endswith("the cause is removed")


def test_a_cause_that_stays_is_no_better_than_one_not_known():
    found = read(cause_kind=FITTED_WRONG, is_cause_removed=False)
    assert (found.chance, found.counts) == (UNKNOWN, RecurrenceRow.UNKNOWN)
    assert found.row is RecurrenceRow.KIND
    assert "the cause is not removed, so the chance for an unknown cause counts" in found.basis


def test_a_cause_that_stays_keeps_its_own_chance_where_that_is_worse():
    found = read(cause_kind=CauseKind.CONTAMINATION, is_cause_removed=False)
    assert (found.chance, found.counts) == (Decimal("0.20"), RecurrenceRow.KIND)
    assert "not removed" in found.basis


def test_a_kind_of_cause_counts_as_removed_only_where_that_is_said():
    found = read(cause="driven in askew", cause_kind=FITTED_WRONG)
    assert found.chance == UNKNOWN
    assert "not recorded" in found.basis


def test_a_cause_in_words_alone_counts_as_known_and_the_gap_is_told():
    found = read(cause="driven in askew")
    assert (found.chance, found.row) == (KNOWN, RecurrenceRow.KNOWN)
    assert "is not recorded, it is taken as removed" in found.basis
    assert read(cause="driven in askew", is_cause_removed=False).chance == UNKNOWN


def test_how_it_failed_is_not_why():
    found = read(mechanism=TIRED)
    assert (found.chance, found.row) == (UNKNOWN, RecurrenceRow.UNKNOWN)
    assert found.basis == "failed by fatigue, but why is not known"


def test_what_is_not_known_cannot_be_removed():
    found = read(is_cause_removed=True)
    assert found.chance == UNKNOWN
    assert "cannot count as removed" in found.basis


def test_a_row_without_basis_is_told_as_judgement():
    assert "own comebacks" in read(cause_kind=FITTED_WRONG, mechanism=TIRED).basis
    assert "own judgement, no source stated" in read(cause_kind=FITTED_WRONG).basis
