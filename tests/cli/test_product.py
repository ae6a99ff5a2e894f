"""``product new``, ``route templates``, ``assess``: the contract of the commands, exit codes included."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from tests.boms import HARBOUR, NO_DESIGNATORS, PLACEMENT
from webapp.cli.main import app

RUN = CliRunner()
VERDICTS = {"blocks", "change", "prove", "gain", "fine"}
KEYS = {
    "check", "subject", "refdes", "step", "verdict", "same_as_today", "value", "limit", "margin", "unit", "sentence",
    "missing", "sources", "fingerprint",
}  # fmt: skip


@pytest.fixture
def run(tmp_path: Path, monkeypatch):
    """``run("assess", "X")`` in a folder of its own with BOM and placement file; the result and its JSON."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("MELTLINE_DATA_DIR", str(tmp_path / "var"))
    Path("harbour.csv").write_bytes(HARBOUR)
    Path("place.csv").write_bytes(PLACEMENT)
    Path("shopping.csv").write_bytes(NO_DESIGNATORS)

    def call(*words):
        result = RUN.invoke(app, [*words, "--json"])
        return result, json.loads(result.stdout)

    return call


NEW = ("product", "new", "HL-2", "--bom", "harbour.csv", "--route", "two-sided-low-temperature")


def test_the_document_of_a_new_product(run):
    result, document = run(*NEW, "--placement", "place.csv", "--declare-lead-free", "supplier declaration")
    assert result.exit_code == 0
    assert (document["product"], document["case"]) == ("HL-2", "low temperature")
    assert set(document["counts"]) == VERDICTS
    assert 0 <= document["readiness"] <= 1
    assert isinstance(document["input_seq"], int)
    assert all(set(finding) >= KEYS for finding in document["findings"])
    assert all(isinstance(finding[name], list) for finding in document["findings"] for name in ("missing", "sources"))
    assert sum(document["counts"][verdict] for verdict in VERDICTS - {"fine"}) == len(document["findings"])
    # The board's finish is asked for once, whatever the parts.
    (board,) = [finding for finding in document["findings"] if finding["check"] == "board-finish"]
    assert (board["refdes"], board["step"], board["value"], board["verdict"]) == ([], None, None, "prove")
    assert board["missing"]


def test_the_declaration_is_for_that_bom_only(run):
    _, declared = run(*NEW, "--declare-lead-free", "supplier declaration")
    _, other = run(*NEW[:2], "OTHER", *NEW[3:])
    lead = [{finding["check"] for finding in each["findings"]} for each in (declared, other)]
    assert "finish-unknown" not in lead[0]
    assert "finish-unknown" in lead[1]


@pytest.mark.parametrize("reference", ["", "  "])
def test_a_declaration_needs_its_document(run, reference):
    result, document = run(*NEW, "--declare-lead-free", reference)
    assert result.exit_code == 2
    assert document["error"]["field"] == "declare_lead_free"
    assert "Name the document" in result.stderr
    _, unknown = run("assess", "HL-2")
    assert unknown["error"]["code"] == "not_found"


@pytest.mark.parametrize(
    ("words", "message", "field"),
    [
        (("assess",), "Missing argument 'product'.", "product"),
        (("assess", "X", "--qqqqq"), "No such option: --qqqqq", None),
        (("product", "new", "X"), "Missing option '--bom'.", "bom"),
        (("melt", "--peak", "warm"), None, None),
        (("nothing",), "No such command 'nothing'.", None),
        ((), None, None),
    ],
)
def test_words_that_make_no_command_are_json_too(run, words, message, field):
    result, document = run(*words)
    assert result.exit_code == 2
    assert set(document) == {"error"}
    assert set(document["error"]) == {"code", "message", "field"}
    if message is not None:
        assert (document["error"]["message"], document["error"]["field"]) == (message, field)
        assert document["error"]["code"] == "usage"
    assert result.stderr.strip() == document["error"]["message"]


def test_without_json_they_are_told_to_people():
    result = RUN.invoke(app, ["assess"])
    assert (result.exit_code, result.stdout) == (2, "")
    assert "Missing argument" in result.stderr


def test_assess_says_the_same_again(run):
    _, new = run(*NEW)
    result, again = run("assess", "hl-2")
    assert (result.exit_code, again) == (0, new)
    _, today = run("assess", "HL-2", "--case", "today")
    assert today["case"] == "today"
    assert all(finding["same_as_today"] for finding in today["findings"] if finding["check"] == "body-limit")


def test_the_paste_given_is_the_one_used(run):
    # 60Sn40Bi is 99 % liquid near 174 °C; the template's coldest joint reaches 172 °C: it does not form.
    _, document = run(*NEW, "--paste", "60Sn-40Bi")
    blocking = [finding for finding in document["findings"] if finding["check"] == "joint-forms"]
    assert {finding["verdict"] for finding in blocking} == {"blocks"}
    # The coldest joint has to reach the limit: what is missing is negative.
    assert all(finding["margin"] == pytest.approx(finding["value"] - finding["limit"]) for finding in blocking)
    assert all(finding["margin"] < 0 for finding in blocking)
    assert "Sn60Bi40" in blocking[0]["sentence"]


@pytest.mark.parametrize(
    ("words", "code", "field"),
    [
        ([*NEW[:-1], "none-such"], "not_found", "route"),
        ([*NEW, "--paste", "Sn10Bi90"], "invalid_input", "paste"),
        ([*NEW, "--by", "nobody"], "not_found", "by"),
        ([*NEW[:4], "none.csv", *NEW[5:]], "no_file", "file"),
        (["assess", "NONE"], "not_found", "product"),
    ],
)
def test_exit_2_for_what_is_refused(run, words, code, field):
    result, document = run(*words)
    assert result.exit_code == 2
    assert (document["error"]["code"], document["error"]["field"]) == (code, field)
    assert len(result.stderr.strip().splitlines()) == 1
    assert run("assess", "HL-2")[0].exit_code == 2


def test_exit_2_for_a_code_that_is_taken_and_a_case_that_is_none(run):
    run(*NEW)
    result, document = run(*NEW)
    assert (result.exit_code, document["error"]["field"]) == (2, "code")
    result, document = run("assess", "HL-2", "--case", "none")
    assert (result.exit_code, document["error"]["field"]) == (2, "case")


def test_exit_3_and_nothing_created_when_the_file_is_no_board_bom(run):
    result, document = run(*NEW[:4], "shopping.csv", *NEW[5:])
    assert (result.exit_code, document["error"]["code"]) == (3, "not_usable")
    assert "no board BOM" in result.stderr
    assert run("assess", "HL-2")[1]["error"]["code"] == "not_found"


def test_templates(run):
    _, document = run("route", "templates")
    names = [template["name"] for template in document["templates"]]
    assert "two-sided-low-temperature" in names
    assert document["templates"][names.index("two-sided-low-temperature")]["today"] == [
        "reflow, bottom side",
        "reflow, top side",
    ]


def test_tables_for_people(run):
    text = RUN.invoke(app, NEW).stdout
    assert "HL-2, low temperature: 0 blocks" in text
    assert "board-finish" in text
    assert "two-sided-low-temperature" in RUN.invoke(app, ["route", "templates"]).stdout
