"""How much a block and tackle multiplies the pull of its lead line."""

from core.ranges import require_at_least

__all__ = ["lead_line_factor", "tackle_ratio"]


def tackle_ratio(parts: int, ratio: float) -> float:
    """Return how many times its lead-line pull a tackle lifts.

    Parameters
    ----------
    parts : int
        Parts of line that carry the load [-], at least 1.
    ratio : float
        Friction ratio K of one sheave [-], at least 1.

    Returns
    -------
    float
        Load over lead-line pull while lifting [-].

    Raises
    ------
    ValueRangeError
        If `parts` or `ratio` is below 1.

    Notes
    -----
    ``sum K^-j, j = 1..n``: one sheave per part. Tables print K = 1.045 for
    bronze bushings and 1.02 for rolling bearings in this form.

    References
    ----------
    Rigger's handbook table of ratios, p. 137 (K inferred from its cells).

    Examples
    --------
    >>> tackle_ratio(2, 1.0)
    2.0
    """
    require_at_least("parts of line", parts, 1, "-")
    require_at_least("friction ratio", ratio, 1.0, "-")
    return float(sum(ratio**-part for part in range(1, parts + 1)))


def lead_line_factor(parts: int, ratio: float, *, extra_sheaves: int = 0) -> float:
    """Return the lead-line pull of a tackle as a share of its load.

    Parameters
    ----------
    parts : int
        Parts of line that carry the load [-], at least 1.
    ratio : float
        Friction ratio K of one sheave [-], at least 1 (1 is no friction).
    extra_sheaves : int
        Sheaves between the tackle and the winch [-], at least 0.

    Returns
    -------
    float
        Lead-line pull over load while lifting [-].

    Raises
    ------
    ValueRangeError
        If `parts` or `ratio` is below 1 or `extra_sheaves` below 0.

    Notes
    -----
    ``K^N (K - 1)/(K^N - 1)``, times K for each extra sheave; 1/N at K = 1.
    The manual takes K = 1.09 for plain and 1.04 for rolling bearings.

    References
    ----------
    Wire Rope Users Manual, 4th ed., 2005, p. 87-88.

    Examples
    --------
    >>> lead_line_factor(4, 1.09)
    0.308669
    >>> lead_line_factor(1, 1.0)
    1.0
    """
    require_at_least("extra sheaves", extra_sheaves, 0, "-")
    return float(ratio**extra_sheaves / tackle_ratio(parts, ratio))
