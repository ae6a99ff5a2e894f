"""Back from classes in words, as they are stored to search by, to the classes."""

from functools import lru_cache

from webapp.trade.classes import PartClass

_WORDS = {single: single.words.casefold() for single in PartClass}


@lru_cache(maxsize=4096)
def classes_in(text: str) -> PartClass:
    """The classes that ``PartClass.words`` wrote as ``text``; every class for "not known", none for anything else.

    No class's words are part of another's, so each that is found is meant.
    """
    if text == PartClass.everything().words:
        return PartClass.everything()
    folded = text.casefold()
    found = PartClass(0)
    for single, words in _WORDS.items():
        if words in folded:
            found |= single
    return found
