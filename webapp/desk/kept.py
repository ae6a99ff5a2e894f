"""What takes a moment to work out, kept as long as what it follows from is the same."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock
from typing import Generic, TypeVar

from sqlmodel import Session

_T = TypeVar("_T")


class Kept(Generic[_T]):
    """Results by database and state, the last few of them. The state must name all that a result follows from."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._lock = Lock()
        self._kept: OrderedDict[tuple[str, Hashable], _T] = OrderedDict()

    def get(self, session: Session, state: Hashable, make: Callable[[], _T]) -> _T:
        """What is kept for this state, else what ``make`` gives; two at once may both make it."""
        key = str(session.connection().engine.url), state
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
        made = make()
        with self._lock:
            self._kept[key] = made
            self._kept.move_to_end(key)
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
        return made
