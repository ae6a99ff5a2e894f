"""The tab *Findings*: what the conversion changes, what it leaves as it is today, what was checked and is fine."""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from webapp.checks.declare import Check, registry
from webapp.checks.explained import NOT_LOOKED_AT
from webapp.desk import cases, sheets
from webapp.desk.cases import CaseEntry
from webapp.store.finding_reads import FindingBrief, briefs_of, findings_by_id, texts_of
from webapp.trade.people import Role
from webapp.web.deps import CurrentPerson, Reads
from webapp.web.downloads import Format
from webapp.web.lists import as_file, paged
from webapp.web.numbers import PageNumber
from webapp.web.pages.product_tabs.common import Shown, echo_of, load_product
from webapp.web.pages.product_tabs.finding_view import FindingEntry, finding_entries
from webapp.web.paging import PAGE_SIZE, UnknownViewError, View, Window, chosen
from webapp.web.product_tabs import Tab
from webapp.web.rendering import render
from webapp.web.wording import plural

router = APIRouter(prefix="/products")

MOST_PARTS = 60
"""So many parts of one finding are named in the list; its own page has them all."""
VERDICTS = ("blocks", "change", "prove", "gain")
HEAD = (
    "Verdict", "Check", "Finding", "Parts", "Designators", "Placements", "Step", "Value", "Limit", "Unit", "Margin",
    "Unit of the margin", "Not known", "What clears it", "Caution", "The same today", "Sources",
)  # fmt: skip


class Verdicts(StrEnum):
    """Which verdicts are shown."""

    ALL = "all"
    BLOCKS = "blocks"
    CHANGE = "change"
    PROVE = "prove"
    GAIN = "gain"


class Same(StrEnum):
    """Whether what is the same today stands below the rest."""

    HIDE = "hide"
    SHOW = "show"


class By(StrEnum):
    """What the findings are grouped by."""

    CHECK = "check"
    PART = "part"


VERDICT_NAMES = {
    Verdicts.ALL: "All verdicts",
    Verdicts.BLOCKS: "Blocks",
    Verdicts.CHANGE: "Change",
    Verdicts.PROVE: "Prove",
    Verdicts.GAIN: "Gain",
}
BY_NAMES = {By.CHECK: "by check", By.PART: "by part"}


@dataclass(frozen=True, slots=True)
class Asked:
    """What an address asks to see of the findings: "" for everything."""

    case: str = ""
    verdict: Verdicts = Verdicts.ALL
    check: str = ""
    missing: str = ""
    search: str = ""
    by: By = By.CHECK
    same: Same = Same.HIDE
    page: int = 1

    @property
    def is_filtered(self) -> bool:
        """Whether anything is left out but what is the same today."""
        return self.verdict is not Verdicts.ALL or bool(self.check or self.missing or self.search)

    def view(self, path: str) -> View:
        """The address again."""
        query: dict[str, str | int] = {
            "case": self.case,
            "verdict": self.verdict,
            "check": self.check,
            "missing": self.missing,
            "q": self.search,
            "by": self.by,
            "same": self.same,
            "page": self.page,
        }
        return View(path, query, {"verdict": Verdicts.ALL, "by": By.CHECK, "same": Same.HIDE, "page": 1})

    def takes(self, row: FindingBrief) -> bool:
        """Whether a finding passes the filters but the search."""
        return (
            self.verdict in (Verdicts.ALL, row.verdict)
            and self.check in ("", row.check)
            and self.missing in ("", row.need)
        )


@dataclass(frozen=True, slots=True)
class Group:
    """Findings under one head. ``unit`` and ``margin_unit`` hold for all of them when the head is a check, else None:
    then every value carries its own."""

    title: str
    check: Check | None
    unit: str | None
    margin_unit: str | None
    entries: list[FindingEntry]


@dataclass(frozen=True, slots=True)
class Found:
    """The findings of a case that pass the filters: what the conversion changes, and what is the same today."""

    changed: list[FindingBrief]
    same: list[FindingBrief]

    def listed(self, asked: Asked) -> list[int]:
        """The ids of what is shown: what is the same today only if asked for."""
        rows = [*self.changed, *self.same] if asked.same is Same.SHOW else self.changed
        return [row.id for row in rows]


@dataclass(frozen=True, slots=True)
class Checked:
    """What one check found on the case: findings, and elements (parts, steps) that are fine."""

    check: Check
    findings: int
    fine: int


@router.get("/{code:path}/findings", response_class=HTMLResponse)
def findings_page(
    request: Request,
    person: CurrentPerson,
    reads: Reads,
    code: str,
    case: str = "",
    verdict: str = "all",
    check: str = "",
    missing: str = "",
    q: str = "",
    by: str = "check",
    same: str = "hide",
    page: PageNumber = 1,
    form: Annotated[str, Query(alias="format")] = "page",
    done: str = "",
) -> Response:
    """The findings of a case, the first candidate's unless asked otherwise: a page, or a table to take away."""
    asked = Asked(
        " ".join(case.split()),
        chosen(Verdicts, verdict or Verdicts.ALL, "verdict"),
        _known(check, registry(), "check"),
        _known(missing, _needs(), "datum that can be missing"),
        " ".join(q.split()),
        chosen(By, by, "way to group findings"),
        chosen(Same, same, "word here"),
        page,
    )
    asked.view("").refuse_others(request.query_params, "format", "done", "was", "typed")
    kind = chosen(Format, form, "format")
    with reads() as session:
        shown = load_product(session, code)
        if not shown.cases:
            context = {**shown.context(Tab.FINDINGS), "is_editor": person.has(Role.ENGINEER)}
            return render(request, "findings/none.html", context)
        entry = cases.find_case(session, shown.id, asked.case)
        every = briefs_of(session, entry.id)
        found = _found(session, entry, every, asked)
        if kind is Format.PAGE:
            return _page(request, session, shown, entry, every, found, asked, done)
        rows = findings_by_id(session, found.listed(asked))
        table = [_values(listed) for listed in finding_entries(session, shown, entry, rows)]
        return as_file(kind, f"{shown.product.code.replace('/', '-')}_findings_{entry.name}", HEAD, table)


def _known(text: str, words: Iterable[str], what: str) -> str:
    if text and text not in words:
        raise UnknownViewError(f'"{text[:40]}" is no {what}; there are: {", ".join(words)}.')
    return text


def _needs() -> dict[str, str]:
    """Key -> words of every datum that may be missing."""
    return {need.name: need.datum for check in registry().values() for need in check.needs}


def _found(session: Session, entry: CaseEntry, every: Sequence[FindingBrief], asked: Asked) -> Found:
    taken = [row for row in every if asked.takes(row)]
    if asked.search:
        holding = _holding(session, entry.id, asked.search.casefold())
        taken = [row for row in taken if row.id in holding]
    # Against itself all of today's route is the same; what is wrong with it is what its own page is for.
    if entry.is_today:
        return Found(taken, [])
    return Found([row for row in taken if not row.same_as_today], [row for row in taken if row.same_as_today])


def _holding(session: Session, case_id: int, text: str) -> set[int]:
    """The findings in whose words ``text`` stands."""
    titles = {check.id: check.title for check in registry().values()}
    return {
        finding_id
        for finding_id, check, words in texts_of(session, case_id)
        if text in "\n".join((titles.get(check, ""), *words)).casefold()
    }


def _page(
    request: Request,
    session: Session,
    shown: Shown,
    entry: CaseEntry,
    every: Sequence[FindingBrief],
    found: Found,
    asked: Asked,
    done: str,
) -> HTMLResponse:
    listed = found.listed(asked)
    window = Window.at(asked.page, len(listed))
    rows = findings_by_id(session, listed[window.offset : window.offset + PAGE_SIZE])
    entries = finding_entries(session, shown, entry, rows, most_parts=MOST_PARTS)
    groups = _by_check if asked.by is By.CHECK else _by_part
    view = asked.view(f"{shown.address}/findings")
    changed, same = _apart(entry, entries)
    changed_total = sum(1 for row in every if entry.is_today or not row.same_as_today)
    same_tally = _tally(found.same)
    checked = _checked(entry, every)
    context: dict[str, Any] = {
        **shown.context(Tab.FINDINGS, entry),
        **paged(view, window),
        "case": entry,
        "asked": asked,
        "changed": groups(changed),
        "same": groups(same),
        "changed_total": changed_total,
        "same_total": len(every) - changed_total,
        "total": len(every),
        "changed_count": len(found.changed),
        "same_count": len(found.same),
        "found_count": len(found.changed) + len(found.same),
        "same_blocks": same_tally.pop("blocks", 0),
        "same_tally": list(same_tally.items()),
        "cautions": sorted({entry.row.caution for entry in entries if entry.row.caution}),
        "checked": checked,
        "fine_count": sum(one.fine for one in checked),
        "not_looked_at": NOT_LOOKED_AT,
        "next_step": _next_step(view, entry, every, entries),
        "case_options": [(case.name, case.name) for case in shown.cases],
        "verdict_options": [(verdict.value, name) for verdict, name in VERDICT_NAMES.items()],
        "check_options": [("", "All checks"), *_check_options(every, asked)],
        "missing_options": [("", "Anything or nothing"), *_missing_options(every, asked)],
        "ways": [(name, view.address(by=by, page=None), by is asked.by) for by, name in BY_NAMES.items()],
        "is_new": done == "started",
        "echoes": [echo for text in request.query_params.getlist("typed") if (echo := echo_of(text))],
    }
    return render(request, "findings/list.html", context)


def _apart(case: CaseEntry, entries: Sequence[FindingEntry]) -> tuple[list[FindingEntry], list[FindingEntry]]:
    def is_same(entry: FindingEntry) -> bool:
        return entry.row.same_as_today and not case.is_today

    return [entry for entry in entries if not is_same(entry)], [entry for entry in entries if is_same(entry)]


def _by_check(entries: Sequence[FindingEntry]) -> list[Group]:
    return [
        Group(some[0].check_title, some[0].check, some[0].row.unit, some[0].margin_unit, some)
        for some in _grouped(entries, lambda entry: entry.row.check)
    ]


def _by_part(entries: Sequence[FindingEntry]) -> list[Group]:
    return [
        Group(some[0].row.title, None, None, None, some) for some in _grouped(entries, lambda entry: entry.row.title)
    ]


def _grouped(entries: Sequence[FindingEntry], key: Callable[[FindingEntry], str]) -> list[list[FindingEntry]]:
    """Entries with equal keys together, in the order in which the keys first come: gravest first."""
    groups: dict[str, list[FindingEntry]] = {}
    for entry in entries:
        groups.setdefault(key(entry), []).append(entry)
    return list(groups.values())


def _tally(rows: Iterable[FindingBrief]) -> dict[str, int]:
    """How many of each verdict there are, gravest first."""
    counted = Counter(row.verdict for row in rows)
    return {verdict: counted[verdict] for verdict in VERDICTS if counted[verdict]}


def _checked(entry: CaseEntry, every: Iterable[FindingBrief]) -> list[Checked]:
    counted = Counter(row.check for row in every)
    fine = entry.row.fine_by_check
    return [Checked(check, counted[check.id], fine.get(check.id, 0)) for check in registry().values()]


def _check_options(every: Iterable[FindingBrief], asked: Asked) -> list[tuple[str, str]]:
    there = {row.check for row in every} | {asked.check}
    return [(check.id, check.title) for check in registry().values() if check.id in there]


def _missing_options(every: Iterable[FindingBrief], asked: Asked) -> list[tuple[str, str]]:
    there = {row.need: row.missing for row in every if row.need}
    if asked.missing:
        there.setdefault(asked.missing, _needs()[asked.missing])
    return sorted(there.items(), key=lambda item: item[1])


def _next_step(
    view: View, case: CaseEntry, every: Sequence[FindingBrief], entries: Sequence[FindingEntry]
) -> tuple[str, str, str] | None:
    """What to do first: a sentence, the words of the button, its address."""
    if case.stale:
        return None
    mine = [row for row in every if case.is_today or not row.same_as_today]
    verdicts = {row.verdict for row in mine}
    if "blocks" in verdicts:
        return "Next: settle what blocks", "Show what blocks", view.address(verdict="blocks", page=None)
    if any(row.verdict == "blocks" for row in every):
        blocked = view.address(verdict="blocks", same="show", page=None)
        return "Next: settle what blocks, today as well", "Show what blocks", blocked
    wanted = [entry for entry in entries if entry.enter and (entry.freed or not entry.parts)]
    if wanted:
        best = max(wanted, key=lambda entry: entry.freed)
        words, href = best.enter or ("", "")
        if best.freed:
            return f"Next: {best.row.missing} would settle {plural(best.freed, 'placement')}", words, href
        return f"Next: give {best.row.missing or f'what “{best.row.step_title}” lacks'}", words, href
    if "change" in verdicts:
        return "Next: plan what must change", "Show what must change", view.address(verdict="change", page=None)
    if "prove" in verdicts:
        return (
            "Next: look at what is to be proved",
            "Show what is to be proved",
            view.address(verdict="prove", page=None),
        )
    return None


def _values(entry: FindingEntry) -> list[sheets.Cell]:
    row = entry.row
    return [
        row.verdict,
        entry.check_title,
        row.sentence,
        ", ".join(part.label for part in entry.parts),
        ", ".join(row.refdes),
        row.placements,
        row.step_title,
        row.value,
        row.limit,
        row.unit,
        entry.margin,
        entry.margin_unit if entry.margin is not None else "",
        row.missing,
        " ".join(row.remedies),
        row.caution,
        "yes" if row.same_as_today else "no",
        "; ".join(entry.sources),
    ]
