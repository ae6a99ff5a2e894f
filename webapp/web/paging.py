"""Lists in pages, and addresses that hold the whole view: what is shown, in which order, from where on."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeVar
from urllib.parse import urlencode

from webapp.errors import MeltlineError

PAGE_SIZE = 100

Choice = TypeVar("Choice", bound=StrEnum)


class UnknownViewError(MeltlineError):
    """An address asks for an order or a selection that there is not."""

    status = 400
    code = "unknown_view"


@dataclass(frozen=True, slots=True)
class Window:
    """One page of a list of ``total``: ``number`` counts from 1; ``first`` and ``last`` are the rows, 0 if none."""

    number: int
    total: int
    size: int = PAGE_SIZE

    @classmethod
    def at(cls, number: int, total: int, size: int = PAGE_SIZE) -> "Window":
        """The page of that number; past the end the last one, as lists get shorter while people look at them."""
        last = max(1, -(-total // size))
        return cls(min(max(1, number), last), total, size)

    @property
    def offset(self) -> int:
        """How many rows stand on the pages before."""
        return (self.number - 1) * self.size

    @property
    def first(self) -> int:
        """The first row, counted from 1."""
        return min(self.offset + 1, self.total)

    @property
    def last(self) -> int:
        """The last row, counted from 1."""
        return min(self.offset + self.size, self.total)

    @property
    def previous(self) -> int | None:
        """The number of the page before, if there is one."""
        return self.number - 1 if self.number > 1 else None

    @property
    def following(self) -> int | None:
        """The number of the page after, if there is one."""
        return self.number + 1 if self.last < self.total else None


@dataclass(frozen=True, slots=True)
class View:
    """A page with its query; what has its default value is left out of the address."""

    path: str
    query: Mapping[str, str | int]
    defaults: Mapping[str, str | int]

    def address(self, **changes: str | int | None) -> str:
        """The address with ``changes``; None takes a part away."""
        query = {**self.query, **changes}
        kept = {name: value for name, value in query.items() if value not in (None, "", self.defaults.get(name))}
        return f"{self.path}?{urlencode(kept)}" if kept else self.path

    def refuse_others(self, sent: Iterable[str], *also: str) -> None:
        """UnknownViewError when the address holds a name that is neither of this view nor one of ``also``, which are
        what our own links add."""
        for name in sent:
            if name not in (*self.query, *also):
                raise UnknownViewError(f'There is no "{name[:40]}" to choose here; there are: {", ".join(self.query)}.')

    def sorting(self) -> str:
        """The address up to ``sort=``, for heads that sort; the order begins on the first page."""
        bare = self.address(sort=None, page=None)
        return f"{bare}{'&' if '?' in bare else '?'}sort="


def chosen(kind: type[Choice], text: str, what: str, among: Iterable[Choice] | None = None) -> Choice:
    """The member of ``kind`` named ``text``, one of ``among`` where not all may be; UnknownViewError names those."""
    there = list(kind if among is None else among)
    if text not in there:
        raise UnknownViewError(f'"{text[:40]}" is no {what}; there are: {", ".join(there)}.')
    return kind(text)


def chosen_sort(text: str, sorts: Collection[str]) -> str:
    """An order as addresses name it: "" for the list's own, one of ``sorts``, or that with "-" before it for downwards.
    UnknownViewError for another."""
    if text and text.removeprefix("-") not in sorts:
        raise UnknownViewError(f'"{text[:40]}" is no order; there are: {", ".join(sorts)}, with "-" for downwards.')
    return text
