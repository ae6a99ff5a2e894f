import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.intake.delimited import find_delimiter, lines_of, read_delimited, sep_line, unwrapped


def rows_of(text: str, delimiter: str = ",") -> list[list[str]]:
    return read_delimited(lines_of(text), delimiter).rows


def delimiter_of(text: str) -> str | None:
    cut = find_delimiter(lines_of(text))
    return cut.delimiter if cut else None


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_line_ends(end: str) -> None:
    assert rows_of(f"a,b{end}{end}1,2{end}") == [["a", "b"], [], ["1", "2"]]


def test_mixed_line_ends_and_odd_separators_inside_text() -> None:
    assert rows_of("a,b\r\n1,2\r3,x\u2028y\n4,p\x0cq") == [["a", "b"], ["1", "2"], ["3", "x\u2028y"], ["4", "p\x0cq"]]


def test_quotes_doubled_quotes_and_newlines_in_cells() -> None:
    assert rows_of('ref,text\n"C1,\nC2","0.1"" pitch"\nR1,x\n') == [
        ["ref", "text"],
        ["C1,\nC2", '0.1" pitch'],
        ["R1", "x"],
    ]


def test_inches_in_unquoted_cells() -> None:
    assert rows_of('P1,0.1" header,5" cable\nP2,"a",b\n') == [["P1", '0.1" header', '5" cable'], ["P2", "a", "b"]]


def test_a_blank_between_delimiter_and_quotation_mark() -> None:
    text = 'Qty, Ref, Value\n2, "R1, R2", "10k, 1%"\n1, C1, 2.54" pitch\n'
    assert rows_of(text)[1:] == [["2", "R1, R2", "10k, 1%"], ["1", "C1", '2.54" pitch']]


def test_lines_saved_as_one_cell_each() -> None:
    assert unwrapped(['"Ref,Qty"\n', "\n", '"""R1,R2"",2"\n']) == ["Ref,Qty\n", "\n", '"R1,R2",2\n']
    for lines in (['"Ref","Qty"\n', '"R1","1"\n'], ['"Ref"\n', "R1,1\n"], ['"R1\n', 'R2"\n']):
        assert unwrapped(lines) == lines


def test_a_quote_never_closed_costs_no_row() -> None:
    text = 'a,b,c\n1,"open,3\n' + "".join(f"R{at},10k,0402\n" for at in range(500))
    table = read_delimited(lines_of(text), ",")
    assert len(table.rows) == 502
    assert table.rows[1] == ["1", '"open', "3"]
    assert table.rows[-1] == ["R499", "10k", "0402"]
    (note,) = table.notes
    assert (note.code, note.row) == ("open_quote", 2)


def test_two_stray_quotes_do_not_glue_the_rows_between_them() -> None:
    rows = rows_of('a,b,c\n1,"5 inch,x\n2,y,z\n3,"6 inch,w\n4,y,z\n')
    assert [row[0] for row in rows] == ["a", "1", "2", "3", "4"]


def test_a_quote_open_at_the_end_of_the_file() -> None:
    assert rows_of('a,b\n1,"never') == [["a", "b"], ["1", '"never']]


def test_a_cell_longer_than_the_reader_takes_is_no_crash() -> None:
    assert len(rows_of('a,"' + "x" * 200_000 + '"\nb,"c"\n')) == 2


@pytest.mark.parametrize(
    ("delimiter", "text"),
    [
        (";", "Teil;Menge;Wert\nC1, C2, C3;3;4,7\nR1;1;0,1\n"),
        ("\t", "Ref\tQty\tValue\nC1,C2\t2\t100n, 16 V\nR1\t1\t10k\n"),
        (",", 'Ref,Qty\n"C1;C2",2\nR1,1\n'),
        ("|", "Ref|Qty|Value\nC1, C2|2|100n\n"),
        ("^", "Ref^Qty^Value\nC1, C2^2^100n\n"),
        (";", "Board Heron, rev 2, of 3 May\n\nRef;Qty;Value\nC1;1;1u\nC2;1;1u\nC3;1;1u\n"),
        (",", "Ref,Qty,Value,,,\nR1,1,10k,,,\n"),
    ],
)
def test_the_delimiter_is_the_one_that_cuts_evenly(delimiter: str, text: str) -> None:
    assert delimiter_of(text) == delimiter


def test_text_without_a_delimiter() -> None:
    assert delimiter_of("Dear all,\nplease find the parts below.\nRegards\n") is None
    assert delimiter_of("C1\nC2\n") is None


def test_a_file_of_one_line() -> None:
    assert delimiter_of("R1,10k,0402") == ","


@pytest.mark.parametrize(
    ("line", "named"), [("sep=;\n", ";"), ('"sep=,"\r\n', ","), ("SEP=\t\n", "\t"), ("sep\n", None)]
)
def test_first_line_that_names_the_delimiter(line: str, named: str | None) -> None:
    assert sep_line(line + "a;b\n") == named


cells = st.text(st.characters(categories=("L", "N", "P", "S", "Zs"), include_characters="\n"), max_size=20)


@given(st.integers(2, 5).flatmap(lambda width: st.lists(st.lists(cells, min_size=width, max_size=width), min_size=1)))
def test_every_row_written_comes_back(rows: list[list[str]]) -> None:
    text = io.StringIO()
    csv.writer(text, quoting=csv.QUOTE_ALL, lineterminator="\n").writerows(rows)
    assert rows_of(text.getvalue()) == rows


@given(st.text(st.sampled_from('ab",;\n\r \t'), max_size=200))
def test_no_character_outside_quotes_and_ends_is_lost(text: str) -> None:
    kept = sum(cell.count("a") + cell.count("b") for row in rows_of(text) for cell in row)
    assert kept == text.count("a") + text.count("b")
