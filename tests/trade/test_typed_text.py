"""Text as people type it. Names of characters: Unicode character database."""

import pytest

from webapp.errors import InvalidInputError
from webapp.trade.typed_text import tidy_line, tidy_lines


@pytest.mark.parametrize(
    ("text", "tidied"),
    [
        ("  Gateway \t nine\u00a0B ", "Gateway nine B"),
        ("Größe Ångström 松下 Ω µ №", "Größe Ångström 松下 Ω µ №"),
        ("naïve é नमस्ते שלום", "naïve é नमस्ते שלום"),
        ("two\nlines", "two lines"),
        ("", ""),
    ],
)
def test_what_shows_is_kept_and_blanks_are_tidied(text, tidied):
    assert tidy_line(text, field="name") == tidied


@pytest.mark.parametrize(
    ("char", "said"),
    [
        ("\u202e", "U+202E, right-to-left override"),
        ("\u2066", "U+2066, left-to-right isolate"),
        ("\u200b", "U+200B, zero width space"),
        ("\u200d", "U+200D, zero width joiner"),
        ("\ufeff", "U+FEFF, zero width no-break space"),
        ("\u00ad", "U+00AD, soft hyphen"),
        ("\u3164", "U+3164, hangul filler"),
        ("\U000e0041", "U+E0041, tag latin capital letter a"),
        ("\x00", "U+0000"),
        ("\x1b", "U+001B"),
        ("\ud800", "U+D800"),
    ],
)
def test_what_does_not_show_is_refused_by_its_number(char, said):
    for text, where in ((f"Gateway{char}9", "behind “Gateway”"), (f"{char}Gateway", "at the start")):
        with pytest.raises(InvalidInputError) as caught:
            tidy_line(text, field="name")
        assert caught.value.field == "name"
        assert caught.value.message == (
            f"There is a character that does not show ({said}) {where}: take it out, or type this anew."
        )


def test_lines_are_kept():
    assert tidy_lines("\n first  line\r\nsecond\n\nfourth \n", field="note") == "first line\nsecond\n\nfourth"
    with pytest.raises(InvalidInputError, match=r"U\+202E"):
        tidy_lines("first\nsec\u202eond", field="note")
