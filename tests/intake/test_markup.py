import pytest

from webapp.errors import UnreadableFileError
from webapp.intake.limits import Limits
from webapp.intake.markup import read_markup

NAMESPACE = "urn:schemas-microsoft-com:office:spreadsheet"


def spreadsheet(rows: str, prologue: str = "") -> str:
    return (
        f'<?xml version="1.0" encoding="utf-16"?>{prologue}<Workbook xmlns="{NAMESPACE}" xmlns:ss="{NAMESPACE}">'
        f'<Worksheet ss:Name="Parts"><Table>{rows}</Table></Worksheet></Workbook>'
    )


def refusal(text: str, limits: Limits | None = None) -> str:
    with pytest.raises(UnreadableFileError) as refused:
        read_markup(text, limits or Limits())
    return refused.value.code


def test_tables_of_a_page() -> None:
    text = (
        "<html><body><p>Parts</p><table><tr><th>Ref<th>Qty<tr><td>R1 &amp;<br>R2<td> 2 </table>"
        "<table><tr><td colspan=3>Title<td>x</table></body></html>"
    )
    sheets = read_markup(text, Limits())
    assert sheets is not None
    assert [(sheet.name, sheet.rows) for sheet in sheets] == [
        ("Table 1", [["Ref", "Qty"], ["R1 &\nR2", "2"]]),
        ("Table 2", [["Title", "", "", "x"]]),
    ]


def test_a_page_without_a_table() -> None:
    assert refusal("<!DOCTYPE html><html><body>Log in first</body></html>") == "not_a_table"


def test_xml_spreadsheet_keeps_rows_and_columns_in_place() -> None:
    rows = (
        '<Row ss:Index="2"><Cell><Data ss:Type="String">Ref</Data></Cell><Cell ss:Index="3"><Data>2</Data></Cell></Row>'
        "<Row><Cell/><Cell><Data>x &lt; y</Data></Cell></Row>"
    )
    sheets = read_markup(spreadsheet(rows), Limits())
    assert sheets is not None
    assert [(sheet.name, sheet.rows) for sheet in sheets] == [("Parts", [[], ["Ref", "", "2"], ["", "x < y"]])]


def test_entities_are_refused() -> None:
    assert refusal(spreadsheet("<Row/>", '<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]>')) == "not_a_table"


def test_broken_xml_and_other_xml() -> None:
    assert refusal(spreadsheet("<Row>")) == "damaged"
    assert refusal('<?xml version="1.0"?><netlist/>') == "not_a_table"


@pytest.mark.parametrize("text", ["Ref,Qty\n", "<5 V,1\n", "<b,c\n1,2\n", ""])
def test_plain_text_is_neither(text: str) -> None:
    assert read_markup(text, Limits()) is None


def test_limits_hold_for_places_that_are_only_named() -> None:
    assert refusal(spreadsheet('<Row ss:Index="9999999"/>')) == "too_many_rows"
    assert refusal(spreadsheet('<Row><Cell ss:Index="9999999"/></Row>')) == "too_many_columns"
    assert refusal("<table><tr><td colspan=9999>x</table>") == "too_many_columns"
    assert refusal("<table><tr><td>x</table>" * 4, Limits(sheets=3)) == "too_many_sheets"
