from webapp.web.pages.product_tabs.common import echo_of


def test_a_length_in_another_unit_is_echoed():
    assert echo_of("5 mil") == "5 mil = 0.127 mm"
    assert echo_of("1.4 mil", "µm") == "1.4 mil = 35.56 µm"
    assert [echo_of(text) for text in ("0.12", "0.12 mm")] == ["", ""]


def test_only_what_was_typed_in_fahrenheit_is_echoed():
    assert echo_of("140 °F") == "140 °F = 60 °C"
    assert [echo_of(text) for text in ("60", "60 °C", "warm", "", "1" * 50 + " °F")] == [""] * 5
