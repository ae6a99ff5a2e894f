"""The tables of standards against published values.

Beside each check: the document, the clause, and how the value was seen - "read" in documents that quote the standard
(the standards themselves were not at hand), or "memory". A value from memory here guards against slips of the pen,
it proves nothing; the table must then say so itself, which the tests check too.
"""

import math

import pytest

from webapp.trade.finishes import board_finish_codes, finish_categories
from webapp.trade.masks import BoardFinish, Finish, Msl
from webapp.trade.moisture import (
    Process,
    classification_temperature_c,
    derated_floor_life,
    dryings,
    floor_life_h,
    floor_life_source,
    matching_cells,
    profile_limits,
)
from webapp.trade.pastes import powders
from webapp.trade.practice import practice_figure, stencil_rule, warpage_limits
from webapp.trade.ranges import Span
from webapp.trade.sources import Status

THIN, MIDDLE, THICK = 1.2, 2.0, 3.0
SMALL, MEDIUM, LARGE = 200.0, 1000.0, 3000.0


@pytest.mark.parametrize(
    ("thickness", "volume", "limit"),
    [  # J-STD-020 Table 4-2, lead-free, revisions C to E: read in two documents that agree
        (THIN, SMALL, 260),
        (THIN, MEDIUM, 260),
        (THIN, LARGE, 260),
        (MIDDLE, SMALL, 260),
        (MIDDLE, MEDIUM, 250),
        (MIDDLE, LARGE, 245),
        (THICK, SMALL, 250),
        (THICK, MEDIUM, 245),
        (THICK, LARGE, 245),
        # boundaries as the columns print them: "< 1.6", "1.6 - 2.5", "350 - 2000"; 2.5 taken as the thicker row
        (1.6, MEDIUM, 250),
        (2.5, SMALL, 250),
        (MIDDLE, 350, 250),
        (MIDDLE, 2000, 250),
    ],
)
def test_lead_free_classification_temperature(thickness: float, volume: float, limit: float) -> None:
    at = (Span.exactly(thickness), Span.exactly(volume))
    assert classification_temperature_c(*at) == Span.exactly(limit)
    assert {cell.source.status for cell in matching_cells(*at)} == {Status.OPENED}


@pytest.mark.parametrize(
    ("thickness", "volume", "rev_c", "rev_e"),
    [  # J-STD-020 Table 4-1, tin-lead: revision C read; D and E: the range 220 to 235 read, the cells from memory
        (THIN, SMALL, 240, 235),
        (THIN, MEDIUM, 225, 220),
        (THICK, SMALL, 225, 220),
        (THICK, MEDIUM, 225, 220),
    ],
)
def test_tin_lead_classification_temperature(thickness: float, volume: float, rev_c: float, rev_e: float) -> None:
    at = (Span.exactly(thickness), Span.exactly(volume), Process.TIN_LEAD)
    assert classification_temperature_c(*at, revision="C") == Span.exactly(rev_c)
    assert classification_temperature_c(*at) == Span.exactly(rev_e)
    assert {cell.source.status for cell in matching_cells(*at)} == {Status.MEMORY}
    assert {cell.source.status for cell in matching_cells(*at, revision="C")} == {Status.OPENED}


def test_floor_life() -> None:
    # J-STD-020 Table 5-1: read in several documents; 1 year and 4 weeks in hours
    hours = {"1": math.inf, "2": 365 * 24, "2a": 4 * 7 * 24, "3": 168, "4": 72, "5": 48, "5a": 24}
    for level, expected in hours.items():
        member = Msl.from_level(level)
        assert floor_life_h(member) == Span.exactly(expected)
        assert floor_life_source(member).status is Status.OPENED


def test_every_thick_body_level_keeps_its_floor_life_at_the_reference_ambient() -> None:
    # J-STD-033 Table 7-1 at 30 °C and 60 % RH: 28, 7, 3, 2, 1 days for 2a to 5a; read for bodies of 3.1 mm and more
    for level, days in {"2a": 28, "3": 7, "4": 3, "5": 2, "5a": 1}.items():
        found = derated_floor_life(Msl.from_level(level), Span.exactly(3.5), 60, 30)
        assert found is not None
        assert found.hours == Span.exactly(days * 24)
        assert {source.status for source in found.sources} == {Status.OPENED}


def test_thin_bodies_are_marked_unverified() -> None:
    # J-STD-033 Table 7-1, bodies under 3.1 mm: memory, low confidence
    found = derated_floor_life(Msl.L3, Span.exactly(1.0), 60, 30)
    assert found is not None
    assert {source.status for source in found.sources} == {Status.MEMORY}


@pytest.mark.parametrize(
    ("level", "thickness", "bake_c", "over", "within", "status"),
    [  # J-STD-033 Table 4-1: read in a page reproducing the first issue; B to D agree except where noted
        ("3", 1.2, 125, 9, 7, Status.OPENED),
        ("3", 1.2, 90, 33, 23, Status.OPENED),
        ("3", 1.2, 40, 13 * 24, 9 * 24, Status.OPENED),
        ("4", 1.8, 125, 34, 20, Status.OPENED),
        ("5", 1.8, 40, 57 * 24, 35 * 24, Status.OPENED),
        ("2a", 1.2, 125, 7, 5, Status.MEMORY),  # the first issue prints 5 and 3 h
        ("3", 3.0, 125, 48, 48, Status.MEMORY),
        ("5a", 1.8, 125, 48, 40, Status.MEMORY),
    ],
)
def test_bakes(level: str, thickness: float, bake_c: float, over: float, within: float, status: Status) -> None:
    found = [
        item
        for item in dryings(Msl.from_level(level), Span.exactly(thickness))
        if item.bake_c == bake_c and not item.scope
    ]
    assert [(item.over_72h_h, item.within_72h_h, item.source.status) for item in found] == [(over, within, status)]


def test_profile_limits() -> None:
    # J-STD-020 Table 5-2: read; preheat and time at peak as in revisions D and E
    lead_free = {name: span for name, (span, _) in profile_limits(Process.LEAD_FREE).items()}
    assert lead_free == {
        "preheat_from_c": Span.exactly(150),
        "preheat_to_c": Span.exactly(200),
        "preheat_s": Span(60, 120),
        "ramp_up_k_per_s": Span.exactly(3),
        "liquidus_c": Span.exactly(217),
        "above_liquidus_s": Span(60, 150),
        "within_5k_of_limit_s": Span.exactly(30),
        "ramp_down_k_per_s": Span.exactly(6),
        "start_to_peak_min": Span.exactly(8),
        "passes": Span.exactly(3),
    }
    tin_lead = profile_limits(Process.TIN_LEAD)
    assert tin_lead["liquidus_c"][0] == Span.exactly(183)
    assert tin_lead["start_to_peak_min"][0] == Span.exactly(6)


@pytest.mark.parametrize(
    ("number", "low", "high", "status"),
    [  # J-STD-005A Table 3-2, main range: types 3 to 7 read, 1, 2 and 8 from memory
        (1, 75, 150, Status.MEMORY),
        (2, 45, 75, Status.MEMORY),
        (3, 25, 45, Status.OPENED),
        (4, 20, 38, Status.OPENED),
        (5, 15, 25, Status.OPENED),
        (6, 5, 15, Status.OPENED),
        (7, 2, 11, Status.OPENED),
        (8, 2, 8, Status.MEMORY),
    ],
)
def test_powder_types(number: int, low: float, high: float, status: Status) -> None:
    powder = powders()[number]
    assert (powder.size_um, powder.source.status) == (Span(low, high), status)
    assert powder.smallest_opening_um == 5 * high  # rule of five particles, IPC-7525, read


@pytest.mark.parametrize(
    ("finish", "word"),
    [  # J-STD-609 categories, current wording: read in one distributor's note
        (Finish.E0, "lead"),
        (Finish.E1, "more than 1.5 % silver"),
        (Finish.E2, "without bismuth or zinc"),
        (Finish.E3, "tin"),
        (Finish.E4, "precious metal without tin"),
        (Finish.E5, "tin-zinc"),
        (Finish.E6, "contains bismuth"),
        (Finish.E7, "indium"),
        (Finish.E8, "at most 1.5 % silver"),
        (Finish.E9, "unassigned"),
    ],
)
def test_terminal_finish_categories(finish: Finish, word: str) -> None:
    category = finish_categories()[finish]
    assert word in category.meaning
    assert category.source.status is Status.OPENED


def test_board_finish_codes() -> None:
    # J-STD-609 b-codes: memory
    codes = {finish: code for finish, (code, _) in board_finish_codes().items()}
    assert codes[BoardFinish.HASL_LEAD] == "b0"
    assert codes[BoardFinish.HASL_LEAD_FREE] == "b1"
    assert codes[BoardFinish.OSP] == "b6"
    assert codes.keys() == set(BoardFinish)
    assert {source.status for _, source in board_finish_codes().values()} == {Status.MEMORY}


def test_warpage_limits() -> None:
    # JEITA ED-7306 (1.0 and 0.8 mm), JEDEC (0.8 mm), a proposal of 2017: read; other pitches from memory
    read = {
        (limit.pitch_mm, limit.convex_mm, limit.concave_mm)
        for limit in warpage_limits()
        if limit.source.status is Status.OPENED
    }
    assert read == {
        (1.0, 0.22, -0.22),
        (0.8, 0.17, -0.17),
        (0.8, 0.23, -0.14),
        (1.0, 0.09, -0.09),
        (0.8, 0.09, -0.09),
    }
    assert {limit.pitch_mm for limit in warpage_limits() if limit.source.status is Status.MEMORY} == {
        1.27,
        0.65,
        0.5,
        0.4,
    }


def test_stencil_rules_and_practice() -> None:
    # IPC-7525: read. 30 g per square inch of wetted pad, in mg/mm2: 30 000 / 25.4**2
    assert stencil_rule("area_ratio_min").value == 0.66
    assert stencil_rule("aspect_ratio_min").value == 1.5
    assert practice_figure("second_side_mass_per_area").value == pytest.approx(30_000 / 25.4**2, abs=0.05)
    assert practice_figure("cumulative_bake_h").value == 48
    # EN 61760-1:2006, figure of the wave profile: read
    assert practice_figure("wave_contact_s").value == 10
    # Moon et al. 2001, abstract: 95.3 ± 0.5 °C measured, shown as 95
    assert practice_figure("lead_onset_c").value == 95
