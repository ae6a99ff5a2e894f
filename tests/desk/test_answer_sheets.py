"""What goes on a question sheet beside what findings wait for, and the answers to it."""

import csv
import io

import pytest

from webapp.checks.declare import registry
from webapp.desk import answer_sheets, answers, assessing, declarations, parts, sheets, wanted
from webapp.desk.declarations import NewDeclaration
from webapp.desk.parts import ValueSource
from webapp.errors import InvalidInputError
from webapp.trade.facts import Claim, PartField, Scope
from webapp.trade.masks import Suits
from webapp.trade.ranges import Span
from webapp.trade.sources import Kind

LIST = (
    b"Designator,Qty,MPN,Manufacturer,Value,Package,Description\n"
    b"K1,1,RS-5,Norrlund,5 V,SMD,Relay\n"
    b"J1,1,CN-4,Norrlund,,SMD,Connector\n"
    b"U2,1,MP-1,Norrlund,,SMD,Humidity sensor\n"
    b"U1,1,ZZ-9,Norrlund,,,\n"
)
BALLS = {"balls", "ball_diameter_mm", "pitch_mm"}
UNREAD = {"limit_s", "standoff_mm", "mating_force_n", "wash", "vacuum"}
FURTHER = UNREAD | BALLS


@pytest.fixture
def listed(database, person, routed):
    """A product of four parts of one maker, with a lead-free declaration over its BOM."""
    product_id = routed(LIST)
    with database.command() as session:
        new = NewDeclaration(Claim.LEAD_FREE, Scope.BOM, "supplier declaration", product_id=product_id)
        declarations.declare(session, person, new)
    assessing.reassess(database, product_id)
    return product_id


def sheet_rows(database):
    with database.read() as session:
        table = wanted.wanted_table(session, same_today_too=True)
        questions = wanted.questions_to(session, table, "Norrlund")
        return wanted.question_sheet(answer_sheets.with_further(session, questions), "Norrlund")


def further(rows):
    """Part number -> fields beyond what findings wait for."""
    found = {}
    for row in rows:
        found.setdefault(row[1], set()).update({row[2]} & FURTHER)
    return found


def test_what_no_check_reads_is_not_asked(database, listed):
    needed = {need.name for check in registry().values() for need in check.needs}
    assert not UNREAD & needed, "a check reads it now: the sheet should ask for it"
    assert {field for fields in further(sheet_rows(database)).values() for field in fields} <= needed


def test_what_a_check_comes_to_read_is_asked_where_it_matters(database, listed, monkeypatch):
    monkeypatch.setattr(answer_sheets, "fields_used", lambda: frozenset(PartField))
    rows = sheet_rows(database)
    assert further(rows) == {
        "RS-5": {"limit_s", "wash"},
        "CN-4": {"limit_s", "mating_force_n"},
        "MP-1": {"limit_s", "wash", "vacuum", "standoff_mm"},
        "ZZ-9": {"limit_s"},
    }
    # The current follows from the circuit, not from the part.
    assert "current_a" not in {row[2] for row in rows}
    # What findings wait for stands first, part by part.
    numbers = [row[1] for row in rows]
    assert numbers == sorted(numbers, key=numbers.index)
    (wash,) = (row for row in rows if row[1:3] == ("RS-5", "wash"))
    assert wash[3:6] == ("suits a wash", "", "yes or no")


def test_makers_of_arrays_are_asked_what_decides_how_far_balls_dissolve(database, routed):
    head = LIST.partition(b"\n")[0]
    assessing.reassess(database, routed(head + b"\nU3,1,BG-7,Norrlund,,BGA256,\nU4,1,QF-7,Norrlund,,LQFP-64,\n"))
    asked = further(sheet_rows(database))
    assert asked["BG-7"] >= BALLS
    assert not asked["QF-7"] & BALLS


def test_a_part_that_nothing_is_wanted_of_is_not_asked(database, listed):
    with database.read() as session:
        assert answer_sheets.with_further(session, []) == []


def test_what_is_stated_is_not_asked(database, person, listed, part_id, monkeypatch):
    monkeypatch.setattr(answer_sheets, "fields_used", lambda: frozenset(PartField))
    with database.command() as session:
        source = ValueSource(Kind.ENTERED)
        parts.state_value(session, person, part_id("RS-5"), PartField.WASH, "no", source)
    assert further(sheet_rows(database))["RS-5"] == {"limit_s"}


def test_answers_become_values_with_unit_and_source(database, person, listed, part_id, monkeypatch):
    monkeypatch.setattr(answer_sheets, "fields_used", lambda: frozenset(PartField))
    told = {"limit_s": "at least 20", "wash": "no", "vacuum": "yes", "standoff_mm": "0,05", "mating_force_n": "30…45"}
    rows = [dict(zip(wanted.SHEET_HEAD, row, strict=True)) for row in sheet_rows(database)]
    filled = [[*{**row, "Answer": told.get(row["Field"], "")}.values()] for row in rows]
    content = sheets.to_csv(wanted.SHEET_HEAD, filled)
    assert len(list(csv.reader(io.StringIO(content.decode("utf-8-sig"))))) == len(rows) + 1
    with database.command() as session:
        answers.store_answers(session, person, content, "letter of 2 May")
    with database.read() as session:
        relay, connector, sensor = (
            parts.part_page(session, part_id(label)).facts for label in ("RS-5", "CN-4", "MP-1")
        )
    assert (relay.wash, connector.mating_force_n, sensor.vacuum) == (Suits.NO, Span(30, 45), Suits.YES)
    assert relay.limit_s == Span(20, 600)
    assert sensor.sizes["standoff_mm"] == Span(0.05, 0.05)
    assert sensor.source("standoff_mm").words == "letter of 2 May (declared by the maker or supplier)"
    assert further(sheet_rows(database)).get("MP-1", set()) == set()


class TestFiles:
    @pytest.mark.parametrize(
        ("content", "words"),
        [
            (b"", "The file is empty."),
            (b" \n", "The file is empty."),
            (b"\x00\x01\x02" * 30, "neither text nor a workbook"),
            (b"%PDF-1.4\n1 0 obj", "This is a PDF document, not a table."),
            (b"PK\x03\x04 nothing more", "damaged"),
        ],
    )
    def test_what_is_no_table_is_told_as_for_boms(self, content, words):
        with pytest.raises(InvalidInputError, match=words) as caught:
            answer_sheets.as_csv(content, "answers.csv")
        assert caught.value.field == "file"

    def test_semicolons_and_other_encodings_are_taken(self):
        content = "Maker;Part number;Field;Answer;Source\nNorrlund;BX-3;passes;3;Data sheet, März\n".encode("cp1252")
        assert answer_sheets.as_csv(content).decode().splitlines()[1] == 'Norrlund,BX-3,passes,3,"Data sheet, März"'


def test_refused_rows_go_back_as_they_came_with_what_was_expected(database, listed):
    content = sheets.to_csv(wanted.SHEET_HEAD, [("Norrlund", "RS-5", "oven", "rated", "", "yes or no", "yes, 2x", "")])
    with database.read() as session:
        found = answers.check_answers(session, content, "letter")
    (row,) = answer_sheets.refused_rows(found.problems)
    assert row[:8] == ("Norrlund", "RS-5", "oven", "rated", "", "yes or no", "yes, 2x", "")
    assert row[8].startswith("Answer: “yes, 2x” says more than yes or no")
    again = sheets.to_csv((*wanted.SHEET_HEAD, answer_sheets.EXPECTED), [(*row[:6], "yes", "", row[8])])
    with database.read() as session:
        assert [answer.echo for answer in answers.check_answers(session, again, "letter").answers] == ["yes"]
