"""One key for a part, however lists write its maker and number.

Case, blanks and punctuation are folded away; nothing is guessed: "Ostrava Caps Ltd" and "Ostrava Caps" stay two makers,
and no ending of a number is taken for packing.
"""

import unicodedata

KEY_LENGTH = 200
"""Keys are cut to this many characters."""


def folded(text: str | None) -> str:
    """Letters and digits only, in small letters, accents taken off: "Ostrava-Caps, s. r. o." -> "ostravacapssro"."""
    apart = unicodedata.normalize("NFKD", (text or "").casefold())
    return "".join(letter for letter in apart if letter.isalnum())


def number_folded(mpn: str | None) -> str:
    """A part number without case and blanks; signs stay, for they may tell two parts apart ("AB-1", "AB1", "AB/1")."""
    folded_case = unicodedata.normalize("NFKC", mpn or "").casefold()
    return "".join(char for char in folded_case if char.isprintable() and not char.isspace())


def part_key(maker: str | None, mpn: str | None) -> str:
    """The key of a part by maker and number: "ostravacaps|00471"; "" without a number."""
    number = number_folded(mpn)
    return f"{folded(maker)}|{number}"[:KEY_LENGTH] if number else ""


def unnamed_key(prefix: str, package: str | None, value: str | None, description: str | None) -> str:
    """The key of a part without a number, by what its line says; ``prefix``: the letters of its designators."""
    said = (prefix, folded(package), number_folded(value), folded(description))
    return ("?" + "|".join(said))[:KEY_LENGTH]


def designator_prefix(refdes: str) -> str:
    """The letters a designator begins with, in capitals: "R12" -> "R"."""
    letters = []
    for char in refdes.strip():
        if not char.isalpha():
            break
        letters.append(char.upper())
    return "".join(letters)
