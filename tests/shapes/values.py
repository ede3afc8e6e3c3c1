"""Values that parameters of any shape are drawn from."""

from __future__ import annotations

from hypothesis import strategies as st

INKS = ("white", "lifebuoy orange", "navy", "green")


def mm(least: float, most: float) -> st.SearchStrategy[float]:
    """Lengths in hundredths of a millimetre, as people measure them."""
    return st.integers(round(least * 100), round(most * 100)).map(lambda n: n / 100)


def maybe(strategy: st.SearchStrategy) -> st.SearchStrategy:
    return st.none() | strategy


ink = st.sampled_from(INKS)
inks = st.lists(ink, min_size=1, max_size=4).map(tuple)
