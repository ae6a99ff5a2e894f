import pytest

from webapp.checks.declare import registry
from webapp.checks.explained import checks_by_family, decided_by, explained
from webapp.checks.joints import KELVIN
from webapp.checks.verdicts import Verdict
from webapp.trade.alloys import alloys, lowest_onset
from webapp.trade.figures import FigureGroup, default_figures

CHECKS = list(registry().values())


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.id)
class TestEveryCheck:
    def test_has_words_and_an_example(self, check):
        words = explained(check)
        assert len(words.example) > 60
        assert all(meaning.endswith(".") for meaning in words.verdicts.values())

    def test_explains_every_verdict_that_has_remedies_and_those_it_may_give(self, check):
        named = set(explained(check).verdicts)
        assert set(check.remedies) <= named
        assert (Verdict.FINE in named) == check.may_pass
        assert (Verdict.GAIN in named) == check.can_gain

    def test_says_of_every_need_what_is_worse(self, check):
        for need in check.needs:
            assert need.worse_words, (check.id, need.name)


def test_every_figure_of_the_checks_decides_something():
    used = {figure.key for check in CHECKS for figure in decided_by(check, default_figures()) if figure.key}
    assert used == {key for key, figure in default_figures().items() if figure.group is FigureGroup.CHECKS}


def test_all_checks_stand_in_a_family():
    assert sorted(check.id for _, checks in checks_by_family() for check in checks) == sorted(registry())


def test_the_street_lamp_of_the_example_is_where_it_says():
    # 70 + 15 + 20 = 105 °C against the first melting of tin-bismuth, in kelvin.
    onset = lowest_onset(alloys()["Sn42Bi58"].composition_wt_pct).onset_c
    assert (105 + KELVIN) / (onset + KELVIN) > default_figures()["service_change_share"].value


def test_the_paste_of_the_example_is_not_molten_at_its_coldest_joint():
    assert alloys()["Sn60Bi40"].melted_c > 180 - 8 > alloys()["Sn42Bi58"].melted_c + 30


@pytest.mark.parametrize(
    ("check", "name", "words"),
    [
        ("body-limit", "limit_c", "a lower value"),
        ("joint-runs-hot", "t_max_c", "a higher value"),
        ("finish-unknown", "finish", "contains lead (e0);"),
        ("board-finish", "finish", "tin-lead"),
        ("ball-mixing", "balls", "a ball that melts higher"),
        ("lead-pickup", "balls", "a kind with lead"),
        ("through-hole", "mounting", "one that no step of the route joins"),
        ("never-oven", "oven", "not rated for reflow"),
    ],
)
def test_what_is_worse_in_words(check, name, words):
    (need,) = (need for need in registry()[check].needs if need.name == name)
    assert words in need.worse_words
