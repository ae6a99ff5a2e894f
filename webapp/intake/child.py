"""The process that reads one file: limits itself, reads stdin, writes one JSON document to stdout.

Started by webapp.intake.sandbox as ``python -m webapp.intake.child TASK LIMITS``. Stdin holds one line of JSON
(``{"filename", "options"}``) and then the bytes of the file. Exit 0: stdout is the result; exit 2: stdout is
``{"error": {"code", "message", "field"}}``; anything else: the reader crashed.
"""

import resource
import sys
from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from typing import Any

import msgspec

from webapp.errors import MeltlineError, UnreadableFileError
from webapp.intake.limits import Limits

REFUSED = 2
"""Exit code when the file cannot be read and the answer says why."""

TASKS = {
    "bom": "webapp.intake.gate:bom_task",
    "book": "webapp.intake.book:book_task",
    "placement": "webapp.intake.gate:placement_task",
}
"""Task name -> "module:function" of ``(content, filename, options as JSON, limits) -> dataclass``; imported when asked
for, so that a task pays only for what it needs."""


@dataclass(frozen=True, slots=True)
class Request:
    """The first line of stdin; ``options`` is whatever the task takes."""

    filename: str
    options: msgspec.Raw


def restrict(limits: Limits) -> None:
    """Give up, for good, the right to more memory, processor time, files and any disk space than reading needs."""
    for what, most in (
        (resource.RLIMIT_AS, limits.memory_bytes),
        (resource.RLIMIT_FSIZE, 0),
        (resource.RLIMIT_CORE, 0),
        (resource.RLIMIT_NOFILE, limits.open_files),
    ):
        resource.setrlimit(what, (most, most))
    resource.setrlimit(resource.RLIMIT_CPU, (limits.cpu_s, limits.cpu_s + 1))


def task_named(name: str) -> Callable[[bytes, str, bytes, Limits], Any]:
    """The function of a task. KeyError for a name that is not one."""
    module, _, function = TASKS[name].partition(":")
    task: Callable[[bytes, str, bytes, Limits], Any] = getattr(import_module(module), function)
    return task


def answer(task_name: str, limits: Limits, line: bytes, content: bytes) -> tuple[int, bytes]:
    """Exit code and JSON for one request."""
    request = msgspec.json.decode(line, type=Request)
    try:
        result = task_named(task_name)(content, request.filename, bytes(request.options), limits)
        return 0, msgspec.json.encode(result)
    except MeltlineError as error:
        return REFUSED, _error(error)
    except MemoryError:
        return REFUSED, _error(too_much_memory())


def too_much_memory() -> UnreadableFileError:
    """The error for a file that needs more memory than a reader is given."""
    return UnreadableFileError(
        "Reading the file needs more memory than is allowed. Often a cell far from the table is filled or formatted: "
        "copy the table alone into a new file.",
        code="too_much_memory",
    )


def _error(error: MeltlineError) -> bytes:
    return msgspec.json.encode({"error": {"code": error.code, "message": error.message, "field": error.field}})


def main() -> int:
    """Run the task named on the command line."""
    task_name = sys.argv[1]
    limits = msgspec.json.decode(sys.argv[2], type=Limits)
    task_named(task_name)
    restrict(limits)
    code, document = answer(task_name, limits, sys.stdin.buffer.readline(), sys.stdin.buffer.read())
    sys.stdout.buffer.write(document)
    sys.stdout.buffer.flush()
    return code


if __name__ == "__main__":
    sys.exit(main())
