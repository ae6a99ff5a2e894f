"""docs/validation.md is what the tests say."""

from tests.reference.validation import PAGE, page


def test_the_page_is_current() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(), "run: python -m tests.reference.validation"
