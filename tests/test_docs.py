"""Pages of docs/ that are written from the code are current."""

from scripts.write_docs import CHECKS_FILE, checks_page
from webapp.checks.declare import registry


def test_the_page_of_checks_is_current():
    assert CHECKS_FILE.read_text(encoding="utf-8") == checks_page(), "run python -m scripts.write_docs"


def test_it_names_every_check():
    page = checks_page()
    for check in registry().values():
        assert f"### {check.title} (`{check.id}`)" in page
