"""Dividing an amount so that no minor unit is lost or made: the largest remainder method.

Used wherever one figure belongs to several lines: a discount on a whole sale, the tax of a
receipt, the pieces of a line.
"""

from collections.abc import Sequence


def split(amount: int, weights: Sequence[int]) -> tuple[int, ...]:
    """Return whole parts of `amount`, in proportion to `weights`, that sum to it exactly.

    Every part starts as its exact share rounded down; the units that are left go one each to the
    largest remainders, an earlier part before a later one. So the same input always gives the
    same parts, a weight of zero gets nothing, no part is a whole unit off its exact share, and
    no part outgrows its weight while `amount` is no more than the sum of the weights. An amount
    below zero is split as the mirror of the same amount above it.

    Raises `ValueError` for a weight below zero, and for an amount with nothing to lay it on.
    """
    if any(weight < 0 for weight in weights):
        raise ValueError("A weight can't be below zero.")
    whole = sum(weights)
    if whole == 0:
        if amount:
            raise ValueError("An amount can't be split over nothing.")
        return (0,) * len(weights)
    if amount < 0:
        return tuple(-part for part in split(-amount, weights))
    parts = [amount * weight // whole for weight in weights]
    remainders = [amount * weight % whole for weight in weights]
    # A stable sort keeps equal remainders in their order.
    by_remainder = sorted(range(len(weights)), key=remainders.__getitem__, reverse=True)
    for index in by_remainder[: amount - sum(parts)]:
        parts[index] += 1
    return tuple(parts)
