"""Every check: a failing, a passing and an unknown-data example, a source, remedies for what it may ask."""

from dataclasses import replace

import pytest

from tests.checks.build import LOW, case, found, part, reflow, verdicts
from tests.checks.examples import EXAMPLES
from webapp.checks.columns import Columns, route_arrays
from webapp.checks.declare import Check, Family, Scope, register, registry
from webapp.checks.evaluate import evaluate
from webapp.checks.verdicts import Verdict
from webapp.trade.route import Side

CHECKS = list(registry().values())
IDS = [check.id for check in CHECKS]
SHORT_OF_DATA = [name for name, (_, _, short) in EXAMPLES.items() if short is not None]


def test_every_check_has_examples():
    assert set(EXAMPLES) == set(IDS)


@pytest.mark.parametrize("name", IDS)
def test_fails(name):
    (made, verdict), _, _ = EXAMPLES[name]
    assert max(verdicts(name, made)) == verdict
    finding = found(made, name)[0]
    assert finding.verdict is verdict
    assert finding.sentence.endswith(".")
    assert finding.sources


@pytest.mark.parametrize("name", IDS)
def test_passes(name):
    _, made, _ = EXAMPLES[name]
    assert max(verdicts(name, made)) == Verdict.FINE
    assert [f for f in found(made, name) if f.verdict.is_open] == []


@pytest.mark.parametrize("name", SHORT_OF_DATA)
def test_asks_for_what_is_missing(name):
    _, _, made = EXAMPLES[name]
    assert max(verdicts(name, made)) == Verdict.PROVE
    open_ones = [f for f in found(made, name) if f.verdict is Verdict.PROVE]
    assert len(open_ones) == 1


@pytest.mark.parametrize("check", CHECKS, ids=IDS)
def test_declares_a_source_and_a_way_out_of_each_verdict(check):
    assert check.sources
    (_, verdict), _, short = EXAMPLES[check.id]
    assert check.remedies[verdict]
    if short is not None:
        assert check.remedies[Verdict.PROVE]


def test_a_screening_model_never_passes():
    made = case()
    fine = registry()["joint-runs-hot"]
    columns = Columns(made)
    route = route_arrays(columns, made.route)
    assert list(evaluate(fine, columns, route).verdict) == [Verdict.FINE]
    assert list(evaluate(replace(fine, may_pass=False), columns, route).verdict) == [Verdict.NONE]


def test_the_step_that_decides_is_the_one_with_least_margin_whichever_way_it_counts():
    # Peaks of 180 and 170 °C, both past 160: the hotter is worse for what must stay below, the cooler for what must
    # reach.
    steps = (reflow(LOW, 180.0, Side.BOTTOM), reflow(LOW, 170.0, Side.TOP))
    made = case(part(limit_c=160.0), steps=steps, sides=["bottom"])
    columns = Columns(made)
    route = route_arrays(columns, made.route)
    below = registry()["body-limit"]
    assert list(evaluate(below, columns, route).step) == [0]
    assert list(evaluate(replace(below, reaches=True), columns, route).step) == [1]


def test_a_check_without_source_or_with_a_taken_id_is_refused():
    body = CHECKS[0]
    with pytest.raises(ValueError, match="two checks"):
        register(body)
    bare = Check("x", "X", Family.HEAT, Scope.LINE, "?", (), (), body.evaluate, body.explain)
    with pytest.raises(ValueError, match="names no source"):
        register(bare)
    assert "x" not in registry()
