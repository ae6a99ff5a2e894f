"""What every page must hold, and pictures of it for looking at."""

import os
from functools import cache
from pathlib import Path
from typing import Any

from playwright.sync_api import Page

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
NARROW = (390, 320)
SCREENSHOTS = Path("var/screenshots")


@cache
def _axe() -> str:
    return (Path(__file__).parent / "vendor" / "axe.min.js").read_text(encoding="utf-8")


def assert_accessible(page: Page) -> None:
    """No rule of axe-core for WCAG 2.2 A and AA is broken, in the light and in the dark."""
    # Evaluated, not added as a tag: the page's security policy would refuse that, as it should.
    page.evaluate(_axe())
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        found = page.evaluate("tags => axe.run({runOnly: tags})", TAGS)
        broken = [_told(violation) for violation in found["violations"]]
        assert not broken, f"{page.url} ({scheme}):\n" + "\n".join(broken)
    page.emulate_media(color_scheme="light")


def _told(violation: dict[str, Any]) -> str:
    places = "\n".join(f"    {node['html'][:200]}" for node in violation["nodes"][:5])
    return f"{violation['id']}: {violation['help']}\n{places}"


def assert_no_sideways_scroll(page: Page, widths: tuple[int, ...] = NARROW) -> None:
    """The page itself never scrolls sideways; what is wide does so in its own box."""
    before = page.viewport_size
    for width in widths:
        page.set_viewport_size({"width": width, "height": 900})
        needed = page.evaluate("document.documentElement.scrollWidth")
        assert needed <= width, f"{page.url} needs {needed} px at {width} px"
    if before:
        page.set_viewport_size(before)


def assert_prints(page: Page) -> None:
    """On paper: white ground and dark text even when the screen is dark, and no navigation."""
    page.emulate_media(media="print", color_scheme="dark")
    colours = page.evaluate("[getComputedStyle(document.body).backgroundColor, getComputedStyle(document.body).color]")
    assert colours[0] == "rgb(255, 255, 255)", colours
    assert max(int(part) for part in colours[1].removeprefix("rgb(").removesuffix(")").split(",")) < 64, colours
    assert not page.locator("nav a:visible").count()
    page.emulate_media(media="screen", color_scheme="light")


def assert_focus_is_kept(page: Page) -> None:
    """After a part of the page was exchanged, the focus is still on something, not back at the beginning."""
    tag = page.evaluate("document.activeElement?.tagName ?? 'nothing'")
    assert tag not in ("BODY", "HTML", "nothing"), f"the focus went to {tag}"


def screenshots(page: Page, name: str) -> None:
    """With MELTLINE_SCREENSHOTS set: the whole page as PNG in var/screenshots, wide and narrow, light, dark, print."""
    if not os.environ.get("MELTLINE_SCREENSHOTS"):
        return
    SCREENSHOTS.mkdir(parents=True, exist_ok=True)
    before = page.viewport_size
    for width in (1440, 390):
        page.set_viewport_size({"width": width, "height": 900})
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            page.screenshot(path=SCREENSHOTS / f"{name}-{width}-{scheme}.png", full_page=True)
    page.set_viewport_size({"width": 688, "height": 973})  # A4 less its margins, at 96 px an inch
    page.emulate_media(media="print", color_scheme="light")
    page.screenshot(path=SCREENSHOTS / f"{name}-print.png", full_page=True)
    page.emulate_media(media="screen")
    if before:
        page.set_viewport_size(before)
