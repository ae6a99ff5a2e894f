"""Pages of docs/ that are written from the code are current, and the README names every setting."""

import re

from scripts.write_docs import CHECKS_FILE, checks_page
from webapp.checks.declare import registry
from webapp.settings import Settings

README = CHECKS_FILE.parents[1] / "README.md"


def test_the_page_of_checks_is_current():
    assert CHECKS_FILE.read_text(encoding="utf-8") == checks_page(), "run python -m scripts.write_docs"


def test_it_names_every_check():
    page = checks_page()
    for check in registry().values():
        assert f"### {check.title} (`{check.id}`)" in page


def test_the_table_of_settings_names_every_one():
    named = set(re.findall(r"`MELTLINE_([A-Z_]+)`", README.read_text(encoding="utf-8")))
    assert named == {name.upper() for name in Settings.model_fields}
