"""Tables by steps of size: each step begins where the one before it ends, so no size falls through.

A slip in a boundary would give a size the figures of its neighbour without anything to see.
"""

from itertools import groupby, pairwise

import pytest

from shared.standards.reader import table

STEPPED = [
    ("bearing_tolerances", ("bearing", "dimension"), "over", "upto"),
    ("iso286_grades", ("grade",), "over", "up_to"),
    ("iso286_deviations", ("letter",), "over", "up_to"),
    ("thread_tolerances_metric_pitch", ("pitch",), "over", "up_to"),
    ("shaft_seal_allowances", (), "bore_over", "bore_up_to"),
    ("shaft_seal_lips", (), "shaft_over", "shaft_up_to"),
    ("keys", (), "shaft_over", "shaft_up_to"),
    ("nuts", ("name", "family", "style", "pitches"), "over", "most"),
    ("property_classes", ("name",), "over", "most"),
]


@pytest.mark.parametrize(("name", "key", "over", "up_to"), STEPPED, ids=str)
def test_steps_follow_one_another(name, key, over, up_to):
    def of(row):
        return [row[column] for column in key]

    for _, group in groupby(sorted(table(name), key=of), key=of):
        steps = [(float(row[over]), float(row[up_to])) for row in group]
        assert all(least < most for least, most in steps), steps
        assert all(before[1] == after[0] for before, after in pairwise(steps)), steps
