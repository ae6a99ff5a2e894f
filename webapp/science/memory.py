"""Results kept by their inputs, for functions that calculate many at once."""

from collections import OrderedDict
from collections.abc import Callable, Hashable, Sequence
from threading import Lock
from typing import Generic, TypeVar

from webapp.science.parameters import data_version

Key = TypeVar("Key", bound=Hashable)
Value = TypeVar("Value")


class Memory(Generic[Key, Value]):
    """The last ``size`` results by key and data version; several threads may use it."""

    def __init__(self, size: int) -> None:
        self._size = size
        self._kept: OrderedDict[tuple[Key, str], Value] = OrderedDict()
        self._lock = Lock()

    def fill(self, keys: Sequence[Key], calculate: Callable[[Sequence[Key]], Sequence[Value]]) -> dict[Key, Value]:
        """The results for ``keys``, those not kept calculated together, in the order of their keys."""
        version = data_version()
        found: dict[Key, Value] = {}
        with self._lock:
            for key in keys:
                if (key, version) in self._kept:
                    self._kept.move_to_end((key, version))
                    found[key] = self._kept[key, version]
        missing = [key for key in dict.fromkeys(keys) if key not in found]
        if missing:
            # Outside the lock: two threads may calculate the same, which does no harm.
            fresh = dict(zip(missing, calculate(missing), strict=True))
            found |= fresh
            with self._lock:
                for key, value in fresh.items():
                    self._kept[key, version] = value
                while len(self._kept) > self._size:
                    self._kept.popitem(last=False)
        return found
