"""Data wanted as arrays, against the same worked out one by one."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from webapp.desk.wanted_findings import CaseLacks, Lack
from webapp.desk.wanted_table import CLAIMS, Kind, table_of

NEEDS = ("finish", "limit_c", "oven", "position")
MEMBERS = st.lists(
    st.tuples(st.integers(1, 6), st.integers(0, 9), st.integers(0, 9)), max_size=4, unique_by=lambda member: member[0]
)
FINDINGS = st.lists(st.tuples(st.sampled_from("ABC"), st.sampled_from(NEEDS), st.integers(0, 99), MEMBERS), max_size=12)


def made_of(findings):
    """The table of findings given as (product, datum, placements, members), each in a case of its own."""
    cases = [
        (
            code,
            CaseLacks(
                [Lack(need, f"the {need}", placed, sum(free for _, _, free in members), len(members))],
                np.array(members, dtype=np.int64).reshape(-1, 3),
            ),
        )
        for code, need, placed, members in findings
    ]
    return table_of(cases)


def rows_of(table):
    """The rows in words: (kind, part, datum, placements, freed, parts, products)."""
    return [
        (
            Kind(int(table.kind[i])),
            int(table.part[i]),
            table.needs[table.need[i]],
            int(table.placements[i]),
            int(table.freed[i]),
            int(table.parts[i]),
            tuple(table.codes[place] for place in table.products[table.first[i] : table.last[i]]),
        )
        for i in range(len(table))
    ]


def one_by_one(findings):
    """The same by loops: of several findings of a product the most, summed over products."""
    counts, sizes = {}, {}
    for code, need, placed, members in findings:
        total = (placed, sum(free for _, _, free in members))
        is_of_parts = need != "position" and bool(members)
        keys = [((Kind.PART, part, need), (some, free), 1) for part, some, free in members if is_of_parts]
        if not is_of_parts:
            keys.append(((Kind.PRODUCT, code, need), total, len(members)))
        elif len(members) > 1 and need in CLAIMS:
            keys.append(((Kind.DECLARATION, code, need), total, len(members)))
        for key, values, size in keys:
            before = counts.setdefault(key, {}).get(code, (0, 0))
            counts[key][code] = tuple(map(max, before, values))
            sizes[key] = max(sizes.get(key, 0), size)
    return {
        (
            kind,
            of if kind is Kind.PART else 0,
            need,
            sum(some for some, _ in by.values()),
            sum(free for _, free in by.values()),
            sizes[kind, of, need],
            tuple(sorted(by)),
        )
        for (kind, of, need), by in counts.items()
    }


@given(FINDINGS)
def test_arrays_and_loops_agree(findings):
    rows = rows_of(made_of(findings))
    assert len(rows) == len(set(rows))
    assert set(rows) == one_by_one(findings)


@given(FINDINGS)
def test_what_frees_most_stands_first(findings):
    for table in (made_of(findings), made_of(findings).few()):
        ranks = [(-row[4], -row[3]) for row in rows_of(table)]
        assert ranks == sorted(ranks)


@given(FINDINGS)
def test_of_the_few_each_declaration_stands_once_and_covers_its_parts(findings):
    table = made_of(findings)
    few = rows_of(table.few())
    claims = [row for row in rows_of(table) if row[0] is Kind.DECLARATION]
    for need in {row[2] for row in claims}:
        (joined,) = [row for row in few if row[0] is Kind.DECLARATION and row[2] == need]
        of_need = [row for row in claims if row[2] == need]
        assert joined[3:5] == (sum(row[3] for row in of_need), sum(row[4] for row in of_need))
        assert joined[6] == tuple(sorted(row[6][0] for row in of_need))
    declared = {(row[2], row[6][0]) for row in claims}
    left = {row[1:3] for row in few if row[0] is Kind.PART}
    for _, part, need, *_, products in (row for row in rows_of(table) if row[0] is Kind.PART):
        assert ((part, need) in left) == any((need, code) not in declared for code in products)


def test_nothing_missing_is_an_empty_table():
    table = made_of([])
    assert (len(table), len(table.few()), len(table.of(Kind.PART))) == (0, 0, 0)
    assert table.few().placements.dtype == np.int64
