"""Alloys for the properties: any within the limits of what is covered."""

from hypothesis import strategies as st

from webapp.trade.composition import Composition

_MOST = {"Bi": 60.0, "Ag": 5.0, "Cu": 2.0, "Pb": 20.0}


@st.composite
def covered(draw: st.DrawFn, least: int = 0) -> Composition:
    """Tin with at least ``least`` others, shares to 0.01 wt%."""
    chosen = draw(st.lists(st.sampled_from(sorted(_MOST)), min_size=least, unique=True))
    shares = {element: round(draw(st.floats(0.01, _MOST[element])), 2) for element in chosen}
    return Composition.of({"Sn": round(100 - sum(shares.values()), 2), **shares})
