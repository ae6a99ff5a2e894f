"""Products, and the lines of their BOM revisions."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from webapp.desk import cases, sheets
from webapp.errors import ConflictError, MeltlineError, NotFoundError
from webapp.settings import Settings
from webapp.store import files, part_library, product_reads
from webapp.store.engine import SessionMaker
from webapp.store.part_library import LinePart
from webapp.store.product_reads import SORTS, LineView, RevisionEntry, ShowLines
from webapp.store.products import BomLineRow, BomRevisionRow, ProductRow
from webapp.trade.bom import BomLine
from webapp.trade.people import Person, Role
from webapp.web.case_changes import changes
from webapp.web.deps import AppSettings, CurrentPerson, Reads
from webapp.web.downloads import BYTES, Format, attachment
from webapp.web.lists import as_file, paged, windowed
from webapp.web.numbers import PageNumber, RowId
from webapp.web.paging import View, chosen, chosen_sort
from webapp.web.product_tabs import Tab, tabs_of
from webapp.web.rendering import render
from webapp.web.wording import short_list

router = APIRouter(prefix="/products")

SHOW_NAMES = {
    ShowLines.ALL: "All lines",
    ShowLines.FITTED: "Fitted",
    ShowLines.DNP: "Not fitted",
    ShowLines.EXCLUDED: "No placement",
    ShowLines.LOOSE: "Without designator",
    ShowLines.ALTERNATES: "With alternates",
    ShowLines.DOUBTS: "To look at",
}
NOTICES = {
    "committed": "Revision {number} is committed: {lines} lines, {fitted} placements fitted, {dnp} not fitted.",
    "approved": "{part} may be fitted on {places} again. The product is assessed again.",
    "taken-out": "{part} is no longer to be used on {places}. The product is assessed again.",
    "already": "This upload was committed before, as revision {number}. Nothing was made a second time.",
}
APPROVALS = {"approved": True, "taken-out": False}
HEAD = (
    "Row", "Designators", "Not fitted", "No placement", "On the bottom", "Quantity", "Part number", "Manufacturer",
    "Part number as printed", "Manufacturer as printed", "Value", "Description", "Package", "Side", "Alternates",
    "Not to be used", "To look at",
)  # fmt: skip


ORIGINALS = ("original", "placement")
"""Formats of a revision besides those of lists: the files that it was made from, as they came."""


@dataclass(frozen=True, slots=True)
class LineEntry:
    """A line as the page shows it."""

    line: BomLine
    bottom: tuple[str, ...]
    problems: list[str]
    position: int
    parts: Sequence[LinePart]

    @property
    def approved(self) -> int:
        """How many of its parts may be fitted; ``parts`` is empty for a line without alternates."""
        return sum(part.approved for part in self.parts)


@dataclass(frozen=True, slots=True)
class Asked:
    """What an address asks to see of a product."""

    code: str
    revision: int | None
    lines: LineView
    page: int

    def view(self) -> View:
        """The address again."""
        query: dict[str, str | int] = {
            "show": self.lines.show,
            "q": self.lines.search,
            "sort": self.lines.sort,
            "page": self.page,
            "revision": self.revision or "",
        }
        return View(product_address(self.code), query, {"show": ShowLines.ALL, "page": 1})


@dataclass(frozen=True, slots=True)
class Answer:
    """What the page says of an edit: ``done`` is a key of NOTICES, of ``part`` on the line at ``line``; ``was``: the
    cases before it (case_changes.standing). ``error``: why it was refused."""

    done: str = ""
    line: int = 0
    part: int = 0
    was: str = ""
    error: MeltlineError | None = None


_NOTHING_DONE = Answer()
_OF_AN_ANSWER = ("done", "line", "part", "was")


def product_address(code: str) -> str:
    """The address of a product's page; a code may hold slashes and blanks."""
    return f"/products/{quote(code, safe='/')}"


@router.get("", response_class=HTMLResponse)
def products_page(
    request: Request, person: CurrentPerson, reads: Reads, q: str = "", page: PageNumber = 1
) -> HTMLResponse:
    """All products, or those that ``q`` is found in."""
    search = " ".join(q.split())
    with reads() as session:
        entries, window = windowed(
            page, lambda offset, size: product_reads.list_products(session, search, offset, size)
        )
    view = View("/products", {"q": search, "page": window.number}, {"page": 1})
    view.refuse_others(request.query_params)
    context = {
        "entries": entries,
        "search": search,
        "address": product_address,
        "may_upload": person.has(Role.ENGINEER),
        **paged(view, window),
    }
    return render(request, "products/list.html", context)


@router.get("/{code:path}", response_class=HTMLResponse)
def product_page(
    request: Request,
    person: CurrentPerson,
    settings: AppSettings,
    reads: Reads,
    code: str,
    show: str = "all",
    q: str = "",
    sort: str = "",
    page: PageNumber = 1,
    revision: RowId | None = None,
    form: Annotated[str, Query(alias="format")] = "page",
    done: str = "",
    line: RowId = 0,
    part: RowId = 0,
    was: str = "",
) -> Response:
    """One revision of a product, the last unless asked otherwise: a page, or its lines or originals to take away."""
    asked = asked_for(code, show, q, sort, page, revision)
    asked.view().refuse_others(request.query_params, "format", *_OF_AN_ANSWER)
    shape = None if form in ORIGINALS else chosen(Format, form, "format")
    if shape is Format.PAGE:
        return lines_page(request, reads, person, asked, Answer(done, line, part, was))
    with reads() as session:
        shown = _revision(product_reads.revisions_of(session, _product(session, code).id or 0), revision)
        return _lines_file(session, shape, shown, asked.lines) if shape else _original(settings, form, shown.row)


def asked_for(code: str, show: str, q: str, sort: str, page: int, revision: int | None) -> Asked:
    """What the address asks for; UnknownViewError for an order or a selection that there is not."""
    selection = chosen(ShowLines, show, "selection of lines")
    lines = LineView(selection, " ".join(q.split()), chosen_sort(sort, SORTS))
    return Asked(code, revision, lines, page)


def _next_step(address: str, of_product: Sequence[cases.CaseEntry]) -> tuple[str, str, str]:
    """What comes after the BOM, the words of the button, and its address."""
    if any(not entry.is_today for entry in of_product):
        return "what the conversion changes", "See the findings", f"{address}/{Tab.FINDINGS}"
    return "how it is soldered today and after the conversion", "Set up the route", f"{address}/{Tab.ROUTE}"


def _product(session: Session, code: str) -> ProductRow:
    product = product_reads.product_by_code(session, code)
    if product is None:
        raise NotFoundError(f'There is no product "{code[:40]}".')
    return product


def _revision(revisions: Sequence[RevisionEntry], number: int | None) -> RevisionEntry:
    for entry in revisions:
        if number is None or entry.row.number == number:
            return entry
    raise NotFoundError(f"This product has no revision {number}.")


def lines_page(
    request: Request, reads: SessionMaker, person: Person, asked: Asked, answer: Answer = _NOTHING_DONE
) -> HTMLResponse:
    """The tab *BOM*; NotFoundError where there is no such product or revision."""
    with reads() as session:
        product = _product(session, asked.code)
        revisions = product_reads.revisions_of(session, product.id or 0)
        asked = replace(asked, code=product.code)
        shown = _revision(revisions, asked.revision)
        revision_id = shown.row.id or 0
        rows, window = windowed(
            asked.page,
            lambda offset, size: product_reads.find_lines(session, revision_id, asked.lines, offset=offset, limit=size),
        )
        parts = part_library.parts_of_lines(session, [row.id or 0 for row in rows])
        entries = [_entry(row, parts.get(row.id or 0, ())) for row in rows]
        of_product = cases.cases_of(session, product.id or 0)
        changed = _changed(answer, entries)
        view, row, is_last = asked.view(), shown.row, shown is revisions[0]
        context = {
            "product": product,
            "revisions": revisions,
            "shown": shown,
            "is_last": is_last,
            "tabs_shown": tabs_of(view.path, Tab.BOM, revisions[0].row.line_count, of_product),
            "next_step": _next_step(view.path, of_product),
            "size": files.size_of(session, row.file_sha256),
            "entries": entries,
            "asked": asked,
            "show_options": [(str(show), name) for show, name in SHOW_NAMES.items()],
            "show_name": SHOW_NAMES[asked.lines.show],
            "may_upload": person.has(Role.ENGINEER),
            "may_approve": person.has(Role.ENGINEER) and is_last,
            "is_filtered": bool(asked.lines.search) or asked.lines.show is not ShowLines.ALL,
            "has_parts": any(entry.parts for entry in entries),
            "notice_text": _notice(answer, row, changed),
            "undo": changed,
            "is_new": answer.done != "already",
            "changes": changes(of_product, answer.was) if answer.was else [],
            "answer": answer,
            "is_conflict": isinstance(answer.error, ConflictError),
            **paged(view, window),
        }
    return render(request, "products/one.html", context, status=answer.error.status if answer.error else 200)


def _entry(row: BomLineRow, parts: Sequence[LinePart]) -> LineEntry:
    return LineEntry(product_reads.line_from(row), tuple(row.bottom_refdes), row.doubts, row.position, parts)


def _changed(answer: Answer, entries: Sequence[LineEntry]) -> tuple[LineEntry, LinePart] | None:
    """The part that the edit was of; None where none was, or the address says what does not hold."""
    for entry in entries:
        for part in entry.parts:
            if (entry.position, part.part_id, part.approved) == (answer.line, answer.part, APPROVALS.get(answer.done)):
                return entry, part
    return None


def _notice(answer: Answer, row: BomRevisionRow, changed: tuple[LineEntry, LinePart] | None) -> str:
    """What was done, in a sentence; "" for nothing."""
    words = NOTICES.get(answer.done, "")
    if changed is not None:
        entry, part = changed
        return words.format(part=part.label, places=short_list(entry.line.refdes, 4))
    if answer.done in APPROVALS:
        return ""
    return words.format(number=row.number, lines=row.line_count, fitted=row.fitted_count, dnp=row.dnp_count)


def _original(settings: Settings, form: str, row: BomRevisionRow) -> Response:
    """The file of ORIGINALS that ``form`` names."""
    sha256, filename = row.file_sha256, row.filename
    if form == "placement":
        if row.placement_sha256 is None or row.placement_filename is None:
            raise NotFoundError("This revision has no placement file.")
        sha256, filename = row.placement_sha256, row.placement_filename
    return attachment(files.read_file(settings.files_dir, sha256), filename, BYTES)


def _lines_file(session: Session, shape: Format, shown: RevisionEntry, lines: LineView) -> Response:
    row = shown.row
    found, _ = product_reads.find_lines(session, row.id or 0, lines)
    parts = part_library.parts_of_lines(session, [line.id or 0 for line in found])
    table = [_values(line, parts.get(line.id or 0, ())) for line in found]
    return as_file(shape, f"{shown.code.replace('/', '-')}_r{row.number}", HEAD, table)


def _values(row: BomLineRow, parts: Sequence[LinePart]) -> list[sheets.Cell]:
    alternates = "; ".join(" ".join(filter(None, (part["manufacturer"], part["mpn"]))) for part in row.alternates)
    return [
        row.row,
        ", ".join(row.refdes),
        ", ".join(row.dnp_refdes),
        ", ".join(row.excluded_refdes),
        ", ".join(row.bottom_refdes),
        row.qty,
        row.read_mpn or row.mpn,
        row.read_manufacturer or row.manufacturer,
        row.mpn,
        row.manufacturer,
        row.value,
        row.description,
        row.package,
        row.side,
        alternates,
        "; ".join(" ".join(filter(None, (part.maker, part.label))) for part in parts if not part.approved),
        "; ".join(row.doubts),
    ]
