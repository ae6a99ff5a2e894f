"""How much a file may hold and cost to read."""

from dataclasses import dataclass

MIB = 1024 * 1024


@dataclass(frozen=True, slots=True)
class Limits:
    """Limits of one upload. A file past one is refused whole, with a sentence that names the limit.

    Sizes in bytes, times in seconds. ``unpacked_bytes`` and ``unpack_ratio`` are for workbooks, which are zip archives:
    all their parts together, and unpacked over packed size (looked at only past ``ratio_from_bytes``, as small
    parts full of blanks pack very well). ``cells`` counts the rectangle from A1 to the last cell filled, all sheets
    together. The last five bound the child process that does the reading.
    """

    file_bytes: int = 32 * MIB
    unpacked_bytes: int = 256 * MIB
    unpack_ratio: int = 200
    ratio_from_bytes: int = 16 * MIB
    parts: int = 2_000
    sheets: int = 60
    rows: int = 200_000
    columns: int = 500
    cells: int = 5_000_000
    memory_bytes: int = 1536 * MIB
    cpu_s: int = 30
    wall_s: int = 45
    answer_bytes: int = 64 * MIB
    open_files: int = 32
