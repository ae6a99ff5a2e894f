"""Materials: the tables and a site's own beside them."""

from dataclasses import replace

import pytest

from webapp.errors import InvalidInputError
from webapp.trade.alloys import alloys
from webapp.trade.materials import materials, tabulated
from webapp.trade.pastes import paste_examples

OWN_ALLOY = replace(alloys()["Sn42Bi58"], designation="Sn43Bi57", composition_wt_pct={"Sn": 43.0, "Bi": 57.0}, own=True)
OWN_PASTE = replace(paste_examples()[0], name="House paste", alloy="Sn43Bi57", own=True)


def test_own_ones_stand_beside_the_tables() -> None:
    site = materials([OWN_ALLOY], [OWN_PASTE])
    assert site.alloy("Sn43Bi57") == OWN_ALLOY
    assert site.alloy("Sn42Bi58") == alloys()["Sn42Bi58"]
    assert next(iter(site.pastes)) == "House paste"
    assert site.paste(None) is None
    assert site.alloy("Sn1") is None


def test_an_alloy_is_found_by_designation_or_composition() -> None:
    site = materials([OWN_ALLOY])
    assert site.find_alloy("sn43bi57") == OWN_ALLOY
    assert site.find_alloy("43Sn-57Bi") == OWN_ALLOY
    assert site.find_alloy("sac 305") == alloys()["Sn96.5Ag3.0Cu0.5"]
    assert site.alloy_named("tin-bismuth") is None  # a description, of several
    assert site.composition("SAC305") == site.composition("Sn-3Ag-0.5Cu")
    assert tabulated().find_alloy("42Sn-57Bi-1Ag").designation == "Sn42Bi57Ag1"
    with pytest.raises(InvalidInputError, match="not among the alloys") as caught:
        tabulated().find_alloy("Sn43Bi57", field="alloy")
    assert caught.value.field == "alloy"
