"""One alloy."""

import pytest

from tests.web.pages.wizard import plain
from webapp.trade.people import Role

OWN = {"designation": "HOUSE-7", "composition": "Sn43Bi57", "name": "House seven"}


def test_how_it_melts_calculated_and_listed(engineer):
    text = plain(engineer.get("/alloys/Sn96.5Ag3.0Cu0.5"))
    assert "Melts from 215.9 °C; 99 % is liquid at 219.8 °C." in text
    assert "Melting begins: solidus 215.9" in text
    assert "217 J-STD-006, Appendix A, and ISO 9453 read in a document" in text
    assert "Melting begins again, as soldered 215.9" in text


def test_a_trace_that_melts_late_is_named(engineer):
    text = plain(engineer.get("/alloys/sn42bi57ag1"))
    # Calculated: Ag3Sn last at 161.5 °C, the matrix at 140.5 °C.
    assert "the last solid, Ag3Sn, is gone at 161.5 °C." in text
    assert "Matrix gone, (Bi) last 140.5" in text
    # What melts again at 138 °C: almost all of it.
    assert "138 97.1 97.1" in text


def test_a_matrix_is_not_gone_below_the_solidus(engineer):
    # Without the silver compound it would be at 175.8 °C, and 174.4 within the tolerance; the solidus is 177.0 °C.
    assert "Matrix gone, (Sn) last 177.0 177.0 … 178.4" in plain(engineer.get("/alloys/Sn62Pb36Ag2"))


def test_slopes_differ_on_the_two_sides_of_the_eutectic(engineer):
    # Right of the eutectic, 57 wt%, the liquidus rises by 2.5 K per wt% bismuth; left of it it falls by 2.4.
    assert "Bi 0 +2.5 +2.5" in plain(engineer.get("/alloys/Sn42Bi58"))
    off = plain(engineer.get("/alloys/Sn60Bi40"))
    assert "Bi 0 −1." in off


def test_the_tolerance_widens_the_range(engineer):
    text = plain(engineer.get("/alloys/Sn42Bi58"))
    # 58 ± 0.5 wt% at 2.5 K per wt%: 141.4 ± 1.2 °C.
    assert "Matrix gone, (Bi) last 141.4 140.1 … 142.6" in text


def test_the_chart_tells_it_to_a_listener(engineer):
    page = engineer.get("/alloys/Sn42Bi57Ag1").text
    assert 'role="img" aria-labelledby="liquid-title liquid-words"' in page
    assert '<title id="liquid-title">Liquid share of Sn42Bi57Ag1 over temperature</title>' in page
    assert "<summary>Values of the chart</summary>" in page
    assert "style=" not in page


def test_limits_in_use_with_their_sources(engineer):
    text = plain(engineer.get("/alloys/Sn42Bi58"))
    assert "Highest joint temperature 80 °C to be proved up to 97 °C, never above 105 °C" in text
    assert "Strength as SAC305 or above" in text
    assert "Ductility brittle when strained fast" in text
    assert "Drop life over that of SAC305 0.19 to 0.49 times SAC305" in text
    assert "Oven power 13 to 27 % less than at 240 °C" in text
    assert "Tensile strength 48 to 72 MPa 0.001 per second, 25 °C handbook values of tin-bismuth from memory" in text


def test_an_alloy_not_covered_says_so(engineer):
    text = plain(engineer.get("/alloys/In52Sn48"))
    assert "By the lists it melts at 118 °C; it is not calculated." in text
    assert "Not covered · The thermodynamic data hold no indium" in text
    assert "Melting begins: solidus not calculated – 118" in text
    assert "Strength not known" in text
    assert "Liquid over temperature" not in text


def test_what_an_alloy_costs_by_its_metals(engineer):
    text = plain(engineer.get("/alloys/Sn42Bi57Ag1"))
    # Silver at 1000 per kg: 1 wt% is 10.
    assert "Ag 1 10.00" in text
    assert "Alloy 38.11" in text
    assert "Metal value USD per kg of alloy" in text


def test_where_it_is_used(engineer, product):
    text = plain(engineer.get("/alloys/Sn42Bi57Ag1"))
    assert "HL-2 Harbour logger" in text
    assert "No route has a step of this alloy." in plain(engineer.get("/alloys/Sn95Sb5"))


def test_an_own_alloy_can_be_edited_by_an_engineer(engineer, sign_in):
    engineer.post("/alloys/new", data=OWN)
    page = engineer.get("/alloys/HOUSE-7")
    assert "Alloy of the site" in plain(page)
    assert 'href="/alloys/HOUSE-7/edit"' in page.text
    other = sign_in(Role.REVIEWER).get("/alloys/HOUSE-7").text
    assert 'href="/alloys/HOUSE-7/edit"' not in other
    assert 'href="/alloys/HOUSE-7/history"' in other
    assert 'href="/alloys/Sn42Bi58/edit"' not in engineer.get("/alloys/Sn42Bi58").text


@pytest.mark.parametrize("address", ["/alloys/Sn1Bi99", "/alloys/x", "/alloys/%00"])
def test_an_alloy_that_there_is_not(engineer, address):
    assert engineer.get(address).status_code == 404


def test_the_method_is_one_click_away(engineer):
    assert 'href="/alloys/method"' in engineer.get("/alloys/Sn42Bi58").text
    text = plain(engineer.get("/alloys/method"))
    assert "up to 5 wt% silver" in text
    assert "Where lead is more than 50 wt%, up to 0.5 wt% silver" in text
    # The ternary eutectic, calculated 98.0 °C.
    assert "Bi-Pb-Sn 98.0" in text
    assert "Dinsdale, SGTE data for pure elements" in text
