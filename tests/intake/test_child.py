import io
import json
import resource
import subprocess
import sys
from pathlib import Path

import msgspec
import pytest

from webapp.intake import child
from webapp.intake.limits import Limits

LINE = b'{"filename": "a.csv", "options": null}\n'


def test_an_answer_is_the_result_as_json() -> None:
    code, document = child.answer("book", Limits(), LINE, b"Ref,Qty\nC1,1\n")
    assert code == 0
    assert json.loads(document)["sheets"][0]["rows"] == [["Ref", "Qty"], ["C1", "1"]]


def test_a_refusal_travels_with_code_message_and_field() -> None:
    line = b'{"filename": "a.csv", "options": {"encoding": "klingon"}}\n'
    code, document = child.answer("book", Limits(), line, b"Ref,Qty\n")
    error = json.loads(document)["error"]
    assert code == child.REFUSED
    assert (error["code"], error["field"]) == ("unknown_encoding", "encoding")


def test_out_of_memory_is_a_refusal(monkeypatch: pytest.MonkeyPatch) -> None:
    def hungry(*_: object) -> None:
        raise MemoryError

    monkeypatch.setattr(child, "task_named", lambda name: hungry)
    code, document = child.answer("book", Limits(), LINE, b"x")
    assert (code, json.loads(document)["error"]["code"]) == (child.REFUSED, "too_much_memory")


def test_every_task_named_can_be_found() -> None:
    assert all(callable(child.task_named(name)) for name in child.TASKS)
    with pytest.raises(KeyError):
        child.task_named("os.system")


def test_the_limits_hold_in_the_process_itself(tmp_path: Path) -> None:
    program = (
        "import resource; from webapp.intake.child import restrict; from webapp.intake.limits import Limits\n"
        "restrict(Limits(memory_bytes=500 * 2**20, cpu_s=7, open_files=20))\n"
        "print([resource.getrlimit(getattr(resource, 'RLIMIT_' + n)) for n in 'AS CPU FSIZE CORE NOFILE'.split()])\n"
        "try:\n    bytes(600 * 2**20)\nexcept MemoryError:\n    print('refused')\n"
        # Without a buffer: one is written only when nobody sees that it fails.
        f"try:\n    open({str(tmp_path / 'x')!r}, 'wb', buffering=0).write(b'x')\n"
        "except OSError:\n    print('refused')\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    memory = 500 * 2**20
    assert done.stdout.splitlines() == [str([(memory, memory), (7, 8), (0, 0), (0, 0), (20, 20)]), "refused", "refused"]


def test_main_limits_itself_before_it_reads(monkeypatch: pytest.MonkeyPatch) -> None:
    order: list[str] = []

    class Input(io.BytesIO):
        def readline(self, size: int | None = -1, /) -> bytes:
            order.append("read")
            return super().readline(size)

    class Stream:
        def __init__(self, buffer: io.BytesIO) -> None:
            self.buffer = buffer

    output = io.BytesIO()
    monkeypatch.setattr(child, "restrict", lambda limits: order.append("restrict"))
    monkeypatch.setattr(sys, "stdin", Stream(Input(LINE + b"a,b\n")))
    monkeypatch.setattr(sys, "stdout", Stream(output))
    monkeypatch.setattr(sys, "argv", ["child", "book", msgspec.json.encode(Limits()).decode()])
    assert child.main() == 0
    assert order == ["restrict", "read"]
    assert json.loads(output.getvalue())["delimiter"] == ","
    assert resource.getrlimit(resource.RLIMIT_FSIZE)[0] != 0
