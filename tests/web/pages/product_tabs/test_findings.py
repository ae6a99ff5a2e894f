import csv
import io
import re
from dataclasses import replace

import pytest
from python_calamine import CalamineWorkbook
from sqlalchemy import event
from sqlmodel import select

from tests.web.pages.product_tabs.conftest import FLEX, GATEWAY
from tests.web.pages.wizard import plain
from webapp.checks.explained import NOT_LOOKED_AT
from webapp.desk import assessing, parts, routes, staleness
from webapp.desk.parts import ValueSource
from webapp.store import product_reads
from webapp.store.parts import PartRow
from webapp.store.products import ProductRow
from webapp.trade.facts import PartField
from webapp.trade.people import Role
from webapp.trade.route import Step, StepKind
from webapp.trade.sources import Kind

FINDINGS = "/products/GW-7/findings"


def csv_rows(answer):
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"), newline="")))


def changed_part(page):
    """The text between the head of what changes and the parts below."""
    return plain(page).split("What the conversion changes")[1].split("What was checked")[0]


class TestList:
    def test_how_it_stands_and_what_is_next(self, gateway):
        text = plain(gateway.get(FINDINGS))
        assert "Findings · revision 1 on the route “low temperature”" in text
        assert re.search(r"\d+ findings that the conversion changes; \d+ more are the same today\.", text)
        assert re.search(r"Placements with nothing open \d+ %", text)
        assert "Next:" in text

    def test_sentence_figures_and_where_to_enter_what_is_missing(self, gateway):
        page = gateway.get(FINDINGS)
        text = changed_part(page)
        # The coldest joint of the pass reaches 172 °C; with the least paste the joint would melt through at 217 °C.
        assert "At 172 °C" in text
        assert "would melt through from 217 °C" in text
        assert "172 217 −45" in text
        assert "Not known: board finish. Enter it under Setup" in text
        assert 'href="/products/GW-7/setup#f-finish"' in page.text
        assert "Clears it:" in text

    def test_what_is_the_same_today_is_counted_and_shown_on_demand(self, make, engineer):
        # Nobody knows whether this connector may go through an oven; it does today, and will.
        make(bom=GATEWAY + FLEX)
        gateway = engineer
        hidden = gateway.get(FINDINGS)
        same = int(re.search(r"(\d+) more are the same today", plain(hidden))[1])
        assert same > 0
        assert "They stand as they do today" not in plain(hidden)
        shown = gateway.get(f"{FINDINGS}?same=show")
        assert "They stand as they do today, converted or not." in plain(shown)
        link = 'href="/products/GW-7/findings/'
        assert shown.text.count(link) - hidden.text.count(link) == same

    def test_what_blocks_today_as_well_comes_first(self, gateway, database, add_person):
        # 150 °C is below the body of both routes: 180 and 245 °C.
        setter = add_person(Role.ENGINEER, login="setter")
        with database.command() as session:
            part_id = session.exec(select(PartRow.id).where(PartRow.label == "GR-103-F")).one()
            parts.state_value(session, setter, part_id, PartField.LIMIT_C, "150", ValueSource(Kind.ENTERED))
            product_id = session.exec(select(ProductRow.id)).one()
        assessing.reassess(database, product_id)
        page = gateway.get(FINDINGS)
        text = plain(page)
        assert "Next: settle what blocks, today as well" in text
        assert "The same today 1 blocks today as well: it stands in the way" in text
        assert 'href="/products/GW-7/findings?verdict=blocks&amp;same=show"' in page.text

    def test_what_a_step_lacks_is_named_with_where_to_enter_it(self, gateway, database, add_person):
        setter = add_person(Role.ENGINEER, login="setter")
        with database.command() as session:
            product_id = session.exec(select(ProductRow.id)).one()
            made = routes.routes_of(session, product_id)[1]
            steps = (*made.route.steps, Step(StepKind.SELECTIVE, alloy=made.route.steps[0].alloy, peak_c=260.0))
            routes.save_route(session, setter, product_id, replace(made.route, steps=steps), route_id=made.id)
        assessing.reassess(database, product_id)
        text = plain(gateway.get(FINDINGS))
        assert "joints made before it get is not given" in text
        assert "Enter it at the step" in text

    def test_todays_route_shows_what_is_wrong_with_it(self, gateway):
        text = plain(gateway.get(f"{FINDINGS}?case=today"))
        assert "Wrong on today's route" in text
        assert "The same today" not in text

    def test_filters(self, gateway):
        assert (
            "board-finish"
            not in gateway.get(f"{FINDINGS}?check=ball-mixing").text.split("What was checked")[0].split("</form>")[-1]
        )
        assert "U1" in changed_part(gateway.get(f"{FINDINGS}?q=u1"))
        assert "None of them." in changed_part(gateway.get(f"{FINDINGS}?q=zzz"))
        only = changed_part(gateway.get(f"{FINDINGS}?missing=finish"))
        assert "board finish" in only
        assert "The balls melt" not in only
        gain = changed_part(gateway.get(f"{FINDINGS}?verdict=gain"))
        assert "prove" not in gain.split("Show")[0]

    @pytest.mark.parametrize(
        ("query", "sentence"),
        [
            ("verdict=odd", "is no verdict; there are: all, blocks,"),
            ("check=odd", "is no check; there are:"),
            ("missing=odd", "is no datum that can be missing; there are:"),
            ("by=odd", "is no way to group findings; there are: check, part."),
            ("same=odd", "there are: hide, show."),
            ("format=pdf", "is no format; there are: page, csv, xlsx."),
        ],
    )
    def test_unknown_views_are_refused_with_a_sentence(self, gateway, query, sentence):
        answer = gateway.get(f"{FINDINGS}?{query}")
        assert answer.status_code == 400
        assert sentence in plain(answer)

    def test_an_unknown_case_names_those_there_are(self, gateway):
        answer = gateway.get(f"{FINDINGS}?case=hot")
        assert answer.status_code == 404
        assert 'there are: "today", "low temperature"' in plain(answer)

    def test_grouped_by_part(self, gateway):
        text = changed_part(gateway.get(f"{FINDINGS}?by=part"))
        assert "MQ-6410-BG" in text
        assert "172 °C 217 °C −45 K" in text

    def test_a_caution_stands_once(self, gateway):
        page = gateway.get(f"{FINDINGS}?same=show")
        assert plain(page).count("Cells and batteries can vent or burn") <= 1

    def test_without_a_route_it_says_how_to_get_one(self, bare, sign_in):
        page = bare.get("/products/GW-1/findings")
        assert "Not assessed: no route yet." in plain(page)
        assert 'href="/products/GW-1/route"' in page.text.split("<h1")[1].split("</header>")[0]
        other = sign_in(Role.MANAGER).get("/products/GW-1/findings")
        assert "Set up the route" not in plain(other)

    def test_what_was_checked_is_told_with_how_much_is_fine(self, gateway):
        text = plain(gateway.get(FINDINGS)).split("What was checked")[1]
        assert re.search(r"Joints form at the peak .*? 0 2 ", text)

    def test_what_no_check_looks_at_is_said(self, gateway):
        for address in (FINDINGS, "/help/checks"):
            text = plain(gateway.get(address)).split("Not looked at")[1]
            assert all(subject in text for subject in NOT_LOOKED_AT)

    def test_a_change_elsewhere_is_marked(self, gateway, database):
        with database.command() as session:
            product = product_reads.product_by_code(session, "GW-7")
            staleness.product_changed(session, product.id)
        assert "Being re-assessed" in plain(gateway.get(FINDINGS))

    def test_everybody_signed_in_may_look(self, gateway, sign_in):
        assert sign_in(Role.REVIEWER).get(FINDINGS).status_code == 200


def test_many_parts_are_named_in_part_and_stand_on_the_finding_page_by_page(make, engineer):
    # Without a declaration lead is open for every part: one finding.
    rows = "".join(f'R{i},1,GR-{i:03}-Z,Ostrava Caps,{i}k,0402,"Resistor, 1 %"\n' for i in range(10, 120))
    make(bom=GATEWAY + rows.encode())
    page = engineer.get(f"{FINDINGS}?check=finish-unknown")
    count, href = re.search(r'href="(/products/GW-7/findings/\d+)#parts">all (\d+)', page.text).group(2, 1)
    assert int(count) > 100
    first, second = engineer.get(href), engineer.get(f"{href}?page=2")
    assert f"1–100 of {count}" in plain(first)
    shown = [len(re.findall(r'<th scope="row"><a href="/parts/', answer.text)) for answer in (first, second)]
    assert shown == [100, int(count) - 100]


class TestTakingAway:
    def test_csv_is_what_is_shown(self, make, engineer):
        make(bom=GATEWAY + FLEX)
        gateway = engineer
        rows = csv_rows(gateway.get(f"{FINDINGS}?check=ball-mixing&format=csv"))
        assert [(row["Verdict"], row["Designators"], row["Margin"], row["Unit of the margin"]) for row in rows] == [
            ("prove", "U1", "-45.0", "K")
        ]
        every = csv_rows(gateway.get(f"{FINDINGS}?same=show&format=csv"))
        assert {row["The same today"] for row in every} == {"yes", "no"}
        assert {row["The same today"] for row in csv_rows(gateway.get(f"{FINDINGS}?format=csv"))} == {"no"}

    def test_xlsx_reads_back(self, gateway):
        answer = gateway.get(f"{FINDINGS}?same=show&format=xlsx")
        sheet = CalamineWorkbook.from_filelike(io.BytesIO(answer.content)).get_sheet_by_index(0).to_python()
        assert len(sheet) - 1 == len(csv_rows(gateway.get(f"{FINDINGS}?same=show&format=csv")))

    def test_formulas_are_harmless(self, make, engineer):
        make(bom=GATEWAY.replace(b"MQ-6410-BG", b"=1+1"))
        rows = csv_rows(engineer.get(f"{FINDINGS}?check=ball-mixing&format=csv"))
        assert [row["Parts"] for row in rows] == ["'=1+1"]


def test_the_number_of_queries_does_not_grow_with_the_parts(make, engineer, database):
    """One query for all parts of all findings: a long list costs as many as a short one."""
    make()
    rows = "".join(f'U{i},1,MQ-{i},Brindmoor,,"BGA-324, 0.8 mm",Processor\n' for i in range(2, 40))
    make("GW-8", bom=GATEWAY + rows.encode())
    counts = {}
    for code in ("GW-7", "GW-8"):
        seen: list[str] = []

        def listen(*args, seen=seen):
            seen.append(args[2])

        event.listen(database.engine, "before_cursor_execute", listen)
        try:
            assert engineer.get(f"/products/{code}/findings?same=show").status_code == 200
        finally:
            event.remove(database.engine, "before_cursor_execute", listen)
        counts[code] = len(seen)
    assert counts["GW-8"] == counts["GW-7"]
