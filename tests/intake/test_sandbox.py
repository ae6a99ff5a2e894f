import json
import threading
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.intake import files
from webapp.errors import UnreadableFileError
from webapp.intake import child, sandbox
from webapp.intake.limits import MIB, Limits
from webapp.intake.sandbox import ReaderBusyError, read_in_child

HIDDEN_SHEET = "worksheets/sharedStrings.xml"
"""A sheet under the one name that the look before opening passes over: only the child's limits are left to stop it."""


def refusal(content: bytes, limits: Limits | None = None, task: str = "book") -> str:
    with pytest.raises(UnreadableFileError) as refused:
        read_in_child(task, content, "a.xlsx", limits=limits or Limits())
    return refused.value.code


def test_the_answer_comes_back_from_any_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "csv.py").write_text("raise RuntimeError('the folder must not be imported from')")
    monkeypatch.chdir(tmp_path)
    answer = json.loads(read_in_child("book", files.xlsx({"A": [], "B": [["x"]]}), "a.xlsx", {"sheet": "B"}))
    assert [(sheet["name"], sheet["rows"]) for sheet in answer["sheets"]] == [("A", []), ("B", [["x"]])]


def test_the_environment_does_not_leak(monkeypatch: pytest.MonkeyPatch) -> None:
    given: dict[str, str] = {}

    def start(*_: object, env: dict[str, str], **__: object) -> None:
        given.update(env)
        raise OSError("far enough")

    monkeypatch.setenv("MELTLINE_SECRET", "x")
    monkeypatch.setattr(sandbox.subprocess, "Popen", start)
    with pytest.raises(OSError, match="far enough"):
        read_in_child("book", b"a,b\n", "a.csv")
    assert set(given) == {"PYTHONPATH", "LC_ALL", "PYTHONNOUSERSITE"}


def test_a_refusal_arrives_as_the_error_it_was() -> None:
    with pytest.raises(UnreadableFileError) as refused:
        read_in_child("book", b"a,b\n", "a.csv", {"encoding": "klingon"})
    assert (refused.value.code, refused.value.field) == ("unknown_encoding", "encoding")


def test_the_workbook_that_aborts_its_reader() -> None:
    assert refusal(files.two_cells(HIDDEN_SHEET)) == "too_much_memory"


def test_too_much_memory() -> None:
    cell = f'<row r="1"><c r="A1" t="inlineStr"><is><t>{"x" * 40 * MIB}</t></is></c></row>'
    limits = Limits(memory_bytes=100 * MIB, unpack_ratio=1_000_000)
    assert refusal(files.raw_xlsx(cell, HIDDEN_SHEET), limits) == "too_much_memory"


@settings(deadline=None, max_examples=25)
@given(st.sampled_from([files.xlsx(), files.xls(), files.ods()]), st.data())
def test_no_damaged_workbook_gets_past_the_child(content: bytes, data: st.DataObject) -> None:
    # In the child only: some damaged files make the workbook library take all memory there is.
    at = data.draw(st.integers(0, len(content) - 1))
    damaged = bytearray(content)
    damaged[at : at + 4] = data.draw(st.binary(max_size=8))
    try:
        answer = read_in_child("book", bytes(damaged), "a.xlsx", limits=Limits(memory_bytes=300 * MIB))
    except UnreadableFileError as refused:
        assert refused.message
    else:
        assert json.loads(answer)["kind"] in ("workbook", "csv", "fixed")


def test_too_slow_by_the_clock() -> None:
    assert refusal(b"a,b\n", Limits(wall_s=0)) == "too_slow"


def test_too_slow_by_processor_time() -> None:
    # Some kernels take 0 s as 1 s, so the file is one that takes longer than that.
    text = b'"a,b\n' * 400_000
    assert refusal(text, Limits(cpu_s=0, rows=1_000_000)) == "too_slow"


def test_an_answer_past_the_limit() -> None:
    assert refusal(b"abc,def\n" * 1_000, Limits(answer_bytes=2_000)) == "answer_too_large"


def test_a_crash_is_an_error_with_a_sentence() -> None:
    assert refusal(b"a,b\n", task="no such task") == "reader_crashed"


def test_a_file_past_the_size_limit_starts_no_process(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sandbox.subprocess, "Popen", None)
    assert refusal(bytes(33 * MIB)) == "too_large"


def test_at_most_two_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sandbox, "_turns", threading.BoundedSemaphore(1))
    with sandbox._turns, pytest.raises(ReaderBusyError):
        read_in_child("book", b"a,b\n", "a.csv", limits=Limits(wall_s=0))
    assert read_in_child("book", b"a,b\n", "a.csv")


def test_every_task_has_a_home_in_the_package() -> None:
    assert all(home.startswith("webapp.intake.") for home in child.TASKS.values())
