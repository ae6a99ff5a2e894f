"""Several parts for one line. Makers and numbers are invented."""

import pytest

from webapp.intake.alternates import is_alternate_row, parts_of, says_alternate
from webapp.trade.bom import Alternate, BomLine


@pytest.mark.parametrize(
    ("mpn", "maker", "both", "parts"),
    [
        ("ZX7001-A", "Zed", False, [("Zed", "ZX7001-A")]),
        ("ZX7001-A\nZX7001-B", "Zed", False, [("Zed", "ZX7001-A"), ("Zed", "ZX7001-B")]),
        ("ZX7001-A\nYY8002", "Zed\nWye", False, [("Zed", "ZX7001-A"), ("Wye", "YY8002")]),
        ("ZX7001\n(Zed)", "Zed\nLogic", False, [("Zed Logic", "ZX7001 (Zed)")]),
        ("ZX7001; YY8002", "Zed; Wye", False, [("Zed", "ZX7001"), ("Wye", "YY8002")]),
        ("ZX7001 or YY8002", "", False, [(None, "ZX7001"), (None, "YY8002")]),
        ("ZX7001,115", "Zed", False, [("Zed", "ZX7001,115")]),
        ("ZX7001, or equal", "Zed", False, [("Zed", "ZX7001, or equal")]),
        ("Zed Logic ZX7001", "", True, [("Zed Logic", "ZX7001")]),
        ("Zed ZX-06082, Wye 10118192-0001", "", True, [("Zed", "ZX-06082"), ("Wye", "10118192-0001")]),
        ("ZX7001 Zed Logic", "", True, [("Zed Logic", "ZX7001")]),
        ("ZX7001", "", True, [(None, "ZX7001")]),
        ("", "Zed", False, [("Zed", None)]),
    ],
)
def test_parts_of_the_cells(mpn: str, maker: str, both: bool, parts: list[tuple[str | None, str | None]]) -> None:
    assert list(parts_of(mpn, maker, both=both)) == [Alternate(*part) for part in parts]


@pytest.mark.parametrize("text", ["or", "Alt.", "alternative", "2nd source", "oder", "alt part"])
def test_words_in_the_place_of_designators(text: str) -> None:
    assert says_alternate(text)


@pytest.mark.parametrize("text", ["", "ALT1", "R1", "order", "alternator"])
def test_other_words(text: str) -> None:
    assert not says_alternate(text)


def test_rows_that_name_an_alternate() -> None:
    line = BomLine(row=2, refdes=("U2",), qty=1, mpn="ZX7001", description="single buffer, open drain")
    assert is_alternate_row(BomLine(row=3, mpn="YY8002"), line)
    assert is_alternate_row(BomLine(row=3, mpn="YY8002", qty=1, description="single buffer, open drain"), line)
    assert not is_alternate_row(BomLine(row=3, mpn="BOX-1", qty=1, description="cardboard box"), line)
    assert not is_alternate_row(BomLine(row=3, refdes=("U3",), mpn="YY8002"), line)
    assert not is_alternate_row(BomLine(row=3, mpn="YY8002"), None)
