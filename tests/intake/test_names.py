"""Column names: what people write over the columns of a BOM, in eight languages (common practice, no source)."""

import pytest

from webapp.intake.names import MAYBE, SURE, fold, meaning, meaning_under
from webapp.trade.bom import Field


@pytest.mark.parametrize(
    ("header", "field"),
    [
        ("Designator", Field.REFDES),
        ("Reference(s)", Field.REFDES),
        ("REF. DES.", Field.REFDES),
        ("Board Ref", Field.REFDES),
        ("Bezeichner", Field.REFDES),
        ("Repère", Field.REFDES),
        ("Designador", Field.REFDES),
        ("Riferimento", Field.REFDES),
        ("位号", Field.REFDES),
        ("リファレンス", Field.REFDES),
        ("Поз. обозначение", Field.REFDES),
        ("Qty.", Field.QTY),
        ("Quantity Per PCB", Field.QTY),
        ("Stückzahl", Field.QTY),
        ("Qté", Field.QTY),
        ("Cantidad", Field.QTY),
        ("Quantità", Field.QTY),
        ("数量", Field.QTY),
        ("員数", Field.QTY),
        ("Кол-во", Field.QTY),
        ("Mfr. #", Field.MPN),
        ("mfr  part #", Field.MPN),
        ("Manufacturer_Part_Number", Field.MPN),
        ("Hersteller-Nr.", Field.MPN),
        ("Référence fabricant", Field.MPN),
        ("Nº parte fabricante", Field.MPN),
        ("Codice produttore", Field.MPN),
        ("制造商料号", Field.MPN),
        ("型番", Field.MPN),
        ("Manufacturer", Field.MANUFACTURER),
        ("Hersteller", Field.MANUFACTURER),
        ("厂家", Field.MANUFACTURER),
        ("メーカー", Field.MANUFACTURER),
        ("Производитель", Field.MANUFACTURER),
        ("Wert", Field.VALUE),
        ("PCB Footprint", Field.PACKAGE),
        ("Gehäuse", Field.PACKAGE),
        ("封装", Field.PACKAGE),
        ("Описание", Field.DESCRIPTION),
        ("Layer", Field.SIDE),
        ("Do Not Populate", Field.DNP),
        ("Fitted", Field.DNP),
        ("No Load", Field.DNP),
        ("Oznaczenie", Field.REFDES),
        ("Manufacturer Order Code", Field.MPN),
    ],
)
def test_names_that_mean_one_field_for_sure(header: str, field: Field) -> None:
    weights = meaning(header).weights
    assert weights[field] >= SURE
    assert max(weights, key=lambda key: weights[key]) is field


@pytest.mark.parametrize(
    "header", ["Price", "Distributor Part Number", "Shop Part #", "PN-SHOP-KEY", "Datasheet", "序号"]
)
def test_known_names_of_other_columns_mean_no_field(header: str) -> None:
    found = meaning(header)
    assert found.known
    assert not found.weights.get(Field.MPN)
    assert not any(weight >= SURE for weight in found.weights.values())


@pytest.mark.parametrize(
    "header", ["Manufacturer/MPN", "Mfr & Part No", "Part Number / Manufacturer", "Hersteller und Typ"]
)
def test_one_column_for_maker_and_number(header: str) -> None:
    found = meaning(header)
    assert found.both
    assert found.weights == {Field.MPN: SURE}


@pytest.mark.parametrize(
    ("header", "order"),
    [("MPN", 1), ("MPN 1", 1), ("MPN2", 2), ("Manufacturer Part Number 3", 3), ("Alternate MPN", 2), ("MFR2", 2)],
)
def test_second_sources(header: str, order: int) -> None:
    assert meaning(header).order == order


@pytest.mark.parametrize(
    ("header", "field"),
    [
        ("Component Reference Designator(s)", Field.REFDES),
        ("Quantity per assembly", Field.QTY),
        ("Manufacturer Part Numbr", Field.MPN),
        ("Manufacturer Part Number/Shop SKU", Field.MPN),
        ("Description / Value", Field.DESCRIPTION),
        ("Component PN", Field.MPN),
    ],
)
def test_longer_names_are_likely(header: str, field: Field) -> None:
    assert 0.5 < meaning(header).weights[field] < SURE


@pytest.mark.parametrize("header", ["Order Qty", "DNP Designators", "Vendor Order No", "Min. quantity in stock"])
def test_longer_names_that_are_no_field(header: str) -> None:
    assert not {Field.QTY, Field.REFDES, Field.MANUFACTURER} & meaning(header).weights.keys()


def test_a_name_under_the_name_of_a_group() -> None:
    assert meaning_under("Manufacturer", "Part Number").weights == {Field.MPN: SURE}
    assert meaning_under("Manufacturer", "Name").weights == {Field.MANUFACTURER: SURE}
    assert not meaning_under("Supplier", "Part Number").weights
    assert meaning_under("Manufacturer", "Qty").weights == meaning("Qty").weights
    assert meaning_under("Board A", "Part Number").weights == meaning("Part Number").weights


def test_any_name_that_speaks_of_a_place_may_mean_designators() -> None:
    assert meaning("Main board ref").weights == {Field.REFDES: MAYBE}
    assert meaning("Label on the board").weights == {Field.REFDES: MAYBE}
    assert not meaning("Reference price").weights
    assert not meaning("Supplier ref").weights


def test_columns_of_remarks() -> None:
    assert meaning("BOM Options").is_note
    assert meaning("Your Instructions / Notes").is_note


def test_a_slip_of_the_pen_is_forgiven_and_counted_less() -> None:
    weight = meaning("Manufcaturer").weights[Field.MANUFACTURER]
    assert 0.5 < weight < SURE


@pytest.mark.parametrize("header", ["", "   ", "Weather node", "x" * 100, "12345"])
def test_texts_that_say_nothing(header: str) -> None:
    assert not meaning(header).weights


def test_fold_drops_case_accents_and_punctuation_but_keeps_japanese_sound_marks() -> None:
    assert fold("Référence(s) Nº") == "reference s no"
    assert fold("Part#") == "part no"
    assert fold("データ") == "データ"
    assert fold("PartNumber") == "part number"
