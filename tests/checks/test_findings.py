"""Grouping, today beside the candidate, keys and fingerprints, alternates and sides."""

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from tests.checks.build import BOARD, LOW, SAC, case, found, part, reflow, route, with_environment
from webapp.checks.assess import assess
from webapp.checks.columns import CaseLine
from webapp.checks.declare import registry
from webapp.checks.verdicts import Verdict
from webapp.trade.facts import Sources
from webapp.trade.masks import BallAlloy, BoardFinish, Mounting
from webapp.trade.route import Side, Step, StepKind
from webapp.trade.sources import Kind, Source, Status

ROOT = Path(__file__).parents[2]


def parts(count, classes="chip_resistor", **more):
    return [part(classes, key=f"part-{i}", **more) for i in range(count)]


class TestGroups:
    def test_what_is_unknown_for_all_alike_is_one_finding_with_all_its_members(self):
        made = case(*parts(40, declared=()))
        (finding,) = found(made, "finish-unknown")
        assert len(finding.parts) == len(finding.lines) == 40
        assert len(finding.refdes) == 80
        assert finding.verdict is Verdict.PROVE

    def test_what_is_certain_is_a_finding_a_part(self):
        made = case(*parts(3, limit_c=170.0))
        assert [f.subject for f in found(made, "body-limit")] == ["part part-0", "part part-1", "part part-2"]

    def test_a_cause_outside_the_parts_is_one_finding_with_all_its_members(self):
        cure = Step(StepKind.CURE, peak_c=150.0, hours=1.0)
        made = case(*parts(12))
        made = replace(made, route=replace(made.route, steps=(*made.route.steps, cure)))
        (finding,) = found(made, "later-heat")
        assert (finding.verdict, len(finding.parts)) == (Verdict.BLOCKS, 12)

    def test_two_lines_of_one_part_share_its_finding(self):
        made = case(part(limit_c=170.0))
        made = replace(made, lines=[CaseLine(0, ("R1",)), CaseLine(0, ("R2", "R3"))])
        (finding,) = found(made, "body-limit")
        assert finding.refdes == ("R1", "R2", "R3")

    def test_keys_are_one_of_a_kind(self):
        made = case(*parts(3, limit_c=170.0), *parts(2, "power_semi"), part("hermetic", key="h"))
        keys = [finding.key for finding in assess(made).findings]
        assert len(keys) == len(set(keys))

    def test_readiness_is_the_share_of_placements_with_nothing_open(self):
        # Two places each; one of four parts has something open.
        made = case(*parts(3, limit_c=250.0), part(key="hot", limit_c=170.0))
        assert assess(made).readiness == pytest.approx(0.75)
        assert assess(replace(made, lines=[], parts=[])).readiness is None

    def test_what_is_open_on_the_board_stands_beside_it(self):
        made = case(board=replace(BOARD, finish=BoardFinish.HASL_LEAD))
        assert (assess(made).readiness, assess(made).open_board_step_product) == (1.0, 1)


class TestToday:
    def test_what_is_just_as_open_today_is_marked(self):
        made = case(part(limit_c=170.0), today=route(reflow(SAC, 180.0)))
        assert [f.same_as_today for f in found(made, "body-limit")] == [True]

    def test_what_the_conversion_brings_is_not(self):
        made = case(part("array", balls=BallAlloy.SAC_HIGH_SILVER))
        assert [f.same_as_today for f in found(made, "ball-mixing")] == [False]

    def test_the_same_verdict_with_less_room_is_not_the_same(self):
        hotter = case(part(limit_c=170.0), steps=(reflow(LOW, 200.0),), today=route(reflow(SAC, 180.0)))
        assert [f.same_as_today for f in found(hotter, "body-limit")] == [False]

    def test_a_problem_of_today_that_goes_away_is_a_gain(self):
        # 245 °C today, a limit of 235 °C, 180 °C tomorrow.
        (finding,) = found(case(part(limit_c=235.0)), "body-limit")
        assert finding.verdict is Verdict.GAIN
        assert not finding.verdict.is_open

    def test_a_gain_says_what_the_bodies_reach_today(self):
        hot, low = Step(StepKind.BAKE, peak_c=240.0), reflow(LOW, 180.0)
        (finding,) = found(case(part(limit_c=235.0), steps=(low,)), "body-limit")
        assert finding.sentence == (
            "At reflow the bodies of this part (chip resistor) reach 180 °C, within their limit; today they reach "
            "245 °C, where 235 °C is sure."
        )
        # The hottest of what it goes through today, wherever that is on the route.
        (finding,) = found(case(part(limit_c=235.0), today=route(low, hot)), "body-limit")
        assert finding.sentence.endswith("today they reach 240 °C, where 235 °C is sure.")

    def test_near_the_limit_today_is_no_gain(self):
        # 245 °C at a limit of 248 °C is closer than 5 K, not above: nothing that the candidate solves.
        assert found(case(part(limit_c=248.0)), "body-limit") == []
        (finding,) = found(case(part(limit_c=244.0)), "body-limit")
        assert finding.verdict is Verdict.GAIN

    def test_fine_in_both_is_not_said(self):
        assert found(case(part(limit_c=260.0)), "body-limit") == []


def test_the_rule_of_a_check_is_named_however_many_data_sheets_there_are():
    heaters = [
        replace(one, sources=Sources({"self_heating_k": Source(Kind.DATASHEET, f"sheet {i}", Status.OPENED)}))
        for i, one in enumerate(parts(9, self_heating_k=30.0))
    ]
    made = case(*heaters, environment=with_environment(t_max_c=70.0))
    (finding,) = found(made, "joint-runs-hot")
    assert set(registry()["joint-runs-hot"].sources) <= set(finding.sources)
    assert len(finding.sources) > len(registry()["joint-runs-hot"].sources)


def test_a_finding_without_a_limit_has_no_number_in_its_key():
    (finding,) = found(case(part("connector", mounting=Mounting.THROUGH_HOLE)), "through-hole")
    assert finding.key == "through-hole|joints|"


class TestAlternatesAndSides:
    def test_the_worst_alternate_decides_and_its_places_count_once(self):
        good, bad = part(key="good", limit_c=250.0), part(key="bad", limit_c=170.0)
        made = replace(case(good, bad), lines=[CaseLine(0, ("R1", "R2"), None, 0), CaseLine(1, ("R1", "R2"), None, 0)])
        assessed = assess(made)
        assert assessed.readiness == 0.0
        (finding,) = found(made, "body-limit")
        assert (finding.title, finding.refdes) == ("bad", ("R1", "R2"))

    def test_a_line_on_both_sides_counts_all_its_places(self):
        lines = [CaseLine(0, ("R1", "R2"), Side.TOP, 0), CaseLine(0, ("R3",), Side.BOTTOM, 0), CaseLine(1, ("C1",))]
        made = replace(case(part(key="a", limit_c=170.0), part(key="b", limit_c=250.0)), lines=lines)
        # Of four places three are on the line with something open; the last line stands for itself.
        made = replace(made, lines=[*lines[:2], replace(lines[2], of=1)])
        assert assess(made).readiness == pytest.approx(0.25)


def fingerprints(made):
    return {finding.key: finding.fingerprint for finding in assess(made).findings}


class TestFingerprints:
    def made(self, **changes):
        values = {"limit_c": 170.0, "self_heating_k": 40.0, "passes": 3.0} | changes
        return case(part("power_semi", **values), environment=with_environment(t_max_c=60.0))

    def test_the_same_inputs_give_the_same(self):
        assert fingerprints(self.made()) == fingerprints(self.made())

    def test_an_input_changes_those_that_use_it_and_no_other(self):
        before, after = fingerprints(self.made()), fingerprints(self.made(limit_c=171.0))
        changed = {key.split("|")[0] for key in before if before[key] != after[key]}
        assert changed == {"body-limit"}
        after = fingerprints(self.made(self_heating_k=41.0))
        assert {key.split("|")[0] for key in before if before[key] != after[key]} == {"joint-runs-hot"}

    def test_the_step_that_heats_is_an_input(self):
        made = self.made()
        hotter = replace(made, route=route(replace(made.route.steps[0], peak_c=181.0)))
        changed = {
            key.split("|")[0] for key in fingerprints(made) if fingerprints(made)[key] != fingerprints(hotter)[key]
        }
        assert "body-limit" in changed

    def test_the_name_of_the_route_and_other_parts_are_none(self):
        made = self.made()
        with_more = replace(
            made,
            parts=[*made.parts, part(key="other", limit_c=250.0)],
            lines=[*made.lines, CaseLine(1, ("C1",))],
            route=replace(made.route, name="another name"),
        )
        assert fingerprints(with_more) == fingerprints(made)

    def test_another_process_gives_the_same(self):
        """Set and hash order differ from process to process; fingerprints must not."""
        code = (
            "from tests.checks.test_findings import TestFingerprints as T, fingerprints\n"
            "print('\\n'.join(f'{k}={v}' for k, v in sorted(fingerprints(T().made()).items())))"
        )
        command = [sys.executable, "-c", code]
        env = {"PYTHONHASHSEED": "12345", "PATH": "/usr/bin:/bin"}
        out = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, env=env, check=True).stdout
        assert out.split() == "\n".join(f"{k}={v}" for k, v in sorted(fingerprints(self.made()).items())).split()


class TestInputs:
    """``inputs`` are what the fingerprint is made of, in words."""

    def one(self, *parts, **more):
        (finding,) = found(case(*(parts or (part(limit_c=170.0),)), **more), "body-limit")
        return finding

    def test_they_name_the_step_and_the_value_with_its_source(self):
        words = self.one().inputs
        assert words["Step 1"] == "reflow, Sn42Bi58, peak 180 °C, spread 8 K, 60 s above melting"
        assert words["part: highest body temperature the maker allows"].startswith("170 °C — data sheet")

    @pytest.mark.parametrize(
        "other",
        [
            {"steps": (reflow(LOW, 182.0),)},
            {"parts": (part(limit_c=171.0),)},
            {"parts": (part("led", limit_c=170.0),)},
        ],
    )
    def test_they_change_whenever_the_fingerprint_does(self, other):
        before, after = self.one(), self.one(*other.get("parts", ()), steps=other.get("steps", ()))
        assert before.fingerprint != after.fingerprint
        assert before.inputs != after.inputs

    def test_many_parts_stand_together_by_value(self):
        (finding,) = found(case(*parts(5, declared=())), "finish-unknown")
        assert finding.inputs["Parts"] == "part-0, part-1, part-2, part-3, part-4"
        assert finding.inputs["Kind"].endswith("(5 parts)")

    def test_the_finish_of_terminals_is_not_that_of_the_board(self):
        made = case(*parts(2, declared=()))
        (before,) = found(made, "finish-unknown")
        (after,) = found(replace(made, board=replace(BOARD, finish=BoardFinish.OSP)), "finish-unknown")
        assert before.fingerprint == after.fingerprint

    def test_how_firm_a_source_is_counts_as_an_input(self):
        from_class = case(part(key="p", declared=()))
        stated = case(part(key="p", declared=(), finish=3))
        assert {f.fingerprint for f in assess(from_class).findings}.isdisjoint(
            f.fingerprint for f in assess(stated).findings if f.check == "finish-unknown"
        )


def test_findings_of_one_part_that_differ_in_verdict_have_keys_of_their_own():
    # Today's route has only the top side: on it the part is just as hot today, on the bottom it is not.
    steps = (reflow(LOW, 180.0, Side.BOTTOM), reflow(LOW, 180.0, Side.TOP))
    made = case(part(limit_c=182.0), steps=steps)
    made = replace(
        made,
        lines=[CaseLine(0, ("R1",), Side.BOTTOM, 0), CaseLine(0, ("R2",), Side.TOP, 1)],
        today=route(reflow(SAC, 180.0, Side.TOP)),
    )
    keys = [finding.key for finding in assess(made).findings]
    assert len(keys) == len(set(keys))
