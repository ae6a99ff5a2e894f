"""``bom read``: the contract of the command, exit codes included."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from tests.intake import part_lists
from tests.intake.files import xlsx
from webapp.cli.main import app

RUN = CliRunner()


@pytest.fixture
def bom(tmp_path: Path) -> Path:
    path = tmp_path / "list.csv"
    path.write_text(part_lists.NAMED_NOT_FITTED, encoding="utf-8")
    return path


def test_json_alone_on_stdout(bom: Path) -> None:
    result = RUN.invoke(app, ["bom", "read", str(bom), "--json"])
    document = json.loads(result.stdout)
    assert result.exit_code == 0
    assert (document["is_board_bom"], document["header_row"], document["encoding"]) == (True, 1, "utf-8")
    assert (document["placements_fitted"], document["placements_dnp"], document["placements_excluded"]) == (4, 5, 0)
    assert document["columns"]["refdes"] == "Designator"
    assert document["columns"]["side"] is None
    line = document["lines"][1]
    assert (line["row"], line["refdes"], line["dnp_refdes"], line["qty"]) == (3, ["R1", "R2", "R3"], ["R2", "R3"], 3.0)


def test_a_table_for_people(bom: Path) -> None:
    result = RUN.invoke(app, ["bom", "read", str(bom)])
    assert result.exit_code == 0
    assert "4 placements fitted, 5 not fitted" in result.stdout
    assert "R1,(R2),(R3)" in result.stdout


def test_exit_3_when_it_is_no_board_bom_with_the_json_all_the_same(tmp_path: Path) -> None:
    path = tmp_path / "place.csv"
    path.write_text(part_lists.PLACEMENT, encoding="utf-8")
    result = RUN.invoke(app, ["bom", "read", str(path), "--json"])
    assert result.exit_code == 3
    assert json.loads(result.stdout)["is_board_bom"] is False
    assert "no board BOM" in result.stderr


@pytest.mark.parametrize(
    ("content", "code"), [(b"", "empty_file"), (b"%PDF-1.7 ...", "not_a_table"), (None, "no_file")]
)
def test_exit_2_when_it_cannot_be_read(tmp_path: Path, content: bytes | None, code: str) -> None:
    path = tmp_path / "bad.csv"
    if content is not None:
        path.write_bytes(content)
    result = RUN.invoke(app, ["bom", "read", str(path), "--json"])
    assert result.exit_code == 2
    assert json.loads(result.stdout)["error"]["code"] == code
    assert len(result.stderr.strip().splitlines()) == 1


def test_choices(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text("C1,1u\nR1,1k\nU1,ZX\n", encoding="utf-8")
    result = RUN.invoke(app, ["bom", "read", str(path), "--header-row", "0", "--json"])
    assert json.loads(result.stdout)["header_row"] is None


def test_rows_of_sheets_read_together_are_those_of_their_own_sheet(tmp_path: Path) -> None:
    path = tmp_path / "list.xlsx"
    header = ["Designator", "Value"]
    path.write_bytes(
        xlsx({"TOP": [header, ["R1", "10k"], ["C1", "1u"]], "BOTTOM": [header, ["R2", "10k"], ["R2", "1k"]]})
    )
    document = json.loads(RUN.invoke(app, ["bom", "read", str(path), "--json"]).stdout)
    assert document["sheet"] == "TOP + BOTTOM"
    assert [(line["sheet"], line["row"]) for line in document["lines"]] == [
        ("TOP", 2),
        ("TOP", 3),
        ("BOTTOM", 2),
        ("BOTTOM", 3),
    ]
    repeat = document["problems"][-1]
    assert (repeat["sheet"], repeat["row"]) == ("BOTTOM", 3)
    assert (
        "row 3 of sheet BOTTOM: R2 already on row 2 of sheet BOTTOM"
        in RUN.invoke(app, ["bom", "read", str(path)]).stdout
    )
