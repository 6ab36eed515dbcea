"""Strength of a bundle whose strands are not all equally strong.

When the weakest strand breaks, the others take its load at once; a large bundle therefore
carries less than the sum of its strands. With strengths after Weibull the share that is left
has a closed form in the modulus *m*, which follows from the strength's coefficient of variation.
"""

from __future__ import annotations

import math

from strandwright.errors import InputError

#: Coefficients of variation for which a Weibull modulus is sought: modulus about 12 500 to 0.43.
VARIATION_RANGE = (1.0e-4, 3.0)


def coleman_efficiency(weibull_modulus: float) -> float:
    """Strength of a large bundle over the mean strength of its strands.

    .. math:: \\eta = \\frac{(m e)^{-1/m}}{\\Gamma(1 + 1/m)}

    Parameters
    ----------
    weibull_modulus : float
        Weibull modulus m of the strands' strength, > 0 [-]

    Returns
    -------
    float
        Efficiency, in (0, 1) and rising with m [-]

    Raises
    ------
    InputError
        If the modulus is not positive.

    Notes
    -----
    The limit for many strands of equal length and stiffness that share load equally and neither
    rub nor slip; a few dozen strands do a little better on average. Unequal lengths, twist and
    ends come on top.

    References
    ----------
    .. [1] H. E. Daniels, The statistical theory of the strength of bundles of threads I,
       Proceedings of the Royal Society A 183 (1945) 405-435.
    .. [2] B. D. Coleman, On the strength of classical fibres and fibre bundles, Journal of the
       Mechanics and Physics of Solids 7 (1958) 60-70.
    """
    m = weibull_modulus
    if not m > 0.0:
        raise InputError(
            "weibull_modulus", m, "must be above 0", "give 5 for uneven to 50 for even strands"
        )
    return math.exp(-(math.log(m) + 1.0) / m - math.lgamma(1.0 + 1.0 / m))


def variation_from_modulus(weibull_modulus: float) -> float:
    """Coefficient of variation of a Weibull distribution.

    .. math:: c_v^2 = \\frac{\\Gamma(1 + 2/m)}{\\Gamma(1 + 1/m)^2} - 1

    Parameters
    ----------
    weibull_modulus : float
        Weibull modulus m, > 0 [-]

    Returns
    -------
    float
        Standard deviation over mean; close to 1.28/m for a large m [-]

    Raises
    ------
    InputError
        If the modulus is not positive.
    """
    m = weibull_modulus
    if not m > 0.0:
        raise InputError("weibull_modulus", m, "must be above 0", "give a positive modulus")
    return math.sqrt(math.expm1(math.lgamma(1.0 + 2.0 / m) - 2.0 * math.lgamma(1.0 + 1.0 / m)))


def modulus_from_variation(variation: float) -> float:
    """Weibull modulus from the coefficient of variation: undoes :func:`variation_from_modulus`.

    Parameters
    ----------
    variation : float
        Standard deviation of the strands' strength over its mean, in
        :data:`VARIATION_RANGE` [-]

    Returns
    -------
    float
        Weibull modulus m [-]

    Raises
    ------
    InputError
        If the variation is out of range.

    Notes
    -----
    Halves a bracket in the logarithm of m, over which the variation falls steadily.
    """
    low, high = VARIATION_RANGE
    if not low <= variation <= high:
        raise InputError(
            "variation",
            variation,
            f"must lie between {low:g} and {high:g}",
            "give the standard deviation over the mean, 0.03 for 3 %",
        )
    below, above = math.log(0.3), math.log(2.0e4)
    for _ in range(80):
        middle = 0.5 * (below + above)
        if variation_from_modulus(math.exp(middle)) > variation:
            below = middle
        else:
            above = middle
    return math.exp(0.5 * (below + above))
