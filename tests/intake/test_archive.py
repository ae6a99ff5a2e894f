import pytest

from tests.intake import files
from webapp.errors import UnreadableFileError
from webapp.intake.archive import survey
from webapp.intake.limits import MIB, Limits

CELL = '<table:table-cell office:value-type="string"><text:p>x</text:p></table:table-cell>'
ONE = '<row r="1"><c r="A1"><v>1</v></c></row>'


def refusal(content: bytes, limits: Limits | None = None) -> UnreadableFileError:
    with pytest.raises(UnreadableFileError) as refused:
        survey(content, limits or Limits())
    return refused.value


def test_kinds() -> None:
    assert survey(files.xlsx(), Limits()).kind == "xlsx"
    assert survey(files.ods(), Limits()).kind == "ods"
    assert survey(files.zipped({"xl/workbook.bin": "x"}), Limits()).kind == "xlsb"


@pytest.mark.parametrize(
    ("part", "name"), [("word/document.xml", "text document"), ("ppt/slides.xml", "presentation"), ("a.csv", "zip")]
)
def test_other_archives_are_refused_by_name(part: str, name: str) -> None:
    error = refusal(files.zipped({part: "x"}))
    assert error.code == "not_a_table"
    assert name in error.message


def test_the_two_cell_workbook_is_found_though_its_dimension_lies() -> None:
    assert len(files.two_cells()) < 2_000
    assert refusal(files.two_cells()).code == "too_many_rows"


def test_a_far_column_alone() -> None:
    assert refusal(files.raw_xlsx('<row r="1"><c r="XFD1"><v>1</v></c></row>')).code == "too_many_columns"


def test_formatted_blanks_far_away_do_not_count() -> None:
    survey(
        files.raw_xlsx(ONE + '<row r="1048576"><c r="XFD1048576" s="1"/><c r="XFC1048576" s="1"></c></row>'), Limits()
    )


def test_a_million_rows_name_the_limit() -> None:
    error = refusal(files.many_rows(1_000_000))
    assert error.code == "too_many_rows"
    assert "200,000 rows" in error.message


def test_zip_bomb_by_size_and_by_ratio() -> None:
    assert refusal(files.zip_bomb(20 * MIB), Limits(unpacked_bytes=16 * MIB)).code == "unpacks_too_large"
    assert refusal(files.zip_bomb(20 * MIB)).code == "unpacks_too_large"


def test_small_parts_may_pack_well() -> None:
    survey(files.zip_bomb(4 * MIB), Limits())


def test_a_directory_that_lies_about_sizes() -> None:
    assert refusal(files.lying_zip(20 * MIB)).code == "damaged"


def test_too_many_parts() -> None:
    assert refusal(files.zipped({str(at): "" for at in range(20)}), Limits(parts=10)).code == "too_many_parts"


def test_cut_short() -> None:
    content = files.xlsx()
    assert refusal(content[: len(content) // 2]).code == "damaged"


def test_formulas_links_and_macros_are_told() -> None:
    cells = '<c r="A1"><f>1+1</f><v>2</v></c><c r="B1"><f>1+1</f></c><c r="C1"><f ref="C1">1+1</f><v></v></c>'
    extra: dict[str, str | bytes] = {"xl/externalLinks/externalLink1.xml": "<x/>", "xl/vbaProject.bin": "x"}
    notes = survey(files.raw_xlsx(f'<row r="1">{cells}</row>', extra=extra), Limits()).notes
    assert [note.code for note in notes] == ["formulas", "formulas_without_result", "external_links", "macros"]
    assert "3" in notes[0].message
    assert "2" in notes[1].message


def test_ods_reach_counts_repeats_of_filled_cells_only() -> None:
    blank = '<table:table-row table:number-rows-repeated="1048570"><table:table-cell/></table:table-row>'
    wide = f'<table:table-row>{CELL}<table:table-cell table:number-columns-repeated="16383"/></table:table-row>'
    survey(files.raw_ods(wide + blank), Limits())
    assert refusal(files.raw_ods(wide + blank + wide)).code == "too_many_rows"
    far = f'<table:table-row><table:table-cell table:number-columns-repeated="16383"/>{CELL}</table:table-row>'
    assert refusal(files.raw_ods(far)).code == "too_many_columns"
    repeated = f'<table:table-row table:number-rows-repeated="500000">{CELL}</table:table-row>'
    assert refusal(files.raw_ods(repeated)).code == "too_many_rows"


def test_ods_formulas_and_passwords() -> None:
    formula = f'<table:table-row><table:table-cell table:formula="of:=1+1"/>{CELL}</table:table-row>'
    assert [note.code for note in survey(files.raw_ods(formula), Limits()).notes] == ["formulas"]
    locked = "<manifest:file-entry><manifest:encryption-data/></manifest:file-entry>"
    assert refusal(files.raw_ods("", locked)).code == "protected"


def test_a_sheet_without_row_ends_is_read_in_bounded_pieces() -> None:
    # One row of 200,000 cells without closing tag: the pieces must end somewhere all the same.
    cells = "".join(f'<c r="A{at}"><v>1234567</v></c>' for at in range(1, 200_000))
    survey(files.raw_xlsx(f'<row r="1">{cells}'), Limits())
    assert refusal(files.raw_xlsx(f'<row r="1">{cells}<c r="A200001"><v>1</v></c>')).code == "too_many_rows"
