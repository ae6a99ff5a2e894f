"""Words for kinds of parts in many languages."""

import pytest

from webapp.trade.masks import Mounting
from webapp.trade.part_words import kind_hits, kind_of_prefix, kinds, mounting_of


def first(text: str) -> str | None:
    hits = kind_hits(text)
    return hits[0].kind.key if hits else None


def test_every_kind_has_classes() -> None:
    assert all(kind.classes and kind.name for kind in kinds().values())


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("IC SWITCH QUAD SPDT", "ic"),  # the head noun settles it
        ("CONN RCPT MICRO USB", "connector"),
        ("LED driver", "ic"),  # a compound is not its first word
        ("LED HOLDER", "loose"),
        ("Fuse holder", "fuse_holder"),
        ("Ceramic Capacitors", "ceramic"),  # plural
        ("Widerstandsnetzwerk", "resistor"),
        ("Folienkondensator", "film"),
        ("Hochlastwiderstand", "resistor"),  # the last part of a German compound
        ("CONDENSATEUR CÉRAMIQUE", "ceramic"),  # accents and case
        ("X7R 100nF", "ceramic"),
        ("something else", None),
        ("", None),
    ],
)
def test_what_settles_the_kind(text: str, kind: str | None) -> None:
    assert first(text) == kind


def test_usb_alone_is_a_hint_only() -> None:
    hit = kind_hits("USB")[0]
    assert (hit.kind.key, hit.strength) == ("connector", 3)


@pytest.mark.parametrize(
    ("prefix", "kind"), [("R", "resistor"), ("fb", "ferrite"), ("VT", "transistor"), ("HL", "led"), ("QQQ", None)]
)
def test_designator_letters(prefix: str, kind: str | None) -> None:
    found = kind_of_prefix(prefix)
    assert (found.key if found else None) == kind


@pytest.mark.parametrize(
    ("text", "mounting"),
    [
        ("Surface Mount", Mounting.SMD),
        ("SM0603", Mounting.SMD),
        ("Through Hole, Right Angle", Mounting.THROUGH_HOLE),
        ("3MM ROUND T/H", Mounting.THROUGH_HOLE),
        ("SMD with through hole pegs", Mounting.SMD | Mounting.THROUGH_HOLE),
        ("bedrahtet", Mounting.THROUGH_HOLE),
        ("贴片", Mounting.SMD),
        ("nothing", Mounting(0)),
    ],
)
def test_words_for_mounting(text: str, mounting: Mounting) -> None:
    assert mounting_of(text)[0] == mounting
