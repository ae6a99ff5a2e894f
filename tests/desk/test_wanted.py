"""Data wanted, the question sheet to a maker, and its answers read back."""

import csv
import io

import pytest

from tests.boms import HARBOUR
from webapp.desk import answers, assessing, declarations, parts, sheets, wanted
from webapp.desk.declarations import NewDeclaration
from webapp.errors import InvalidInputError
from webapp.trade.facts import Claim, PartField, Scope

# U1's class is not told, so that it may be an array package; "=1+1" is a number that a spreadsheet would run.
UNSURE = (
    b"Designator,Qty,MPN,Manufacturer,Package\n"
    b"R1-R9,9,GR-104,Kelvarn,0402\n"
    b"U1,1,=1+1,Norrlund,\n"
    b"U2,1,BX-3,Norrlund,\n"
    b"Q1,1,QX-1,Norrlund,D2PAK\n"
)


@pytest.fixture
def declared(database, person, routed):
    """A product with a lead-free declaration over its BOM."""

    def make(*args, **more):
        product_id = routed(*args, **more)
        with database.command() as session:
            new = NewDeclaration(Claim.LEAD_FREE, Scope.BOM, "supplier declaration", product_id=product_id)
            declarations.declare(session, person, new)
        assessing.reassess(database, product_id)
        return product_id

    return make


def listed(database, product_id=None, **more):
    with database.read() as session:
        return wanted.data_wanted(session, product_id, **more)


def sheet_of(database, maker):
    rows = wanted.question_sheet(listed(database, same_today_too=True), maker)
    return sheets.to_csv(wanted.SHEET_HEAD, rows)


def answered(content, answer):
    """The sheet with the answers that ``answer(row)`` gives, as a dictionary by column."""
    rows = list(csv.DictReader(io.StringIO(content.decode("utf-8-sig"))))
    out = io.StringIO()
    writer = csv.DictWriter(out, rows[0].keys())
    writer.writeheader()
    writer.writerows({**row, **answer(row)} for row in rows)
    return out.getvalue().encode()


def read(database, person, content, reference="letter of 2 May"):
    with database.command() as session:
        return answers.store_answers(session, person, content, reference)


class TestWanted:
    def test_what_one_statement_over_the_bom_would_settle_stands_first(self, database, routed):
        routed(HARBOUR)
        first = listed(database)[0]
        # No declaration: the finish is open on R1-R5, C1, C10 and U1, eight places of four parts.
        assert (first.claim, first.parts, first.placements, first.label) == (Claim.LEAD_FREE, 4, 8, "HL-2")
        assert first.part_id is None
        assert first.field is None

    def test_a_part_counts_in_all_products_that_use_it(self, database, declared, part_id):
        one, _ = declared(UNSURE, "A"), declared(UNSURE, "B", filename="b.csv")
        balls = [item for item in listed(database) if item.part_id == part_id("QX-1")]
        assert [(item.products, item.placements) for item in balls] == [(("A", "B"), 2)]
        alone = [item for item in listed(database, one) if item.part_id == part_id("QX-1")]
        assert [(item.products, item.placements) for item in alone] == [(("A",), 1)]

    def test_the_board_is_asked_of_the_product(self, database, declared):
        declared(UNSURE)
        (board,) = [item for item in listed(database) if item.need == "finish" and item.parts == 0]
        assert (board.label, board.part_id, board.claim) == ("HL-2", None, None)

    def test_what_most_is_freed_by_stands_first(self, database, declared):
        declared(UNSURE)
        freed = [item.freed for item in listed(database)]
        assert freed == sorted(freed, reverse=True)

    def test_what_is_known_is_wanted_no_more(self, database, person, declared, part_id):
        product_id = declared(UNSURE)
        with database.command() as session:
            source = parts.ValueSource(parts.Kind.ENTERED)
            parts.state_value(session, person, part_id("QX-1"), PartField.SELF_HEATING_K, "5", source)
        assessing.reassess(database, product_id)
        assert not any(
            item.part_id == part_id("QX-1") and item.field is PartField.SELF_HEATING_K for item in listed(database)
        )


class TestSheet:
    def test_asks_a_maker_for_what_a_maker_knows(self, database, declared):
        declared(UNSURE)
        found = listed(database, same_today_too=True)
        with database.read() as session:
            table = wanted.wanted_table(session, same_today_too=True)
            assert [maker for maker, _ in wanted.makers_in(session, table)] == ["Norrlund"]
        rows = wanted.question_sheet(found, "NORRLUND")
        assert {row[1] for row in rows} == {"=1+1", "BX-3"}
        # Self-heating follows from the circuit.
        assert "self_heating_k" not in {row[2] for row in rows}
        assert all(len(row) == len(wanted.SHEET_HEAD) for row in rows)

    def test_runs_nothing_in_a_spreadsheet(self, database, declared):
        declared(UNSURE)
        assert b"\r\nNorrlund,'=1+1," in sheet_of(database, "Norrlund")


class TestAnswers:
    def limits(self, row):
        return {"Answer": "at least 245" if row["Field"] == "limit_c" else ""}

    def test_become_values_with_their_source(self, database, person, declared, part_id):
        declared(UNSURE)
        found = read(database, person, answered(sheet_of(database, "Norrlund"), self.limits)).answers
        assert sorted((item.mpn, item.field, item.echo) for item in found) == [
            ("=1+1", PartField.LIMIT_C, "245 to 420 °C"),
            ("BX-3", PartField.LIMIT_C, "245 to 420 °C"),
        ]
        with database.read() as session:
            page = parts.part_page(session, part_id("BX-3"))
        view = next(view for view in page.fields if view.field is PartField.LIMIT_C)
        assert view.source_words == "letter of 2 May (declared by the maker or supplier)"

    def test_an_own_source_is_taken(self, database, person, declared):
        declared(UNSURE)
        content = 'Maker,Part number,Field,Answer,Source\nNorrlund,BX-3,passes,3,"Data sheet, März"\n'.encode()
        assert [(item.echo, item.reference) for item in read(database, person, content).answers] == [
            ("3 passes", "Data sheet, März")
        ]

    @pytest.mark.parametrize(
        ("row", "column", "words"),
        [
            ("Norrlund,BX-9,limit_c,245", "Part number", "no part BX-9 of Norrlund"),
            ("Norrlund,BX-3,colour,green", "Field", "no field"),
            ("Norrlund,BX-3,limit_c,473", "Answer", "°F"),
            ('Norrlund,BX-3,oven,"yes, max 2x"', "Answer", "more than yes or no"),
            ("Norrlund,BX-3,passes,3,Letter\u202e of May", "Source", "U+202E"),
            ("Norrlund,BX-3,passes,3\nNorrlund,BX-3,passes,2", "Answer", "a second time"),
        ],
    )
    def test_a_row_that_cannot_be_taken_is_named_and_the_others_are_stored(
        self, database, person, declared, part_id, row, column, words
    ):
        declared(UNSURE)
        content = f"Maker,Part number,Field,Answer,Source\nNorrlund,BX-3,msl,3\n{row}\n".encode()
        found = read(database, person, content)
        (problem,) = found.problems
        assert (problem.row, problem.column) == (2 + len(row.splitlines()), column)
        assert words in problem.message
        with database.read() as session:
            stated = {value.field for value, _ in parts.part_page(session, part_id("BX-3")).history}
        assert stated == {"msl", *(answer.field for answer in found.answers)}

    def test_where_no_row_can_be_taken_nothing_is_stored(self, database, person, declared):
        declared(UNSURE)
        content = b"Maker,Part number,Field,Answer\nA,B,msl,3\nC,D,msl,3\n"
        with database.read() as session:
            assert [problem.row for problem in answers.check_answers(session, content, "letter").problems] == [2, 3]
        with pytest.raises(InvalidInputError, match="No row"):
            read(database, person, content)

    def test_what_says_that_there_is_no_answer_is_none(self, database, declared):
        declared(UNSURE)
        content = (
            b"Maker,Part number,Field,Answer\nNorrlund,BX-3,msl,n/a\nNorrlund,BX-3,limit_c,'-\nNorrlund,BX-3,passes,\n"
        )
        with database.read() as session:
            found = answers.check_answers(session, content, "letter")
        assert (found.answers, found.problems, found.unanswered) == ([], [], 2)

    def test_what_is_stated_already_is_not_stored_again(self, database, person, declared, part_id):
        declared(UNSURE)
        content = b"Maker,Part number,Field,Answer\nNorrlund,BX-3,msl,3\nNorrlund,BX-3,finish,matte Sn\n"
        assert len(read(database, person, content).new) == 2
        with database.read() as session:
            before = parts.part_page(session, part_id("BX-3"))
            again = answers.check_answers(session, content, "letter of 2 May")
            assert (again.new, again.same) == ([], 2)
            # From another document it is new: there it stands as well.
            assert len(answers.check_answers(session, content, "letter of 3 May").new) == 2
        assert {value.typed for value, _ in before.history} == {"3", "matte Sn"}
        read(database, person, content)
        with database.read() as session:
            after = parts.part_page(session, part_id("BX-3"))
        assert (len(after.history), after.row.version) == (len(before.history), before.row.version)

    @pytest.mark.parametrize(
        ("content", "reference", "field"),
        [
            (b"", "letter", "file"),
            (b"Name,Price\nA,3\n", "letter", "file"),
            (b"Maker,Part number,Field,Answer\n", " ", "reference"),
            (b"Maker,Part number,Field,Answer\n" + b"x" * 200_000, "letter", "file"),
        ],
    )
    def test_what_is_no_such_sheet(self, database, person, content, reference, field):
        with pytest.raises(InvalidInputError) as caught:
            read(database, person, content, reference)
        assert caught.value.field == field
