"""Plastics. Melting points from memory of polymer handbooks: PBT 223 °C, PET 250, PA66 255, LCP 280 and more."""

import pytest

from webapp.trade.classes import PartClass
from webapp.trade.facts import Claim, Declaration, PartField, Scope, Stated, facts_of
from webapp.trade.part_evidence import PartTexts
from webapp.trade.part_plastics import plastic_in
from webapp.trade.parts import guess_part
from webapp.trade.ranges import Span
from webapp.trade.sources import Kind, Source, Status


def known(description, prefix, stated=(), declarations=()):
    guess = guess_part(PartTexts(description=description, prefix=prefix))
    return facts_of(key="k", label="", maker="", guess=guess, stated=dict(stated), declarations=declarations)


@pytest.mark.parametrize(
    ("description", "prefix", "limit_c"),
    [
        ("Connector 10 pos SMD, LCP", "J", Span(245, 260)),
        ("Connector 10 pos SMD, nylon 6T", "J", Span(245, 260)),
        ("Header 10 pos, through hole, PA9T", "J", Span(245, 260)),
        ("Connector SMD, high-temperature thermoplastic", "J", Span(245, 260)),
        # no body stands more than its plastic melts at
        ("Connector 10 pos SMD, PBT", "J", Span(200, 223)),
        ("Header 10 pos, through hole, PBT", "J", Span(105, 223)),
        ("Connector 10 pos SMD, nylon 66", "J", Span(200, 255)),
        # thermoplastic alone, and two plastics that differ, say nothing
        ("Connector 10 pos SMD, thermoplastic", "J", Span(200, 260)),
        ("Connector 10 pos SMD, LCP, cap PBT", "J", Span(200, 260)),
        # the film decides the same way
        ("Film capacitor PPS SMD", "C", Span(245, 260)),
        ("Film capacitor PEN SMD", "C", Span(230, 250)),
        ("Film capacitor PET SMD", "C", Span(215, 235)),
        ("Polyester film capacitor, axial", "C", Span(105, 160)),
    ],
)
def test_the_plastic_decides_what_the_body_stands(description, prefix, limit_c):
    assert known(description, prefix).limit_c == limit_c


def test_it_is_named_as_the_source_and_only_asks_for_proof():
    source = known("Connector 10 pos SMD, PBT", "J").source("limit_c")
    assert source.reference == "plastics of connectors, common practice"
    assert "223 °C" in source.note
    assert not source.may_block


def test_a_declaration_over_many_parts_does_not_lift_a_body_above_the_melting_of_its_plastic():
    over_all = Declaration(Claim.LIMIT_AT_LEAST, Scope.SITE, "letter", number=260)
    assert known("Connector 10 pos SMD, PBT", "J", declarations=[over_all]).limit_c == Span(200, 223)
    assert known("Connector 10 pos SMD", "J", declarations=[over_all]).limit_c == Span(260, 260)


def test_another_kind_and_a_stated_limit_go_before_the_words():
    sheet = Source(Kind.DATASHEET, "sheet", Status.OPENED)
    another = {PartField.CLASSES: Stated(int(PartClass.RELAY_SMD), sheet)}
    assert known("Connector 10 pos SMD, PBT", "J", another).limit_c == Span(235, 260)
    stated = {PartField.LIMIT_C: Stated(Span(240, 240), sheet)}
    assert known("Connector 10 pos SMD, PBT", "J", stated).limit_c == Span(240, 240)


@pytest.mark.parametrize("text", ["5 pct", "PETITE", "LCPX", "PA 6/6", "pbt"])
def test_what_is_no_plastic(text):
    assert plastic_in(text, PartClass.CONNECTOR) is None


def test_other_parts_are_not_judged_by_the_plastic_in_their_words():
    assert plastic_in("LCP", PartClass.SWITCH_SMD) is None
    assert plastic_in("LCP", PartClass.CONNECTOR | PartClass.METAL_SMD) is None
