"""Text as people type it: blanks tidied; characters that do not show, or turn the reading direction, are refused."""

import unicodedata

from webapp.errors import InvalidInputError

# Letters and marks by their class, but drawn as nothing or as a blank.
_DRAWN_AS_NOTHING = frozenset("\u034f\u115f\u1160\u17b4\u17b5\u2800\u3164\uffa0")


def tidy_line(text: str, *, field: str) -> str:
    """One line, each run of blanks as one; InvalidInputError (``field``) for a character that does not show."""
    line = " ".join(text.split())
    for place, char in enumerate(line):
        if not char.isprintable() or char in _DRAWN_AS_NOTHING:
            name = unicodedata.name(char, "").casefold()
            said = f"U+{ord(char):04X}, {name}" if name else f"U+{ord(char):04X}"
            where = f"behind “{line[max(0, place - 12) : place]}”" if place else "at the start"
            raise InvalidInputError(
                f"There is a character that does not show ({said}) {where}: take it out, or type this anew.",
                field=field,
            )
    return line


def tidy_lines(text: str, *, field: str) -> str:
    """The same line by line, line ends kept, none before and after."""
    return "\n".join(tidy_line(line, field=field) for line in text.strip().splitlines())
