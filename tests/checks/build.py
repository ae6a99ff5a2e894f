"""Cases made by hand: a few lines, two routes, everything known unless a test leaves it out."""

from dataclasses import replace

from webapp.checks.assess import assess
from webapp.checks.columns import Case, CaseLine, Columns, route_arrays
from webapp.checks.declare import registry
from webapp.checks.evaluate import evaluate
from webapp.trade.class_bounds import bounds_of
from webapp.trade.classes import PartClass
from webapp.trade.facts import Claim, Declaration, PartField, Scope, Stated, facts_of
from webapp.trade.masks import BoardFinish, Mounting
from webapp.trade.parts import PartGuess
from webapp.trade.ranges import Span
from webapp.trade.route import Route, Side, Step, StepKind
from webapp.trade.setup import Board, Environment
from webapp.trade.sources import Kind, Source, Status

SAC, LOW = "Sn96.5Ag3.0Cu0.5", "Sn42Bi58"
SHEET = Source(Kind.DATASHEET, "data sheet", Status.OPENED)
LEAD_FREE = Declaration(Claim.LEAD_FREE, Scope.SITE, "supplier declaration")
BOARD = Board(thickness_mm=1.6, finish=BoardFinish.ENIG)
# 40 + 5 °C: far from any limit of a tin-bismuth joint.
ENVIRONMENT = Environment(t_min_c=0.0, t_max_c=40.0, board_heating_k=5.0)


def part(classes="chip_resistor", *, key="part", declared=(LEAD_FREE,), **stated):
    """A part of these classes; numbers, (low, high) pairs or keys of masks stated from a data sheet."""
    kinds = PartClass.from_keys(classes)
    values = {PartField(name): Stated(_value(value), SHEET) for name, value in stated.items()}
    guess = PartGuess(kinds, "by hand", Mounting.everything(), bounds_of(kinds).joints)
    return facts_of(key=key, label=key, maker="kelvarn", guess=guess, stated=values, declarations=declared)


def _value(value):
    if isinstance(value, tuple):
        return Span(*map(float, value))
    return Span.exactly(float(value)) if isinstance(value, float) else int(value)


def reflow(alloy=LOW, peak_c=180.0, side=None, *, spread_k=8.0, above_melting_s=60.0):
    return Step(StepKind.REFLOW, "", side, alloy, peak_c, spread_k, above_melting_s)


def route(*steps, name="low temperature"):
    return Route(name, steps or (reflow(),))


TODAY = route(reflow(SAC, 245.0), name="today")


def case(*parts, steps=(), sides=(), board=BOARD, environment=ENVIRONMENT, today=TODAY):
    """One line a part, two places each; ``sides`` by line, not known where not given."""
    parts = parts or (part(),)
    known = [*sides, *[None] * (len(parts) - len(sides))]
    lines = [
        CaseLine(i, (f"X{2 * i + 1}", f"X{2 * i + 2}"), Side(side) if side else None) for i, side in enumerate(known)
    ]
    return Case(lines, list(parts), board, environment, route(*steps), today)


def elements(check, made):
    """The check's elements on the candidate route of the case."""
    columns = Columns(made)
    return evaluate(registry()[check], columns, route_arrays(columns, made.route))


def verdicts(check, made):
    """The check's verdicts, one an element."""
    return [int(code) for code in elements(check, made).verdict]


def found(made, check):
    """The findings of one check."""
    return [finding for finding in assess(made).findings if finding.check == check]


def with_environment(**values):
    return replace(ENVIRONMENT, **values)
