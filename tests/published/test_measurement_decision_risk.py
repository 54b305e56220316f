"""A paper on measurement decision risk: limits at two standard deviations of the family.

Values as reproduced in the public test suite of an uncertainty library, confirmed by quadrature.
"""

import pytest

from shared.condition.risk import NormalFamily, inspection_risks

FAMILY = NormalFamily(mean=0.0, standard_deviation=1.0)


@pytest.mark.parametrize(
    ("u", "accepted", "consumer", "producer"),
    [
        (0.25, (-2.0, 2.0), 0.008, 0.015),
        (0.5, (-1.82, 1.82), 0.008, 0.066),  # a poor gauge, guarded: four times the false rejects
    ],
)
def test_risks_agree_with_the_paper(u, accepted, consumer, producer):
    risks = inspection_risks(FAMILY, u, (-2.0, 2.0), accepted)
    assert risks.consumer == pytest.approx(consumer, abs=0.0005)
    assert risks.producer == pytest.approx(producer, abs=0.0005)
