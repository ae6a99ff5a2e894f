"""Products: what their code and name may look like."""

import re
import unicodedata

from webapp.errors import InvalidInputError
from webapp.trade.typed_text import tidy_line, tidy_lines

CODE_LENGTH = (1, 40)
NAME_LENGTH = (1, 200)
NOTE_LENGTH = 500
LABEL_LENGTH = 60
CUSTOMER_LENGTH = 120

# A code stands in addresses: a piece of it that were only dots would be taken for "this folder" by a browser.
_PIECE = r"[^\W_][\w. -]*"
# After a "/" these are pages of a product, not a piece of another product's code.
_PAGES = frozenset({"setup", "route", "findings", "wanted", "heat", "joints", "tests", "report"})
_CODE = re.compile(rf"{_PIECE}(?:/{_PIECE})*")


def tidy_code(text: str) -> str:
    """The code of a product, blanks tidied.

    InvalidInputError (field ``code``) unless it is 1 to 40 letters, digits, blanks or ``. _ - /``, with a letter or
    digit first and after each ``/``.
    """
    code = unicodedata.normalize("NFC", tidy_line(text, field="code"))
    low, high = CODE_LENGTH
    if not low <= len(code) <= high or not _CODE.fullmatch(code):
        raise InvalidInputError(
            f"A product code has {low} to {high} letters, digits, blanks or . _ - / and begins with a letter or digit.",
            field="code",
        )
    if page := next((piece for piece in code.split("/")[1:] if piece.casefold() in _PAGES), ""):
        raise InvalidInputError(
            f"A product code may not go on with /{page}: that is a page of a product.", field="code"
        )
    return code


def code_key(code: str) -> str:
    """What makes a code unique: two that differ in case only are the same product."""
    return unicodedata.normalize("NFC", " ".join(code.split())).casefold()


def tidy_product_name(text: str) -> str:
    """The name of a product, tidied; InvalidInputError (field ``name``) when nothing is left or it is too long."""
    name = tidy_line(text, field="name")
    low, high = NAME_LENGTH
    if not low <= len(name) <= high:
        raise InvalidInputError(f"A product name has {low} to {high} characters.", field="name")
    return name


def tidy_note(text: str) -> str:
    """The note on a revision, may be empty; InvalidInputError (field ``note``) past 500 characters."""
    note = tidy_lines(text, field="note")
    if len(note) > NOTE_LENGTH:
        raise InvalidInputError(f"A note has at most {NOTE_LENGTH} characters; this one has {len(note)}.", field="note")
    return note
