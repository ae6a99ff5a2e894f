import pytest

from webapp.trade.part_keys import KEY_LENGTH, designator_prefix, folded, part_key, unnamed_key


@pytest.mark.parametrize(
    ("maker", "mpn"),
    [("Ostrava Caps", "00471"), ("OSTRAVA  caps", "00471 "), ("Ostrava-Caps", "00 471"), ("Ostráva Caps.", "00471")],
)
def test_ways_of_writing_one_part_give_one_key(maker, mpn):
    assert part_key(maker, mpn) == "ostravacaps|00471"


def test_nothing_is_guessed_away():
    keys = {part_key("Kelvarn", mpn) for mpn in ("GR-1", "GR1", "GR/1", "GR-1T", "00471", "471")}
    assert len(keys) == 6
    assert part_key("Kelvarn", "GR-1") != part_key("Kelvarn Ltd", "GR-1")


def test_no_number_no_key():
    assert part_key("Kelvarn", None) == part_key("Kelvarn", "  ") == ""


def test_a_part_without_maker_has_its_own_key():
    assert part_key(None, "GR-1") == "|gr-1"


def test_what_a_line_says_keys_a_part_without_number():
    key = unnamed_key("R", "0402", "10 k", None)
    assert key == unnamed_key("R", "04-02", "10k", "")
    assert key != unnamed_key("C", "0402", "10 k", None)
    assert not part_key("", key.removeprefix("?")).startswith("?")


def test_keys_are_cut_and_hold_nothing_unprintable():
    assert len(part_key("m" * 500, "n" * 500)) == KEY_LENGTH
    assert part_key("K", "A\x00\u200bB") == "k|ab"


@pytest.mark.parametrize(
    ("refdes", "prefix"), [("R12", "R"), ("led3", "LED"), ("4R", ""), ("POWER", "POWER"), ("", "")]
)
def test_prefix(refdes, prefix):
    assert designator_prefix(refdes) == prefix


def test_folded_keeps_letters_of_all_scripts():
    assert folded("Škoda-Ω 株式会社") == "skodaω株式会社"
