import csv
import io

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.intake import files
from tests.intake.files import PARTS_TEXT
from webapp.errors import UnreadableFileError
from webapp.intake.book import book_task, read_book
from webapp.intake.grid import Book
from webapp.intake.limits import MIB, Limits

ENDINGS = [".csv", ".tsv", ".txt", ".xlsx", ".xls", ".ods", ".xlsm", ".xlsb", ".pdf", ""]


def rows_of(book: Book) -> list[list[str]]:
    (sheet,) = book.sheets
    return sheet.rows


def codes(book: Book) -> list[str]:
    return [note.code for note in book.notes]


def refusal(content: bytes, name: str = "parts.csv", limits: Limits | None = None) -> UnreadableFileError:
    with pytest.raises(UnreadableFileError) as refused:
        read_book(content, name, limits=limits or Limits())
    return refused.value


def test_csv() -> None:
    book = read_book(b"Ref;Qty;Value\n\nC1;1;4,7\n\n\n", "folder/parts.csv")
    assert (book.file, book.kind, book.encoding, book.delimiter) == ("parts.csv", "csv", "utf-8", ";")
    assert book.decimal_hint == ","
    assert rows_of(book) == [["Ref", "Qty", "Value"], [], ["C1", "1", "4,7"]]


def test_cells_are_not_trimmed() -> None:
    assert rows_of(read_book(b"Ref, Qty \n C1,1\n", "a.csv"))[0] == ["Ref", " Qty "]


def test_first_line_that_names_the_delimiter_counts_as_a_blank_record() -> None:
    book = read_book(b"sep=;\nRef;Qty\nC1,C2;2\n", "a.csv")
    assert (book.delimiter, rows_of(book)) == (";", [[], ["Ref", "Qty"], ["C1,C2", "2"]])


def test_a_chosen_delimiter_wins() -> None:
    assert rows_of(read_book(b"a;b,c\n1;2,3\n", "a.csv", delimiter=",")) == [["a;b", "c"], ["1;2", "3"]]
    assert read_book(b"a,b  c,d\n1,2  3,4\n", "a.txt", delimiter="").kind == "fixed"


def test_a_delimiter_beats_columns_of_blanks() -> None:
    book = read_book(b"Ref ; Qty ; Value\nC1  ; 1   ; 100n\nC2  ; 1   ; 1u\n", "parts.txt")
    assert (book.kind, book.delimiter) == ("csv", ";")


def test_columns_of_blanks_beat_a_comma_in_every_description() -> None:
    text = b"Ref  Qty  Description\nC1   1    Capacitor, 100 nF\nR1   2    Resistor, 10k\nU1   1    Driver, dual\n"
    book = read_book(text, "parts.txt")
    assert (book.kind, book.delimiter) == ("fixed", None)
    assert rows_of(book)[1] == ["C1", "1", "Capacitor, 100 nF"]


def test_a_text_of_one_column() -> None:
    assert rows_of(read_book(b"C1\n\nC2\n", "a.txt")) == [["C1"], [], ["C2"]]


@pytest.mark.parametrize(("make", "ending"), [(files.xlsx, "xlsx"), (files.xls, "xls"), (files.ods, "ods")])
def test_workbooks(make: object, ending: str) -> None:
    assert callable(make)
    book = read_book(make(), f"parts.{ending}")
    assert (book.kind, book.encoding, book.delimiter, book.notes) == ("workbook", None, None, ())
    assert rows_of(book) == PARTS_TEXT


def test_what_it_is_counts_and_not_what_it_is_called() -> None:
    book = read_book(files.xlsx(), "parts.csv")
    assert (rows_of(book), codes(book)) == (PARTS_TEXT, ["wrong_extension"])
    book = read_book(b"Ref,Qty\nC1,1\n", "parts.xlsx")
    assert (rows_of(book), codes(book)) == ([["Ref", "Qty"], ["C1", "1"]], ["wrong_extension"])
    book = read_book(b"<html><table><tr><td>Ref<td>Qty</table></html>", "parts.xls")
    assert (rows_of(book), codes(book)) == ([["Ref", "Qty"]], ["markup"])


@pytest.mark.parametrize("content", [b"", b"\n \n", "\ufeff".encode(), "\n".encode("utf-16")])
def test_empty(content: bytes) -> None:
    assert refusal(content).code == "empty_file"


def test_binary_junk() -> None:
    assert refusal(bytes(range(256)) * 40).code == "binary"


def test_null_characters_are_dropped_and_told() -> None:
    book = read_book(b"Ref,Qty\nC1\x00,1\nC2,1\nC3,1\nC4,1\n", "a.csv")
    assert rows_of(book)[1] == ["C1", "1"]
    assert codes(book) == ["null_characters"]


def test_limits_are_named() -> None:
    error = refusal(bytes(200 * MIB))
    assert (error.code, "32 MiB" in error.message) == ("too_large", True)
    error = refusal(b"R1,1\n" * 1_000_000)
    assert (error.code, "200,000 rows" in error.message) == ("too_many_rows", True)
    assert refusal(b'"R1",1\n' * 30, limits=Limits(rows=20)).code == "too_many_rows"
    assert refusal(b"x," * 501).code == "too_many_columns"


def test_a_command_in_a_cell_stays_text() -> None:
    assert rows_of(read_book(b"Ref,Value\nC1,=cmd|' /C calc'!A0\n", "a.csv"))[1][1] == "=cmd|' /C calc'!A0"


def test_sheet_encoding_and_delimiter_as_a_task() -> None:
    book = book_task("Größe|1\nx|2\n".encode("cp1251", "ignore"), "a.csv", b'{"encoding": "cp1251"}', Limits())
    assert (book.encoding, book.delimiter) == ("cp1251", "|")
    assert book_task(b"a,b\n", "a.csv", b"null", Limits()).delimiter == ","


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(
    st.binary(max_size=400),
    st.sampled_from([b"", b"PK\x03\x04", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", b"<table><tr>"]),
    st.sampled_from(ENDINGS),
)
def test_no_bytes_crash_the_reader(tail: bytes, head: bytes, ending: str) -> None:
    try:
        book = read_book(head + tail, f"a{ending}")
    except UnreadableFileError as refused:
        assert refused.code != UnreadableFileError.code
    else:
        assert all(isinstance(cell, str) for sheet in book.sheets for row in sheet.rows for cell in row)


words = st.text(st.characters(categories=("L", "N", "P", "S", "Zs")), min_size=1, max_size=12)


@settings(deadline=None)
@given(
    st.integers(2, 6).flatmap(
        lambda width: st.lists(st.lists(words, min_size=width, max_size=width), min_size=2, max_size=20)
    ),
    st.sampled_from(",;\t|"),
)
def test_every_row_of_a_csv_comes_back(rows: list[list[str]], delimiter: str) -> None:
    text = io.StringIO()
    csv.writer(text, delimiter=delimiter, quoting=csv.QUOTE_ALL).writerows(rows)
    filled = [row if any(map(str.strip, row)) else None for row in rows]
    if filled[-1] is None:
        return
    assert rows_of(read_book(text.getvalue().encode(), "a.csv", delimiter=delimiter)) == rows


def test_junk_that_would_pass_for_wide_characters_is_refused() -> None:
    with pytest.raises(UnreadableFileError) as refusal:
        read_book(bytes([0, 1, 2, 3]) * 400, "list.csv")
    assert refusal.value.code == "binary"
