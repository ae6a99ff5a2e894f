"""Lists without a separator."""

from webapp.intake.loose import read_pairs, read_words


def test_pairs_of_designators_and_a_word() -> None:
    assert read_pairs(["R1, R2: 10k", "", "C1 = 1u", "U1 ZX1"]) == [["R1, R2", "10k"], [], ["C1", "1u"], ["U1", "ZX1"]]
    assert read_pairs(["a: 1", "b: 2", "c: 3"]) is None
    assert read_pairs(["R1 N1 N2 10k", "C1 N2 0 1u", "Q1 N3 N2 0 NPN"]) is None


def test_lines_of_the_same_number_of_words() -> None:
    assert read_words(["QTY REFS VALUE", "2 R1,R2 10k", "1 C1 1u"]) == [
        ["QTY", "REFS", "VALUE"],
        ["2", "R1,R2", "10k"],
        ["1", "C1", "1u"],
    ]
    assert read_words(["a few words", "and then", "some more of them in a line"]) is None
