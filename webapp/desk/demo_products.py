"""The demo's products: five boards of an invented maker, brought in as a person would bring them in.

seed_data/products.toml says what they are, seed_data/boms holds their files, seed_data/pastes.toml what they are
printed with. Each goes the way of an uploaded file: read, draft, commit, parts, routes, statements, in one transaction
from the commit on.
"""

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Annotated

import msgspec
import structlog
from sqlmodel import Session

from webapp.desk import commits, declarations, drafts, parts, routes, setups, uploads
from webapp.desk.commits import NewProduct
from webapp.desk.declarations import NewDeclaration
from webapp.desk.demo_site import load_demo_pastes
from webapp.desk.parts import ValueSource
from webapp.desk.sweep import sweep
from webapp.desk.uploads import NewUpload, UploadedFile
from webapp.errors import MeltlineError, NotFoundError
from webapp.resources import resource_dir
from webapp.settings import Settings
from webapp.store import part_reads, people, product_reads
from webapp.store.engine import Database
from webapp.trade.facts import Claim, PartField, Scope
from webapp.trade.part_keys import part_key
from webapp.trade.people import Person
from webapp.trade.route import Route, Step
from webapp.trade.sources import Kind

ENGINEER = "ida"
"""Login of the demo account under which the products are made."""

_log = structlog.get_logger()


class _Table(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A table of the file; a misspelt name is an error."""


class DemoCounts(_Table, frozen=True):
    """What is read of the BOM: its lines, and designators fitted, not fitted and no placement."""

    lines: int
    fitted: int
    dnp: int
    excluded: int


class DemoDeclaration(_Table, frozen=True):
    """A declaration over the product's BOM or a maker."""

    claim: Claim
    scope: Scope
    reference: str
    maker: str = ""
    number: str = ""
    stated_on: str = ""


class DemoRoute(_Table, frozen=True):
    """A route: of a template, with that paste, or of its own steps."""

    name: str = ""
    template: str = ""
    paste: str = ""
    today: bool = False
    steps: tuple[Step, ...] = ()


class DemoValue(_Table, frozen=True):
    """A stated value of a part of the BOM, as typed."""

    maker: str
    mpn: str
    field: PartField
    value: str
    kind: Kind = Kind.DATASHEET
    reference: str = ""
    note: str = ""


class DemoProduct(_Table, frozen=True):
    """One product. ``board`` and ``environment``: field of trade.setup -> what a person would type."""

    code: str
    name: str
    bom: str
    counts: DemoCounts
    routes: Annotated[tuple[DemoRoute, ...], msgspec.Meta(min_length=1)] = msgspec.field(name="route")
    placement: str = ""
    board: dict[str, float | str] = {}
    environment: dict[str, float | str] = {}
    declarations: tuple[DemoDeclaration, ...] = msgspec.field(name="declaration", default=())
    values: tuple[DemoValue, ...] = msgspec.field(name="value", default=())


class _Seed(_Table, frozen=True):
    product: tuple[DemoProduct, ...]


@dataclass(frozen=True, slots=True)
class ProductNotLoaded:
    """A demo product that could not be loaded, and why."""

    code: str
    reason: str

    @property
    def words(self) -> str:
        """The failure in a sentence."""
        return f"The demo product {self.code} was not loaded: {self.reason}"


@cache
def demo_products() -> tuple[DemoProduct, ...]:
    """The demo's products as seed_data describes them."""
    content = (resource_dir("seed_data") / "products.toml").read_bytes()
    return msgspec.toml.decode(content, type=_Seed).product


def load_demo_products(
    database: Database, settings: Settings, products: tuple[DemoProduct, ...] | None = None
) -> tuple[ProductNotLoaded, ...]:
    """Make the demo's products that are not there yet and assess them; those that failed.

    Without the demo's engineer nothing happens. A product is made wholly or not at all; one that fails does not keep
    the others out, and is tried again the next time.
    """
    with database.read() as session:
        engineer = _engineer(session)
        missing = [
            product
            for product in (demo_products() if products is None else products)
            if product_reads.product_by_code(session, product.code) is None
        ]
    if engineer is None:
        return ()
    if missing:
        load_demo_pastes(database, engineer)
    failed = [failure for product in missing if (failure := _try(database, settings, engineer, product)) is not None]
    if missing:
        sweep(database)
    return tuple(failed)


def _engineer(session: Session) -> Person | None:
    row = people.row_by_login(session, ENGINEER)
    return people.person_from(session, row) if row is not None and row.is_demo else None


def _try(database: Database, settings: Settings, engineer: Person, product: DemoProduct) -> ProductNotLoaded | None:
    """Load one product; whatever goes wrong is reported, for the application has to start all the same."""
    try:
        _load(database, settings, engineer, product)
    except Exception as error:
        _log.exception("demo_product_not_loaded", product=product.code)
        reason = error.message if isinstance(error, MeltlineError) else f"{type(error).__name__}: {error}"
        return ProductNotLoaded(product.code, reason)
    return None


def _load(database: Database, settings: Settings, engineer: Person, product: DemoProduct) -> None:
    placement = _file(product.placement) if product.placement else None
    # The key is the product's own: a draft left by an interrupted start is taken up again.
    form_key = f"demo-product-{product.code}"
    new = NewUpload(_file(product.bom), form_key, placement=placement)
    token = uploads.start_upload(database, settings, engineer, new)
    try:
        with database.read() as session:
            version = drafts.open_draft(session, engineer, token).version
        commits.commit_upload(
            database,
            engineer,
            token,
            version,
            NewProduct(product.code, product.name),
            set_up=lambda session, product_id: _set_up(session, engineer, product_id, product),
        )
    except Exception:
        uploads.discard(database, engineer, token)
        raise


def _file(name: str) -> UploadedFile:
    path: Path = resource_dir("seed_data") / "boms" / name
    return UploadedFile(name, path.read_bytes())


def _set_up(session: Session, engineer: Person, product_id: int, product: DemoProduct) -> None:
    typed = {name: str(value) for name, value in (product.board | product.environment).items()}
    board, environment = setups.typed_setup(typed)
    setups.save_setup(session, engineer, product_id, board, environment, version=0)
    for route in product.routes:
        _add_route(session, engineer, product_id, route)
    for stated in product.declarations:
        declarations.declare(
            session,
            engineer,
            NewDeclaration(
                stated.claim,
                stated.scope,
                stated.reference,
                maker=stated.maker,
                product_id=product_id,
                number=stated.number,
                stated_on=stated.stated_on,
            ),
        )
    _state_values(session, engineer, product.values)


def _add_route(session: Session, engineer: Person, product_id: int, route: DemoRoute) -> None:
    if route.template:
        routes.new_route_from_template(session, engineer, product_id, route.template, route.paste, name=route.name)
    else:
        routes.save_route(session, engineer, product_id, Route(route.name, route.steps), is_today=route.today)


def _state_values(session: Session, engineer: Person, values: tuple[DemoValue, ...]) -> None:
    keys = {part_key(value.maker, value.mpn): value for value in values}
    ids = part_reads.ids_by_key(session, keys)
    for value in values:
        part_id = ids.get(part_key(value.maker, value.mpn))
        if part_id is None:
            raise NotFoundError(f"No line of the BOM names {value.maker} {value.mpn}.")
        source = ValueSource(value.kind, value.reference, value.note)
        parts.state_value(session, engineer, part_id, value.field, value.value, source)
