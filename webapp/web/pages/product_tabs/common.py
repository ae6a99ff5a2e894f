"""What the tabs of a product share: the product itself, the form as sent, and the way of a save."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial
from typing import Any
from urllib.parse import urlencode

from sqlmodel import Session
from starlette.datastructures import FormData

from webapp.desk import assessing, cases
from webapp.desk.cases import CaseEntry
from webapp.errors import ConflictError, InvalidInputError, MeltlineError, NotFoundError
from webapp.store import product_reads
from webapp.store.engine import Database
from webapp.store.products import ProductRow
from webapp.trade.lengths import parse_length
from webapp.trade.ranges import NOT_NEGATIVE
from webapp.trade.temperatures import parse_temperature
from webapp.web.case_changes import standing
from webapp.web.pages.products import product_address
from webapp.web.pages.uploads.common import text_of
from webapp.web.product_tabs import Tab, tabs_of

_MOST_ECHOES = 20
_LONGEST_ECHO = 40


@dataclass(frozen=True, slots=True)
class Shown:
    """The product that a tab is of, with its newest revision and its cases."""

    product: ProductRow
    revision: int
    line_count: int
    fitted_count: int
    cases: list[CaseEntry]

    @property
    def id(self) -> int:
        """The product's id."""
        return self.product.id or 0

    @property
    def address(self) -> str:
        """The address of the product."""
        return product_address(self.product.code)

    def context(self, tab: Tab, case: CaseEntry | None = None) -> dict[str, Any]:
        """What every tab's template takes; ``case``: the one looked at."""
        return {
            "product": self.product,
            "shown": self,
            "address": self.address,
            "here": f"{self.address}/{tab}",
            "tabs_shown": tabs_of(self.address, tab, self.line_count, self.cases, case),
        }


def load_product(session: Session, code: str) -> Shown:
    """The product of that code; NotFoundError when there is none."""
    product = product_reads.product_by_code(session, code)
    if product is None or product.id is None:
        raise NotFoundError(f'There is no product "{code[:40]}".')
    newest = product_reads.revisions_of(session, product.id)[0].row
    found = cases.cases_of(session, product.id)
    return Shown(product, newest.number, newest.line_count, newest.fitted_count, found)


def version_of(form: FormData) -> int:
    """The version that the form was made from, 0 for nothing stored yet."""
    text = text_of(form, "version")
    if not text.isdecimal() or len(text) > 9:
        raise InvalidInputError("The form does not say which state it was made from. Load the page anew.")
    return int(text)


def errors_of(error: MeltlineError | None) -> dict[str, str]:
    """The error as the templates take it: field -> sentence."""
    return {error.field or "": error.message} if error else {}


def status_of(errors: dict[str, str], error: MeltlineError | None) -> int:
    """409 for a conflict, 422 for what does not hold, else 200."""
    if isinstance(error, ConflictError):
        return error.status
    return 422 if errors else 200


def before_saving(database: Database, product_id: int) -> str:
    """The standing of the product's cases, to be taken before the command of a save."""
    with database.read() as session:
        return standing(cases.cases_of(session, product_id))


def after_saving(database: Database, shown: Shown, where: str, done: str, before: str, typed: Iterable[str]) -> str:
    """Re-assess the product, and give the address to go to: it says what was done and what that changed."""
    assessing.reassess(database, shown.id)
    query = [("done", done), ("was", before), *(("typed", text) for text in in_other_units(typed))]
    return f"{where}?{urlencode(query)}"


def in_other_units(typed: Iterable[str]) -> list[str]:
    """What was typed in °F, µm, mil or inch, so that the page can say how it was read."""
    return [text.strip() for text in typed if echo_of(text)][:_MOST_ECHOES]


def echo_of(text: str, unit: str = "mm") -> str:
    """ "140 °F = 60 °C" for a temperature typed in °F, "5 mil = 0.127 mm" for a length typed in another unit than
    ``unit`` (mm or µm), else ""."""
    if len(text) > _LONGEST_ECHO:
        return ""
    for read in (parse_temperature, partial(parse_length, unit=unit, plausible=NOT_NEGATIVE)):
        try:
            echo = read(text).echo
        except InvalidInputError:
            continue
        if "=" in echo:
            return echo
    return ""
