"""Shares of a whole as they are printed."""

from collections.abc import Mapping


def whole_parts(shares: Mapping[str, float]) -> dict[str, int]:
    """Shares as whole parts that sum to 100, by the largest remainder; what lies a millionth under a tie goes
    up.
    """
    total = sum(shares.values())
    exact = {source: round(100 * share / total, 4) for source, share in shares.items()}
    parts = {source: int(value) for source, value in exact.items()}
    short = 100 - sum(parts.values())
    for source in sorted(exact, key=lambda s: (parts[s] - exact[s], s))[:short]:
        parts[source] += 1
    return parts
