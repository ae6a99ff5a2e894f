"""The two doors for files from outside: each reads in a child process and gives back what was understood."""

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


def bom_task(content: bytes, filename: str, options: bytes, limits: Limits) -> BomReading:
    """The child's task "bom"; ``options`` is a ReadChoices as JSON."""
    return read_bom(content, filename, msgspec.json.decode(options, type=ReadChoices), limits)


def placement_task(content: bytes, filename: str, _options: bytes, limits: Limits) -> PlacementReading:
    """The child's task "placement"."""
    return read_placement(content, filename, limits)
