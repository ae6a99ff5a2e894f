"""A product from files in one go: upload, first revision, routes, declaration, assessment. What a script calls."""

from dataclasses import dataclass

from sqlmodel import Session

from webapp.desk import assessing, commits, declarations, drafts, routes, uploads
from webapp.desk.commits import NewProduct
from webapp.desk.declarations import NewDeclaration
from webapp.desk.site import site_of
from webapp.desk.uploads import NewUpload, UploadedFile
from webapp.errors import InvalidInputError, NotUsableError
from webapp.intake.gate import read_bom_file
from webapp.settings import Settings
from webapp.store import product_reads
from webapp.store.engine import Database
from webapp.trade.facts import Claim, Scope
from webapp.trade.people import Person
from webapp.trade.products import tidy_code
from webapp.trade.route_templates import route_template


@dataclass(frozen=True, slots=True)
class ProductFromFiles:
    """What a product is made from. ``paste``: what ``routes.low_paste`` reads; ``lead_free``: the reference of a
    supplier's declaration that the terminations on this BOM are lead-free, "" for none."""

    code: str
    bom: UploadedFile
    template: str
    placement: UploadedFile | None = None
    paste: str = ""
    lead_free: str = ""
    name: str = ""


def new_product(database: Database, settings: Settings, person: Person, new: ProductFromFiles) -> str:
    """Make the product with its BOM as revision 1, assess it; its code.

    Everything is checked before anything is stored: NotFoundError (``route``), InvalidInputError (``paste``, ``code``,
    ...), UnreadableFileError (``file``, ``placement``), NotUsableError when the file is no board BOM.
    """
    code = tidy_code(new.code)
    route_template(new.template)
    with database.read() as session:
        routes.low_paste(site_of(session).materials, new.paste)
        existing = product_reads.product_by_code(session, code)
    if existing is not None:
        raise InvalidInputError(f"There is a product {existing.code} already; choose another code.", field="code")
    reading = read_bom_file(new.bom.content, new.bom.name)
    if not reading.is_board_bom:
        raise NotUsableError(f"{new.bom.name} is no board BOM: {reading.why_not_bom}.", field="file")
    token = uploads.start_upload(
        database, settings, person, NewUpload(new.bom, uploads.new_form_key(), placement=new.placement)
    )
    with database.read() as session:
        version = drafts.open_draft(session, person, token).version

    def set_up(session: Session, product_id: int) -> None:
        routes.new_route_from_template(session, person, product_id, new.template, new.paste)
        if new.lead_free.strip():
            declarations.declare(
                session, person, NewDeclaration(Claim.LEAD_FREE, Scope.BOM, new.lead_free, product_id=product_id)
            )

    target = NewProduct(code, new.name or code)
    committed = commits.commit_upload(database, person, token, version, target, set_up=set_up)
    with database.read() as session:
        product = product_reads.product_by_code(session, committed.code)
    if product is None or product.id is None:
        raise RuntimeError(f"the product {committed.code} was committed and is gone")
    assessing.reassess(database, product.id)
    return committed.code
