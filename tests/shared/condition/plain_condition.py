"""Judging intervals, sums and wear a second time, plainly: nothing of it is shared with the house.

Written from the definitions, by numbers and trial rather than by closed forms.
"""

from itertools import product
from math import erf, sqrt


def below(z):
    """Share of the standard normal distribution below z."""
    return (1 + erf(z / sqrt(2))) / 2


def interval_within(at_least, at_most, u, lower, upper, steps=2000):
    """Average over sizes spread evenly between two ends of the chance to lie within limits."""

    def chance(size):
        if u == 0:
            is_in = (lower is None or size >= lower) and (upper is None or size <= upper)
            return 1.0 if is_in else 0.0
        up_to = 1.0 if upper is None else below((upper - size) / u)
        return up_to - (0.0 if lower is None else below((lower - size) / u))

    width = (at_most - at_least) / steps
    if width == 0:
        return chance(at_least)
    return sum(chance(at_least + (n + 0.5) * width) for n in range(steps)) / steps


def interval_judged(at_least, at_most, feel, lower, upper, wanted):
    """What an interval with two ends amounts to, by ISO 14253-1."""
    low, high = at_least - feel, at_most + feel
    chance = interval_within(at_least, at_most, feel, lower, upper)
    if all(
        (lower is None or end >= lower) and (upper is None or end <= upper) for end in (low, high)
    ):
        return "conforming" if chance >= wanted else "indeterminate"
    for limit, is_bad in ((lower, lambda end: end < lower), (upper, lambda end: end > upper)):
        if limit is not None and is_bad(low) and is_bad(high):
            return "nonconforming" if chance <= 1 - wanted else "indeterminate"
    return "indeterminate"


def summed(terms, offset=0.0):
    """Value and greatest u of a sum; a term is (value, factor, u, common, gauge, master).

    The covariance matrix is written out; what is not known of it is tried at both its ends.
    """
    value = offset + sum(factor * x for x, factor, *_ in terms)
    pairs, known = [], {}
    for i, (_, _, u1, c1, gauge1, master1) in enumerate(terms):
        for j, (_, _, u2, c2, gauge2, master2) in enumerate(terms[:i]):
            is_one = (gauge1 is not None and gauge1 == gauge2) or (
                master1 is not None and master1 == master2
            )
            if not is_one:
                continue
            if c1 is not None and c2 is not None:
                known[i, j] = min(c1, u1) * min(c2, u2)
            else:
                shared = [u if c is None else min(c, u) for u, c in ((u1, c1), (u2, c2))]
                pairs.append((i, j, shared[0] * shared[1]))
    variances = []
    for chosen in product((0, 1), repeat=len(pairs)):
        matrix = [[0.0] * len(terms) for _ in terms]
        for i, term in enumerate(terms):
            matrix[i][i] = term[2] ** 2
        for (i, j), covariance in known.items():
            matrix[i][j] = matrix[j][i] = covariance
        for is_shared, (i, j, covariance) in zip(chosen, pairs, strict=True):
            matrix[i][j] = matrix[j][i] = is_shared * covariance
        factors = [term[1] for term in terms]
        variances.append(
            sum(
                factors[i] * factors[j] * matrix[i][j]
                for i in range(len(terms))
                for j in range(len(terms))
            )
        )
    return value, sqrt(max(0.0, *variances)) if len(variances) > 1 else sqrt(max(0.0, variances[0]))


def hours_shown(hours, new, worn, limit, u_new, u_worn, common, quantile):
    """Hours from now in which two sizes do not reach a limit above them, ``quantile`` times u away.

    The size so many hours on is worn (1 + k) - new k with k = t / hours: each reading's own error
    by its share, the common one as it is. Walked forward, then halved.
    """

    def is_shown(t):
        k = t / hours
        own_worn, own_new = u_worn**2 - common**2, u_new**2 - common**2
        u = sqrt((1 + k) ** 2 * own_worn + k**2 * own_new + common**2)
        return worn * (1 + k) - new * k + quantile * u <= limit

    if not is_shown(0.0):
        return 0.0
    far = hours
    while is_shown(far):
        far *= 2
        if far > 1e9 * hours:
            return None
    near = 0.0
    for _ in range(200):
        middle = (near + far) / 2
        near, far = (middle, far) if is_shown(middle) else (near, middle)
    return near
