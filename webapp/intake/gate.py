"""The doors for files from outside: each reads in a child process and gives back what was understood."""

import msgspec

from webapp.intake.limits import Limits
from webapp.intake.placement import read_placement
from webapp.intake.reader import read_bom
from webapp.intake.sandbox import read_in_child
from webapp.trade.bom import BomReading, ReadChoices
from webapp.trade.placement import PlacementReading

DEFAULT = Limits()


def read_bom_file(
    content: bytes, filename: str, choices: ReadChoices | None = None, *, limits: Limits = DEFAULT
) -> BomReading:
    """Read a BOM of any kind of file; ``choices`` are a person's.

    Raises UnreadableFileError where the file cannot be read; a readable file that is no board BOM comes back with
    ``why_not_bom``.
    """
    data = read_in_child("bom", content, filename, choices or ReadChoices(), limits=limits)
    return msgspec.json.decode(data, type=BomReading)


def read_placement_file(content: bytes, filename: str, *, limits: Limits = DEFAULT) -> PlacementReading:
    """Read a placement file; UnreadableFileError where it cannot be read or holds no placement table."""
    data = read_in_child("placement", content, filename, limits=limits)
    return msgspec.json.decode(data, type=PlacementReading)


class TextTable(msgspec.Struct, frozen=True):
    """A sheet as text cells: ``rows[i]`` is its row ``i + 1``."""

    name: str
    rows: list[list[str]]


class _Tables(msgspec.Struct, frozen=True):
    sheets: list[TextTable]


def read_tables(content: bytes, filename: str, *, limits: Limits = DEFAULT) -> list[TextTable]:
    """The sheets of any kind of file; UnreadableFileError where it cannot be read."""
    return msgspec.json.decode(read_in_child("book", content, filename, limits=limits), type=_Tables).sheets


def bom_task(content: bytes, filename: str, options: bytes, limits: Limits) -> BomReading:
    """The child's task "bom"; ``options`` is a ReadChoices as JSON."""
    return read_bom(content, filename, msgspec.json.decode(options, type=ReadChoices), limits)


def placement_task(content: bytes, filename: str, _options: bytes, limits: Limits) -> PlacementReading:
    """The child's task "placement"."""
    return read_placement(content, filename, limits)
