"""Products, and the lines of their BOM revisions."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, TypeVar
from urllib.parse import quote

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from webapp.desk import cases, sheets
from webapp.errors import NotFoundError
from webapp.settings import Settings
from webapp.store import files, product_reads
from webapp.store.product_reads import SORTS, LineView, RevisionEntry, ShowLines
from webapp.store.products import BomLineRow, ProductRow
from webapp.trade.bom import BomLine
from webapp.trade.people import Role
from webapp.web.deps import AppSettings, CurrentPerson, Reads
from webapp.web.downloads import BYTES, CSV, XLSX, attachment
from webapp.web.paging import PAGE_SIZE, UnknownViewError, View, Window, chosen
from webapp.web.product_tabs import Tab, tabs_of
from webapp.web.rendering import render

router = APIRouter(prefix="/products")

Item = TypeVar("Item")

SHOW_NAMES = {
    ShowLines.ALL: "All lines",
    ShowLines.FITTED: "Fitted",
    ShowLines.DNP: "Not fitted",
    ShowLines.EXCLUDED: "No placement",
    ShowLines.LOOSE: "Without designator",
    ShowLines.DOUBTS: "To look at",
}
NOTICES = {
    "committed": "Revision {number} is committed: {lines} lines, {fitted} placements fitted, {dnp} not fitted.",
    "already": "This upload was committed before, as revision {number}. Nothing was made a second time.",
}
HEAD = (
    "Row", "Designators", "Not fitted", "No placement", "On the bottom", "Quantity", "Part number", "Manufacturer",
    "Part number as printed", "Manufacturer as printed", "Value", "Description", "Package", "Side", "Alternates",
    "To look at",
)  # fmt: skip


class Format(StrEnum):
    """In which form a revision's lines are given."""

    PAGE = "page"
    CSV = "csv"
    XLSX = "xlsx"
    ORIGINAL = "original"
    PLACEMENT = "placement"


@dataclass(frozen=True, slots=True)
class LineEntry:
    """A line as the page shows it."""

    line: BomLine
    bottom: tuple[str, ...]
    problems: list[str]


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


def product_address(code: str) -> str:
    """The address of a product's page; a code may hold slashes and blanks."""
    return f"/products/{quote(code, safe='/')}"


@router.get("", response_class=HTMLResponse)
def products_page(request: Request, person: CurrentPerson, reads: Reads, q: str = "", page: int = 1) -> HTMLResponse:
    """All products, or those that ``q`` is found in."""
    search = " ".join(q.split())
    with reads() as session:
        entries, window = _windowed(
            page, lambda offset, size: product_reads.list_products(session, search, offset, size)
        )
    view = View("/products", {"q": search, "page": window.number}, {"page": 1})
    context = {
        "entries": entries,
        "search": search,
        "address": product_address,
        "may_upload": person.has(Role.ENGINEER),
        **_pages(window, view),
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
    page: int = 1,
    revision: int | None = None,
    form: Annotated[str, Query(alias="format")] = "page",
    done: str = "",
) -> Response:
    """One revision of a product, the last unless asked otherwise: a page, or its lines or originals to take away."""
    if sort and sort.removeprefix("-") not in SORTS:
        raise UnknownViewError(f'"{sort[:40]}" is no order; there are: {", ".join(SORTS)}, with "-" for downwards.')
    lines = LineView(chosen(ShowLines, show, "selection of lines"), " ".join(q.split()), sort)
    kind = chosen(Format, form, "format")
    with reads() as session:
        product = product_reads.product_by_code(session, code)
        if product is None or product.id is None:
            raise NotFoundError(f'There is no product "{code[:40]}".')
        revisions = product_reads.revisions_of(session, product.id)
        shown = _revision(revisions, revision)
        asked = Asked(product.code, revision, lines, page)
        if kind is Format.PAGE:
            return _page(request, session, person.has(Role.ENGINEER), product, revisions, shown, asked, done)
        return _taken_away(session, settings, kind, shown, lines)


def _revision(revisions: Sequence[RevisionEntry], number: int | None) -> RevisionEntry:
    for entry in revisions:
        if number is None or entry.row.number == number:
            return entry
    raise NotFoundError(f"This product has no revision {number}.")


def _page(
    request: Request,
    session: Session,
    may_upload: bool,
    product: ProductRow,
    revisions: list[RevisionEntry],
    shown: RevisionEntry,
    asked: Asked,
    done: str,
) -> HTMLResponse:
    revision_id = shown.row.id or 0
    rows, window = _windowed(
        asked.page,
        lambda offset, size: product_reads.find_lines(session, revision_id, asked.lines, offset=offset, limit=size),
    )
    view = asked.view()
    notice = NOTICES.get(done, "")
    row = shown.row
    context = {
        "product": product,
        "revisions": revisions,
        "shown": shown,
        "tabs_shown": tabs_of(
            view.path, Tab.BOM, revisions[0].row.line_count, cases.cases_of(session, product.id or 0)
        ),
        "size": files.size_of(session, row.file_sha256),
        "entries": [_entry(line) for line in rows],
        "asked": asked,
        "view": view,
        "show_options": [(str(show), name) for show, name in SHOW_NAMES.items()],
        "show_name": SHOW_NAMES[asked.lines.show],
        "may_upload": may_upload,
        "is_filtered": bool(asked.lines.search) or asked.lines.show is not ShowLines.ALL,
        "notice_text": notice.format(
            number=row.number, lines=row.line_count, fitted=row.fitted_count, dnp=row.dnp_count
        ),
        "is_new": done == "committed",
        **_pages(window, view),
    }
    return render(request, "products/one.html", context)


def _entry(row: BomLineRow) -> LineEntry:
    return LineEntry(product_reads.line_from(row), tuple(row.bottom_refdes), row.doubts)


def _windowed(page: int, find: Callable[[int, int], tuple[Sequence[Item], int]]) -> tuple[Sequence[Item], Window]:
    """The rows of a page and where it stands; past the end the last page."""
    asked = Window.at(page, max(page, 1) * PAGE_SIZE)
    rows, total = find(asked.offset, asked.size)
    window = Window.at(page, total)
    if window.offset != asked.offset:
        rows, total = find(window.offset, window.size)
    return rows, window


def _pages(window: Window, view: View) -> dict[str, object]:
    return {
        "window": window,
        "previous": view.address(page=window.previous) if window.previous else None,
        "following": view.address(page=window.following) if window.following else None,
    }


def _taken_away(session: Session, settings: Settings, kind: Format, shown: RevisionEntry, lines: LineView) -> Response:
    row = shown.row
    if kind is Format.ORIGINAL:
        return attachment(files.read_file(settings.files_dir, row.file_sha256), row.filename, BYTES)
    if kind is Format.PLACEMENT:
        if row.placement_sha256 is None or row.placement_filename is None:
            raise NotFoundError("This revision has no placement file.")
        return attachment(files.read_file(settings.files_dir, row.placement_sha256), row.placement_filename, BYTES)
    found, _ = product_reads.find_lines(session, row.id or 0, lines)
    table = [_values(line) for line in found]
    name = f"{shown.code.replace('/', '-')}_r{row.number}"
    if kind is Format.CSV:
        return attachment(sheets.to_csv(HEAD, table), f"{name}.csv", CSV)
    return attachment(sheets.to_xlsx(name, HEAD, table), f"{name}.xlsx", XLSX)


def _values(row: BomLineRow) -> list[sheets.Cell]:
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
        "; ".join(row.doubts),
    ]
