"""What the browser is sent: small, ours or listed with its checksum, nothing inline (no browser needed)."""

import re
from hashlib import sha256
from pathlib import Path

import pytest

from webapp.resources import resource_dir

ROOT = Path(__file__).parents[2]
LISTS = (ROOT / "static" / "vendor" / "VENDOR.txt", ROOT / "tests" / "browser" / "vendor" / "VENDOR.txt")


def vendored():
    for listing in LISTS:
        for line in listing.read_text(encoding="utf-8").splitlines():
            if line and not line.startswith("#"):
                yield line.split()


def test_stylesheets_together_stay_under_40_kb():
    sizes = [path.stat().st_size for path in (resource_dir("static") / "css").glob("*.css")]
    assert sizes
    assert sum(sizes) < 40_000


@pytest.mark.parametrize("entry", list(vendored()), ids=lambda entry: entry[4])
def test_vendored_file_is_the_one_listed(entry):
    _name, _version, licence, _source, target, checksum = entry
    assert licence in {"0BSD", "ISC", "MPL-2.0"}
    assert sha256((ROOT / target).read_bytes()).hexdigest() == checksum


def test_every_vendored_file_is_listed():
    listed = {target for *_rest, target, _checksum in vendored()}
    found = {
        str(path.relative_to(ROOT))
        for listing in LISTS
        for path in listing.parent.iterdir()
        if path.name != "VENDOR.txt"
    }
    assert found <= listed


def test_every_icon_used_is_in_the_sprite():
    sprite = (resource_dir("static") / "icons.svg").read_text(encoding="utf-8")
    there = set(re.findall(r'<symbol id="([a-z0-9-]+)"', sprite))
    sources = [path.read_text(encoding="utf-8") for path in resource_dir("templates").rglob("*.html")]
    used = {name for source in sources for name in re.findall(r'icon\("([a-z0-9-]+)"\)', source)}
    assert used
    assert used <= there


@pytest.mark.parametrize(
    "pattern", [r"\sstyle=", r"<style", r"<script(?![^>]*\ssrc=)", r"\son[a-z]+=", r"hx-on", r"\bjs:"]
)
def test_no_template_has_anything_inline(pattern):
    for path in resource_dir("templates").rglob("*.html"):
        assert not re.search(pattern, path.read_text(encoding="utf-8")), path
