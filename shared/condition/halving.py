"""Where along a range something ceases to hold, by halving the range."""

from collections.abc import Callable


def narrowed(
    holds: Callable[[float], bool], inside: float, outside: float, halvings: int
) -> tuple[float, float]:
    """Return the ends of the range once halved so often: it holds at the first, not at the second.

    It must hold at ``inside``, not at ``outside``, and change once between them; ``inside`` may be
    the greater.

    >>> narrowed(lambda x: x < 0.3, 0.0, 1.0, 2)
    (0.25, 0.5)
    """
    for _ in range(halvings):
        middle = (inside + outside) / 2
        if holds(middle):
            inside = middle
        else:
            outside = middle
    return inside, outside
