"""A sell-out whose hour nobody knows: all that is heard is "at least so many were asked for".

The likelihood is then Pr(D >= c), with D the demand over the whole exposure and c the pieces
there were, and a Gamma prior no longer stays a Gamma. Its mean and variance after the weekend
still have a closed form, because demand under a Gamma rate is a negative binomial and its upper
tail a regularised incomplete beta I:

    Pr(D >= c)          = I_p(c, shape),  p = exposure / (rate + exposure)
    E[rate | D >= c]    = shape / rate * I_p(c, shape + 1) / I_p(c, shape)
    E[rate**2 | D >= c] = shape (shape + 1) / rate**2 * I_p(c, shape + 2) / I_p(c, shape)

The Gamma with the same mean and variance is taken in its place: the two-moment conjugate
approximation of Berk, Gürler & Levine (2007), Bayesian demand updating in the lost sales
newsvendor problem. For one such weekend mean and variance are exact. Of several, take the
largest count first: against numerical integration of 3,000 random cases of one to five such
weekends the mean was then off by 0.06 % in the middle case, 1.3 % in the 95th of a hundred, and
8 % at worst (five sell-outs, no other weekend, a prior worth a fifth of one); the other way
round 19 % at worst.

Whoever knows at least the day of a sell-out should say so: a full Saturday and a sold-out Sunday
can be two records.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

FAINTEST = 1e-250
"""A tail probability below this is taken at its limit, before the ratios lose their digits."""


def condition(
    shape: ArrayLike, rate: ArrayLike, count: ArrayLike, exposure: ArrayLike
) -> tuple[Floats, Floats, Floats]:
    """Condition Gamma(shape, rate) on at least `count` > 0 asked for in `exposure` > 0.

    Works on numbers or arrays of one shape. Returns the logarithm of Pr(D >= count) and the shape
    and rate of the Gamma that matches the first two moments. In a tail so far out that the
    probability can't be told from 0, "at least c" and "exactly c" come to the same: both the
    probability and the update are then those of exactly c.
    """
    import numpy as np
    from scipy.special import betainc, gammaln, xlogy

    shape, rate, count, exposure = (
        np.asarray(each, dtype=np.float64) for each in (shape, rate, count, exposure)
    )
    reach = exposure / (rate + exposure)
    evidence = betainc(count, shape, reach)
    faint = evidence < FAINTEST
    safe = np.where(faint, 1.0, evidence)
    mean = shape / rate * betainc(count, shape + 1, reach) / safe
    square = shape * (shape + 1) / rate**2 * betainc(count, shape + 2, reach) / safe
    variance = np.where(faint, 1.0, square - mean**2)
    exactly = (
        gammaln(shape + count)
        - gammaln(shape)
        - gammaln(count + 1)
        + xlogy(shape, rate / (rate + exposure))
        + xlogy(count, reach)
    )
    return (
        np.where(faint, exactly, np.log(safe)),
        np.where(faint, shape + count, mean**2 / variance),
        np.where(faint, rate + exposure, mean / variance),
    )
