"""Reads a file in a child process, so that whatever the file does, the server only sees an answer or an error."""

import contextlib
import os
import selectors
import signal
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Any

import msgspec

from webapp.errors import MeltlineError, UnreadableFileError
from webapp.intake.child import REFUSED, too_much_memory
from webapp.intake.limits import Limits

MOST_CHILDREN = 2
"""Files read at once; more wait their turn, because each may take ``Limits.memory_bytes``."""

_DEFAULT = Limits()
_PACKAGE_PARENT = Path(__file__).resolve().parents[2]
_turns = threading.BoundedSemaphore(MOST_CHILDREN)
_PIECE = 64 * 1024
_STDERR_KEPT = 4_000


class ReaderBusyError(MeltlineError):
    """Too many files are being read at the moment."""

    status = 503
    code = "reader_busy"


@dataclass(slots=True)
class _Outcome:
    """What a child left behind; ``stopped`` is why it was stopped, if it was."""

    returncode: int = 0
    answer: bytearray = field(default_factory=bytearray)
    complaint: bytearray = field(default_factory=bytearray)
    stopped: UnreadableFileError | None = None


def read_in_child(task: str, content: bytes, filename: str, options: Any = None, *, limits: Limits = _DEFAULT) -> bytes:
    """JSON that the task of that name (webapp.intake.child.TASKS) makes of the file.

    ``options`` is whatever the task takes, as something that encodes to JSON. Raises UnreadableFileError with the
    task's own code, or too_much_memory, too_slow, answer_too_large, reader_crashed; ReaderBusyError after waiting
    ``limits.wall_s`` for a turn.
    """
    if len(content) > limits.file_bytes:
        raise UnreadableFileError(
            f"The file has {len(content) / 2**20:,.0f} MiB; more than {limits.file_bytes // 2**20} MiB are not read.",
            code="too_large",
        )
    if not _turns.acquire(timeout=limits.wall_s):
        raise ReaderBusyError("Other files are being read at the moment. Try again in a minute.")
    try:
        outcome = _run(task, content, filename, options, limits)
    finally:
        _turns.release()
    if outcome.stopped is not None:
        raise outcome.stopped
    if outcome.returncode:
        raise _error_of(outcome, limits)
    return bytes(outcome.answer)


def _run(task: str, content: bytes, filename: str, options: Any, limits: Limits) -> _Outcome:
    # A file, not a pipe: the child reads it at leisure and nobody here has to feed it while listening.
    with tempfile.TemporaryFile() as request:
        request.write(msgspec.json.encode({"filename": filename, "options": options}) + b"\n")
        request.write(content)
        request.seek(0)
        process = subprocess.Popen(  # noqa: S603 - our own module, arguments from our own code
            [sys.executable, "-P", "-m", "webapp.intake.child", task, msgspec.json.encode(limits).decode()],
            stdin=request,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env={"PYTHONPATH": str(_PACKAGE_PARENT), "LC_ALL": "C.UTF-8", "PYTHONNOUSERSITE": "1"},
            close_fds=True,
            start_new_session=True,
        )
        with process:
            try:
                return _listen(process, limits)
            finally:
                _end(process)


def _listen(process: subprocess.Popen[bytes], limits: Limits) -> _Outcome:
    """Collect the answer until the child ends, speaks too long or takes too long."""
    outcome = _Outcome()
    deadline = time.monotonic() + limits.wall_s
    with selectors.DefaultSelector() as selector:
        for pipe, sink in ((process.stdout, outcome.answer), (process.stderr, outcome.complaint)):
            selector.register(_opened(pipe), selectors.EVENT_READ, sink)
        while selector.get_map():
            for key, _ in selector.select(max(0.0, deadline - time.monotonic())):
                data = os.read(key.fd, _PIECE)
                if not data:
                    selector.unregister(key.fileobj)
                key.data.extend(data)
            del outcome.complaint[:-_STDERR_KEPT]
            outcome.stopped = _reason_to_stop(outcome, deadline, limits)
            if outcome.stopped is not None:
                return outcome
    try:
        outcome.returncode = process.wait(max(0.1, deadline - time.monotonic()))
    except subprocess.TimeoutExpired:
        outcome.stopped = _too_slow(limits)
    return outcome


def _opened(pipe: IO[bytes] | None) -> IO[bytes]:
    assert pipe is not None  # both were asked for above
    return pipe


def _reason_to_stop(outcome: _Outcome, deadline: float, limits: Limits) -> UnreadableFileError | None:
    if len(outcome.answer) > limits.answer_bytes:
        return UnreadableFileError(
            f"The file holds more than can be taken in at once (limit: {limits.answer_bytes // 2**20} MiB of text).",
            code="answer_too_large",
        )
    return _too_slow(limits) if time.monotonic() > deadline else None


def _too_slow(limits: Limits) -> UnreadableFileError:
    return UnreadableFileError(
        f"Reading the file took longer than allowed ({limits.cpu_s} s) and was stopped.", code="too_slow"
    )


def _end(process: subprocess.Popen[bytes]) -> None:
    """Stop the child and whatever it started; harmless when all have ended."""
    if process.poll() is None:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)


def _error_of(outcome: _Outcome, limits: Limits) -> UnreadableFileError:
    if outcome.returncode == REFUSED:
        with contextlib.suppress(msgspec.DecodeError, KeyError):
            error = msgspec.json.decode(bytes(outcome.answer))["error"]
            return UnreadableFileError(error["message"], field=error["field"], code=error["code"])
    if outcome.returncode in (-signal.SIGXCPU, -signal.SIGKILL):
        return _too_slow(limits)
    if b"memory" in outcome.complaint.lower():
        return too_much_memory()
    return UnreadableFileError(
        "The file made the reader fail; it is damaged or of an unknown kind.", code="reader_crashed"
    )
