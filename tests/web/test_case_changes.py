from types import SimpleNamespace

from webapp.web.case_changes import CaseChange, changes, standing


def entry(case_id, name, blocks, change, prove, gain):
    row = SimpleNamespace(blocks=blocks, change=change, prove=prove, gain=gain)
    return SimpleNamespace(id=case_id, name=name, row=row)


def test_what_a_save_changed_is_told_case_by_case():
    before = standing([entry(1, "today", 0, 0, 4, 0), entry(2, "cool", 2, 11, 7, 3)])
    now = [entry(1, "today", 0, 0, 4, 0), entry(2, "cool", 1, 11, 9, 3), entry(5, "other", 0, 2, 0, 0)]
    assert changes(now, before) == [
        CaseChange("today", False, []),
        CaseChange("cool", False, [("blocks", 2, 1), ("prove", 7, 9)]),
        CaseChange("other", True, [("change", 0, 2)]),
    ]


def test_an_address_that_somebody_wrote_counts_for_nothing():
    for text in ("", "x", "1.2", "1.2.3.4.5.6", "1.-2.3.4.5", "9" * 3000):
        assert changes([entry(1, "today", 0, 0, 0, 0)], text) == [CaseChange("today", True, [])]
