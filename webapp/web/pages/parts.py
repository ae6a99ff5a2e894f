"""The part library: a list with search, filters, order and pages, and the same as a file."""

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from webapp.desk import part_library, sheets
from webapp.desk.part_library import Lacks, LibraryEntry, field_label
from webapp.store import part_library as queries
from webapp.store import product_reads
from webapp.store.part_library import SORTS, LibraryView
from webapp.trade.classes import PartClass
from webapp.trade.facts import PartFacts, PartField
from webapp.trade.part_fields import RULES, relevant_fields, value_text
from webapp.trade.people import Role
from webapp.trade.ranges import NOT_NEGATIVE, Span
from webapp.web.deps import CurrentPerson, Reads
from webapp.web.downloads import Format
from webapp.web.lists import as_file, paged, windowed
from webapp.web.numbers import PageNumber
from webapp.web.paging import UnknownViewError, View, chosen, chosen_sort
from webapp.web.rendering import render

router = APIRouter(prefix="/parts")

MAKERS_OFFERED = 300
LACKS_NAMES = {
    Lacks.ANYTHING: "All parts",
    Lacks.NOTHING_STATED: "Nothing stated at all",
    Lacks.KIND: "Kind not sure",
    Lacks.LIMIT: "Body limit not stated",
    Lacks.PASSES: "Reflow passes not stated",
    Lacks.OVEN: "Rated for reflow not stated",
    Lacks.FINISH: "Terminal finish not stated",
    Lacks.BALLS: "Ball alloy not stated",
    Lacks.MSL: "Moisture level not stated",
    Lacks.SELF_HEATING: "Self-heating not stated",
}
WHERE_IT_MATTERS = (
    PartField.LIMIT_S,
    PartField.CURRENT_A,
    PartField.MATING_FORCE_N,
    PartField.STANDOFF_MM,
    PartField.WASH,
    PartField.VACUUM,
)
"""Fields of which the file says nothing for the parts to whose kind they do not matter."""
HEAD = (
    "Part number", "Maker", "Kind", "Kind is sure", "Body limit at least °C", "Body limit at most °C", "Limit from",
    "Terminal finish", "Moisture level",
    *(f"{field_label(field)} {RULES[field].unit}".strip() for field in WHERE_IT_MATTERS),
    "Products", "Data stated", "Data asked", "Package", "Value", "Description",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Asked:
    """What an address asks to see of the library; ``kind`` is a class's key or ""."""

    search: str
    maker: str
    kind: str
    lacks: Lacks
    product: str
    sort: str
    page: int

    def view(self) -> View:
        """The address again."""
        query: dict[str, str | int] = {
            "q": self.search,
            "maker": self.maker,
            "kind": self.kind,
            "lacks": self.lacks,
            "product": self.product,
            "sort": self.sort,
            "page": self.page,
        }
        return View("/parts", query, {"lacks": Lacks.ANYTHING, "page": 1})

    @property
    def is_filtered(self) -> bool:
        """Whether not all parts are shown."""
        return bool(self.search or self.maker or self.kind or self.product) or self.lacks is not Lacks.ANYTHING

    def sentence(self) -> str:
        """The filter in words."""
        words = [LACKS_NAMES[self.lacks]]
        words += [f"that may be: {PartClass.from_keys(self.kind).words}"] if self.kind else []
        words += [f"of “{self.maker}”"] if self.maker else []
        words += [f"used in {self.product}"] if self.product else []
        words += [f"with “{self.search}”"] if self.search else []
        return ", ".join(words)


@router.get("", response_class=HTMLResponse)
def parts_page(
    request: Request,
    person: CurrentPerson,
    reads: Reads,
    q: str = "",
    maker: str = "",
    kind: str = "",
    lacks: str = "all",
    product: str = "",
    sort: str = "",
    page: PageNumber = 1,
    form: Annotated[str, Query(alias="format")] = "page",
) -> Response:
    """The parts, filtered and in order, a page of them or all as a file."""
    asked = Asked(
        " ".join(q.split()),
        " ".join(maker.split()),
        _kind(kind),
        chosen(Lacks, lacks, "filter"),
        product.strip(),
        chosen_sort(sort, SORTS),
        page,
    )
    asked.view().refuse_others(request.query_params, "format")
    shape = chosen(Format, form, "format")
    with reads() as session:
        view = _library_view(session, asked)
        if shape is not Format.PAGE:
            rows = [_cells(entry) for entry in part_library.library(session, view)[0]]
            return as_file(shape, "parts", HEAD, rows, sheet="Parts")
        return _page(request, session, asked, view, may_state=person.has(Role.ENGINEER))


def _page(request: Request, session: Session, asked: Asked, view: LibraryView, *, may_state: bool) -> HTMLResponse:
    entries, window = windowed(asked.page, lambda offset, size: part_library.library(session, view, offset, size))
    context = {
        **paged(asked.view(), window),
        "entries": entries,
        "asked": asked,
        "makers": queries.makers(session, MAKERS_OFFERED),
        "kinds": [
            ("", "Any kind"),
            *sorted(((c.key, c.words) for c in PartClass), key=lambda kind: kind[1].casefold()),
        ],
        "lacks_options": [(str(lacks), name) for lacks, name in LACKS_NAMES.items()],
        "may_state": may_state,
    }
    return render(request, "parts/list.html", context)


def _library_view(session: Session, asked: Asked) -> LibraryView:
    product_id = None
    if asked.product:
        product = product_reads.product_by_code(session, asked.product)
        if product is None:
            raise UnknownViewError(f'There is no product "{asked.product[:40]}" to filter by.')
        product_id = product.id
    return part_library.library_view(
        session,
        search=asked.search,
        maker=asked.maker,
        kind=PartClass.from_keys(asked.kind),
        lacks=asked.lacks,
        product_id=product_id,
        sort=asked.sort,
    )


def _kind(text: str) -> str:
    if text and text not in {single.key for single in PartClass}:
        raise UnknownViewError(f'"{text[:40]}" is no kind of part.')
    return text


def _cells(entry: LibraryEntry) -> list[sheets.Cell]:
    row, facts = entry.row, entry.facts
    return [
        row.mpn or row.label,
        row.maker,
        facts.classes.words,
        "yes" if facts.classes.certain else "no",
        facts.limit_c.low,
        facts.limit_c.high,
        facts.source("limit_c").words,
        facts.finish.words,
        facts.msl.words,
        *(_where_it_matters(facts, field) for field in WHERE_IT_MATTERS),
        entry.products,
        entry.stated,
        entry.asked,
        row.package,
        row.value,
        row.description,
    ]


def _where_it_matters(facts: PartFacts, field: PartField) -> str:
    if field not in relevant_fields(facts.classes) and field not in facts.stated:
        return ""
    value = facts.value(field)
    if isinstance(value, Span):
        return "not known" if value == NOT_NEGATIVE else value.text()
    return "not known" if value is None else value_text(field, value)
