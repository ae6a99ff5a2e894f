"""Contrast of the design's colours, computed from tokens.css in both themes (no browser needed).

Relative luminance and contrast ratio as defined in WCAG 2.2; 4.5 : 1 for text (1.4.3), 3 : 1 for signs, edges of
controls and the focus (1.4.11).
"""

import re

import pytest

from webapp.resources import resource_dir

TOKEN = re.compile(r"--([a-z-]+): light-dark\((#[0-9a-f]{6}), (#[0-9a-f]{6})\);")
GROUNDS = ("paper", "wash", "field")
TEXTS = ("ink", "quiet", "accent", "accent-deep", "signal")


def colours(theme):
    css = (resource_dir("static") / "css" / "tokens.css").read_text(encoding="utf-8")
    return {name: (light, dark)[theme == "dark"] for name, light, dark in TOKEN.findall(css)}


def luminance(colour):
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_contrast_of_the_definition():
    # WCAG 2.2: black on white is 21 : 1; #767676 on white is the well-known lightest grey that passes 4.5 : 1.
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") >= 4.5 > contrast("#777777", "#ffffff")


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("text", TEXTS)
def test_text_is_readable_on_every_ground(theme, ground, text):
    palette = colours(theme)
    assert contrast(palette[text], palette[ground]) >= 4.5


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_text_on_the_primary_button_is_readable(theme):
    palette = colours(theme)
    for ground in ("accent", "accent-deep"):
        assert contrast(palette["on-accent"], palette[ground]) >= 4.5


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("ground", GROUNDS)
def test_edges_of_controls_are_visible(theme, ground):
    palette = colours(theme)
    assert contrast(palette["rule"], palette[ground]) >= 3
