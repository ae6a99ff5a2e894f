"""Data wanted: the few data that settle most, for all products or one; question sheets for makers, and answers."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, Any
from urllib.parse import quote, urlencode

from fastapi import APIRouter, File, Form, Query, Request, Response, UploadFile
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from webapp.desk import answer_sheets, answers, sheets
from webapp.desk.part_facts import value_of
from webapp.desk.part_library import field_label
from webapp.desk.wanted import (
    SHEET_HEAD,
    Overview,
    Wanted,
    question_sheet,
    questions_to,
    read_wanted,
    wanted_overview,
    wanted_table,
)
from webapp.desk.wanted_table import Kind, WantedTable
from webapp.errors import InvalidInputError, MeltlineError, NotFoundError
from webapp.settings import Settings
from webapp.store import part_library, product_reads
from webapp.store.engine import SessionMaker
from webapp.store.products import ProductRow
from webapp.trade.facts import PartField
from webapp.trade.part_fields import value_text
from webapp.trade.people import Person, Role
from webapp.web.deps import AppDatabase, AppSettings, CurrentPerson, Reads
from webapp.web.downloads import Format
from webapp.web.lists import as_file, paged
from webapp.web.numbers import PageNumber, RowId
from webapp.web.pages.products import product_address
from webapp.web.pages.uploads.common import Engineer
from webapp.web.paging import UnknownViewError, View, Window, chosen
from webapp.web.rendering import go_to, render
from webapp.web.settle import settle
from webapp.web.wording import plural

router = APIRouter()

HEAD = ("Datum", "Of", "Maker", "Placements settled", "Placements open", "Parts", "Products")
POSITION = "position"


class Show(StrEnum):
    """Which data are listed."""

    FEW = "few"
    PARTS = "parts"
    DECLARATIONS = "declarations"
    PRODUCTS = "products"


SHOW_NAMES = {
    Show.FEW: "What settles most",
    Show.DECLARATIONS: "One declaration for many parts",
    Show.PARTS: "Part by part",
    Show.PRODUCTS: "Of the product itself",
}


@dataclass(frozen=True, slots=True)
class Item:
    """A datum as the page shows it: of what, with where to look at it and where to enter it."""

    wanted: Wanted
    of: str
    of_href: str
    enter: str
    enter_href: str

    @property
    def datum(self) -> str:
        """What is missing, with a capital."""
        return self.wanted.datum[:1].upper() + self.wanted.datum[1:]


@router.get("/wanted", response_class=HTMLResponse)
def wanted_page(
    request: Request,
    person: CurrentPerson,
    reads: Reads,
    show: str = "few",
    page: PageNumber = 1,
    form: Annotated[str, Query(alias="format")] = "page",
    done: str = "",
    count: RowId = 0,
    same: RowId = 0,
) -> Response:
    """What is missing, over all products."""
    return _list(request, person, reads, "", show, page, form, _notice(done, count, same))


@router.get("/products/{code:path}/wanted", response_class=HTMLResponse)
def product_wanted_page(
    request: Request,
    person: CurrentPerson,
    reads: Reads,
    code: str,
    show: str = "few",
    page: PageNumber = 1,
    form: Annotated[str, Query(alias="format")] = "page",
    done: str = "",
    count: RowId = 0,
    same: RowId = 0,
) -> Response:
    """What is missing for one product."""
    return _list(request, person, reads, code, show, page, form, _notice(done, count, same))


def _notice(done: str, count: int, same: int) -> str:
    if done != "answers":
        return ""
    stored = f"Stored: {plural(count, 'answer')}. The products concerned are assessed again." if count else ""
    already = f"{plural(same, 'answer')} said what is stated already, from the same document: not stored again."
    return " ".join(filter(None, (stored, already if same else "")))


def _address(code: str) -> str:
    """The list: of a product, or with "" of all."""
    return f"{product_address(code)}/wanted" if code else "/wanted"


def _list(
    request: Request,
    person: Person,
    reads: SessionMaker,
    code: str,
    show: str,
    page: int,
    form: str,
    notice: str = "",
    *,
    typed: str = "",
    error: MeltlineError | None = None,
) -> Response:
    shown, shape = chosen(Show, show, "selection of data"), chosen(Format, form, "format")
    with reads() as session:
        product = _product(session, code)
        overview = wanted_overview(session, product.id if product else None)
        listed = _shown(overview, shown)
        if shape is not Format.PAGE:
            return as_file(shape, "data-wanted", HEAD, [_cells(item) for item in read_wanted(session, listed)])
        window = Window.at(page, len(listed))
        on_page = read_wanted(session, listed, window.offset, window.offset + window.size)
    view = View(
        _address(product.code if product else ""), {"show": shown, "page": window.number}, {"show": Show.FEW, "page": 1}
    )
    view.refuse_others(request.query_params, "format", "done", "count", "same")
    context: dict[str, Any] = {
        **paged(view, window),
        "product": product,
        "product_address": product_address,
        "items": [_item(item, view) for item in on_page],
        "total": len(overview.table),
        "shown": shown,
        "ways": [(name, view.address(show=kind, page=None), kind is shown) for kind, name in SHOW_NAMES.items()],
        "makers": [(maker, number, _sheet_address(maker, product)) for maker, number in overview.makers],
        "may_enter": person.has(Role.ENGINEER),
        "notice_text": notice,
        "typed": typed,
        "errors": {error.field or "": error.message} if error else {},
    }
    return render(request, "wanted/list.html", context, status=error.status if error else 200)


def _product(session: Session, code: str) -> ProductRow | None:
    if not code:
        return None
    product = product_reads.product_by_code(session, code)
    if product is None:
        raise NotFoundError(f'There is no product "{code[:40]}".')
    return product


def _shown(overview: Overview, show: Show) -> WantedTable:
    if show is Show.FEW:
        return overview.few
    return overview.table.of(
        {Show.PARTS: Kind.PART, Show.DECLARATIONS: Kind.DECLARATION, Show.PRODUCTS: Kind.PRODUCT}[show]
    )


def _item(item: Wanted, view: View) -> Item:
    back = urlencode({"back": view.address()})
    if item.part_id is not None:
        field = f"field={item.field}&" if item.field else ""
        address = f"/parts/{item.part_id}"
        return Item(item, item.mpn or item.label, address, "Enter it", f"{address}?{field}{back}#known")
    is_one = len(item.products) == 1
    code = item.products[0]
    product = product_address(code)
    where = code if is_one else f"{len(item.products)} products"
    if item.claim is not None:
        scope = {"scope": "bom", "product": code} if is_one else {"scope": "site"}
        enter = f"/declarations/new?{urlencode({'claim': item.claim, **scope})}&{back}"
        look = f"/parts?{urlencode({'product': code})}" if is_one else view.address(show=Show.DECLARATIONS, page=None)
        return Item(item, f"{item.parts} parts of {where}", look, "Declare it", enter)
    if not is_one:
        one_by_one = view.address(show=Show.PRODUCTS, page=None)
        return Item(item, where, one_by_one, "One by one", one_by_one)
    if item.need == POSITION:
        return Item(item, code, product, "Upload a placement file", f"/uploads/new?product={quote(code)}")
    return Item(item, code, product, "Enter it", f"{product}/setup")


def _cells(item: Wanted) -> list[sheets.Cell]:
    of = item.mpn or item.label or f"{len(item.products)} products"
    return [item.datum, of, item.maker, item.freed, item.placements, item.parts, ", ".join(item.products)]


@router.get("/wanted/sheet", response_class=HTMLResponse)
def sheet(
    request: Request,
    _person: CurrentPerson,
    reads: Reads,
    maker: str = "",
    product: str = "",
    form: Annotated[str, Query(alias="format")] = "page",
) -> Response:
    """The questions to one maker: to print, or as a file to send."""
    shape = chosen(Format, form, "format")
    with reads() as session:
        row = _product(session, product.strip())
        # A maker who is asked anyway may answer what is just as open today as well.
        table = wanted_table(session, row.id if row else None, same_today_too=True)
        waited_for = questions_to(session, table, maker)
        rows = question_sheet(answer_sheets.with_further(session, waited_for), maker)
    if not rows:
        raise NotFoundError(f"There is nothing to ask {maker[:40] or 'this maker'}.")
    name = str(rows[0][0])
    if shape is not Format.PAGE:
        return as_file(shape, f"questions_{name}", SHEET_HEAD, rows)
    context = {
        "maker": name,
        "rows": rows,
        "beside": len(rows) - len(question_sheet(waited_for, maker)),
        "product": row,
        "address": _sheet_address(name, row),
    }
    return render(request, "wanted/sheet.html", context)


def _sheet_address(maker: str, product: ProductRow | None) -> str:
    query = {"maker": maker} | ({"product": product.code} if product else {})
    return f"/wanted/sheet?{urlencode(query)}"


@router.post("/wanted/answers", response_class=HTMLResponse)
def upload_answers(
    request: Request,
    person: Engineer,
    database: AppDatabase,
    settings: AppSettings,
    file: Annotated[UploadFile | None, File()] = None,
    reference: Annotated[str, Form()] = "",
    product: Annotated[str, Form()] = "",
    show: Annotated[str, Form()] = "few",
) -> Response:
    """Keep an answered sheet and go on to look at it; an error stands in the list that the form was on."""
    try:
        if file is None or not (file.filename or file.size):
            raise InvalidInputError("Choose the sheet that came back, as CSV or XLSX.", field="file")
        name = answer_sheets.keep_sheet(database, settings, file.file.read(), reference, file.filename or "")
    except InvalidInputError as error:
        return _list(request, person, database.read, product, show, 1, "page", typed=reference, error=error)
    query = {"reference": " ".join(reference.split())} | ({"product": product} if product else {})
    return go_to(request, f"/wanted/answers/{name}?{urlencode(query)}")


@router.get("/wanted/answers/{name}", response_class=HTMLResponse)
def answers_page(
    request: Request,
    _person: Engineer,
    reads: Reads,
    settings: AppSettings,
    name: str,
    reference: str = "",
    product: str = "",
    done: str = "",
    count: RowId = 0,
    same: RowId = 0,
) -> HTMLResponse:
    """What the sheet would store, row by row, and what is wrong with it; ``product``: of the list it came from."""
    return _preview(request, reads, settings, name, reference, product, notice=_notice(done, count, same))


@router.get("/wanted/answers/{name}/refused")
def refused_answers(
    _person: Engineer,
    reads: Reads,
    settings: AppSettings,
    name: str,
    reference: str = "",
    form: Annotated[str, Query(alias="format")] = Format.CSV,
) -> Response:
    """The rows that cannot be taken, with what was expected, as a sheet to send back."""
    shape = chosen(Format, form, "format")
    if shape is Format.PAGE:
        raise UnknownViewError(f"The rows come as {Format.CSV} or {Format.XLSX}.")
    with reads() as session:
        found = answers.check_answers(session, answer_sheets.sheet_content(session, settings, name), reference)
    if not found.problems:
        raise NotFoundError("Every row of the sheet can be taken.")
    rows = answer_sheets.refused_rows(found.problems)
    return as_file(shape, "answers_to-correct", (*SHEET_HEAD, answer_sheets.EXPECTED), rows, sheet="Answers")


@router.post("/wanted/answers/{name}", response_class=HTMLResponse)
def store_answers(
    request: Request,
    person: Engineer,
    database: AppDatabase,
    settings: AppSettings,
    name: str,
    reference: Annotated[str, Form()] = "",
    product: Annotated[str, Form()] = "",
) -> Response:
    """Store the answers of the sheet that can be taken, in one go."""
    with database.read() as session:
        content = answer_sheets.sheet_content(session, settings, name)
    try:
        with database.command() as session:
            # What was new is worked out before it is stored.
            found = answers.store_answers(session, person, content, reference)
            stored, same = found.new, found.same
    except InvalidInputError as error:
        return _preview(request, database.read, settings, name, reference, product, error=error)
    with database.read() as session:
        products = part_library.products_using(session, {answer.part_id for answer in stored})
    settle(request, database, products)
    query = {"done": "answers", "count": len(stored)} | ({"same": same} if same else {})
    if found.problems:
        back = {"reference": reference} | ({"product": product} if product else {})
        return go_to(request, f"/wanted/answers/{name}?{urlencode({**back, **query})}")
    return go_to(request, f"{_address(product)}?{urlencode(query)}")


def _preview(
    request: Request,
    reads: SessionMaker,
    settings: Settings,
    name: str,
    reference: str,
    code: str,
    *,
    notice: str = "",
    error: MeltlineError | None = None,
) -> HTMLResponse:
    with reads() as session:
        product = _product(session, code)
        found = answers.check_answers(session, answer_sheets.sheet_content(session, settings, name), reference)
    context = {
        "name": name,
        "reference": reference,
        "product": product,
        "wanted": _address(product.code if product else ""),
        "refused": f"/wanted/answers/{name}/refused?{urlencode({'reference': reference})}",
        "notice_text": notice,
        "found": found,
        "lines": [(answer, _so_far(answer)) for answer in found.answers],
        "labels": {field: field_label(field) for field in PartField},
        "errors": {error.field or "": error.message} if error else {},
    }
    return render(request, "wanted/answers.html", context, status=error.status if error else 200)


def _so_far(answer: answers.Answered) -> str:
    """What is stated of the field, "" for nothing."""
    return value_text(answer.field, value_of(answer.before)) if answer.before else ""
