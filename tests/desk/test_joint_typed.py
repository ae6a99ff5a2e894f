"""A joint as people type it."""

from dataclasses import replace

import pytest

from tests.desk.test_joint_detail import joint
from webapp.desk.joint_typed import FIELDS, read, written
from webapp.trade.materials import tabulated

NOW = joint()


def test_what_is_written_reads_back_as_it_was():
    odd = replace(NOW, ball_diameter_mm=0.45 / 0.7, pad_board_mm=1 / 3)
    texts = written(odd, tabulated())
    assert set(texts) == set(FIELDS)
    assert (texts["ball"], texts["paste"], texts["transfer_pct"]) == ("Sn96.5Ag3.0Cu0.5", "Sn42Bi58", "85")
    assert read(texts, odd, tabulated()) == (odd, {})
    assert read({}, odd, tabulated()) == (odd, {})


def test_each_value_that_is_typed():
    typed = {
        "ball": "sn42bi58",
        "paste": "Sn-57Bi-1Ag",
        "peak_c": "365 °F",
        "shape": "square",
        "ball_mm": "0,5",
        "package_pad_mm": "0.4 mm",
        "board_pad_mm": "0.41",
        "opening_mm": "0.3",
        "foil_mm": "0.08",
        "transfer_pct": "70 %",
        "metal_pct": "48",
    }
    assert set(typed) == set(FIELDS)
    found, errors = read(typed, NOW, tabulated())
    assert errors == {}
    assert (found.ball.text, found.paste.text, found.peak_c) == ("Sn42Bi58", "Sn42Bi57Ag1", 185.0)
    assert (found.ball_diameter_mm, found.pad_package_mm, found.pad_board_mm) == (0.5, 0.4, 0.41)
    deposit = found.deposit
    assert (deposit.aperture_mm, deposit.foil_mm, deposit.shape) == (0.3, 0.08, "square")
    assert (deposit.transfer_efficiency, deposit.metal_volume_share) == (0.7, 0.48)


def test_an_alloy_may_be_called_by_its_short_name():
    found, errors = read({"paste": "SAC305"}, NOW, tabulated())
    assert errors == {}
    assert found.paste == NOW.ball


def test_lengths_in_other_units():
    found, errors = read({"foil_mm": "5 mil", "ball_mm": "450 µm", "opening_mm": "0.015 inch"}, NOW, tabulated())
    assert errors == {}
    assert (found.deposit.foil_mm, found.ball_diameter_mm, found.deposit.aperture_mm) == (0.127, 0.45, 0.381)


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("ball_mm", "7", "7 mm is outside 0.05 to 2 mm. If you mean mil, write 7 mil (0.1778 mm)."),
        ("foil_mm", "thick", "“thick” is no length; write 0.12 mm, 120 µm or 5 mil."),
        ("foil_mm", "120", "If you mean µm, write 120 µm (0.12 mm)."),
        ("foil_mm", "0.1…0.12", "One length, not a range."),
        ("metal_pct", "5", "5 is outside 10 to 100 %."),
        ("peak_c", "365", "If you mean °F, write 365 °F (185 °C)."),
        ("peak_c", "180 to 190", "One temperature, not a range."),
        ("ball", "Xx50", "is not an element"),
        ("ball", "bogus", '"bogus" cannot be read as a composition such as Sn42Bi57Ag1.'),
        ("paste", "Sn50Bi40", "sum to 90"),
        ("shape", "oval", "The opening is round or square."),
    ],
)
def test_what_does_not_hold_is_told_by_field(name, text, words):
    found, errors = read({name: text, "opening_mm": "99"}, NOW, tabulated())
    assert found is None
    assert set(errors) == {name, "opening_mm"}
    assert words in errors[name]
