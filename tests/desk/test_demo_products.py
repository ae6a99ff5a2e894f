"""The demo's products come in as uploaded files do, and show something of every check."""

import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import msgspec
import pytest
from hatchling.builders.wheel import WheelBuilder
from sqlmodel import select

from webapp.checks.declare import registry
from webapp.desk import cases, demo, demo_products, drafts, uploads
from webapp.desk.demo_products import DemoValue, load_demo_products
from webapp.desk.part_facts import guess_of
from webapp.store import people, product_reads
from webapp.store.parts import DeclarationRow, PartRow, PartValueRow
from webapp.trade.classes import PartClass
from webapp.trade.facts import PartField
from webapp.trade.masks import Mounting
from webapp.trade.people import Role

ROOT = Path(__file__).parents[2]
PRODUCTS = demo_products.demo_products()
UNKNOWN = PartClass.UNKNOWN_SMD | PartClass.UNKNOWN_LEADED
CODES = [product.code for product in PRODUCTS]


@pytest.fixture
def with_people(database, passwords):
    """The database with the demo's people."""
    demo.load_demo(database, passwords)
    return database


@pytest.fixture
def engineer(with_people):
    """The demo's engineer."""
    with with_people.read() as session:
        return people.person_from(session, people.row_by_login(session, demo_products.ENGINEER))


def all_cases(session):
    """(code, case, its findings) of every product and route."""
    for code in CODES:
        product = product_reads.product_by_code(session, code)
        for entry in cases.cases_of(session, product.id):
            yield code, entry, cases.findings_of(session, entry.id)


class TestLoaded:
    """All products in an empty database; loaded once a test, for it takes about two seconds."""

    def test_they_are_read_matched_and_assessed(self, with_people, settings, engineer):
        assert load_demo_products(with_people, settings) == ()
        with with_people.read() as session:
            self.counts_are_those_of_the_description(session, engineer)
            self.every_check_says_something(session)
            self.all_verdicts_appear(session)
            self.the_lamp_stays_and_the_logger_waits_for_its_coating(session)
            self.parts_are_recognised(session)
        # A second start finds everything there.
        assert load_demo_products(with_people, settings) == ()
        with with_people.read() as session:
            self.counts_are_those_of_the_description(session, engineer)
            assert len(product_reads.list_products(session, "", 0, 100)[0]) == len(PRODUCTS)
            assert drafts.own_open_drafts(session, engineer) == []

    def counts_are_those_of_the_description(self, session, engineer):
        for product in PRODUCTS:
            row = product_reads.product_by_code(session, product.code)
            revision = product_reads.last_revision(session, row.id)
            stored = (revision.line_count, revision.fitted_count, revision.dnp_count, revision.excluded_count)
            assert stored == msgspec.structs.astuple(product.counts), product.code
            assert (row.name, revision.number, revision.uploaded_by) == (product.name, 1, engineer.id)
            assert 60 <= product.counts.lines <= 250
            assert revision.problem_count == 0, product.code

    def every_check_says_something(self, session):
        found = {finding.check for _, _, findings in all_cases(session) for finding in findings}
        proved = {
            check for _, entry, _ in all_cases(session) for check, count in entry.row.fine_by_check.items() if count
        }
        assert set(registry()) == found | proved
        # What only passes shows nothing: each check has to find fault somewhere.
        assert set(registry()) == found

    def all_verdicts_appear(self, session):
        candidates = [findings for _, entry, findings in all_cases(session) if not entry.is_today]
        verdicts = {finding.verdict for findings in candidates for finding in findings if not finding.same_as_today}
        assert verdicts == {"blocks", "change", "prove", "gain"}
        assert all(not entry.stale for _, entry, _ in all_cases(session))

    def the_lamp_stays_and_the_logger_waits_for_its_coating(self, session):
        blocked = {
            (code, entry.name, finding.check)
            for code, entry, findings in all_cases(session)
            for finding in findings
            if finding.verdict == "blocks"
        }
        assert ("LC-90", "low temperature, then wave", "joint-runs-hot") in blocked
        assert ("ML-85", "low temperature, today's coating", "later-heat") in blocked
        assert ("AQ-310", "low temperature, today's underfill", "inside-underfill") in blocked
        assert ("BD-200", "panel connector printed apart", "one-alloy-a-side") in blocked
        assert not any(name == "low temperature, coating cured at 80 °C" for _, name, _ in blocked)
        assert not any(name == "low temperature, underfill cured at 100 °C" for _, name, _ in blocked)

    def parts_are_recognised(self, session):
        guesses = {row.mpn: guess_of(row).classes for row in session.exec(select(PartRow))}
        unsure = {mpn for mpn, classes in guesses.items() if not classes.certain or classes & UNKNOWN}
        # The assembly "see drawing" is meant to stay unknown.
        assert unsure == {"HVI-0417"}


@pytest.mark.parametrize(
    "wrong",
    [
        {"values": (DemoValue("Nobody", "NO-1", PartField.PASSES, "2", reference="none"),)},
        {"bom": "no such file.csv"},
        {"board": {"finish": "enig", "layers": "many"}},
    ],
    ids=["a part that is not in the BOM", "a file that is not there", "a setup that makes no sense"],
)
def test_one_that_fails_leaves_nothing_behind_and_keeps_no_other_out(with_people, settings, engineer, wrong):
    lamp, logger = PRODUCTS[2], PRODUCTS[3]
    failed = load_demo_products(with_people, settings, (msgspec.structs.replace(lamp, **wrong), logger))
    assert [failure.code for failure in failed] == [lamp.code]
    assert failed[0].words.startswith("The demo product LC-90 was not loaded: ")
    with with_people.read() as session:
        assert product_reads.product_by_code(session, lamp.code) is None
        assert product_reads.product_by_code(session, logger.code) is not None
        assert drafts.own_open_drafts(session, engineer) == []
        assert len(session.exec(select(PartValueRow)).all()) == len(logger.values)
        assert len(session.exec(select(DeclarationRow)).all()) == len(logger.declarations)
    # Put right, it comes in with the next start.
    assert load_demo_products(with_people, settings, (lamp, logger)) == ()
    with with_people.read() as session:
        assert product_reads.product_by_code(session, lamp.code) is not None


def test_without_the_demo_engineer_nothing_is_loaded(database, settings, add_person):
    add_person(Role.ENGINEER, login=demo_products.ENGINEER)
    assert load_demo_products(database, settings) == ()
    with database.read() as session:
        assert product_reads.list_products(session, "", 0, 10)[1] == 0


def test_the_files_are_those_that_the_lists_make(tmp_path):
    code = f"import sys; sys.path.insert(0, {str(ROOT / 'seed_data')!r}); import make, pathlib"
    run = f"{code}; make.write_all(pathlib.Path({str(tmp_path)!r}))"
    subprocess.run([sys.executable, "-c", run], check=True)
    made = {path.name: _content(path) for path in tmp_path.iterdir()}
    stored = {path.name: _content(path) for path in (ROOT / "seed_data" / "boms").iterdir()}
    assert made == stored
    assert {product.bom for product in PRODUCTS} | {p.placement for p in PRODUCTS if p.placement} == stored.keys()


def _content(path):
    """The bytes, of a workbook those of its entries: packing differs between versions of the compressor."""
    if not zipfile.is_zipfile(path):
        return path.read_bytes()
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_all_stored_files_come_from_the_demo(with_people, settings):
    load_demo_products(with_people, settings, PRODUCTS[1:2])
    contents = [(ROOT / "seed_data" / "boms" / name).read_bytes() for name in (PRODUCTS[1].bom, PRODUCTS[1].placement)]
    stored = [path.read_bytes() for path in settings.files_dir.rglob("*") if path.is_file()]
    assert sorted(stored) == sorted(contents)


def test_the_wheel_and_the_source_archive_hold_the_demo(tmp_path):
    (wheel,) = WheelBuilder(str(ROOT)).build(directory=str(tmp_path), versions=["standard"])
    with zipfile.ZipFile(wheel) as archive:
        packed = {name.removeprefix("webapp/_resources/seed_data/") for name in archive.namelist()}
    assert {"products.toml", *(f"boms/{product.bom}" for product in PRODUCTS)} <= packed
    build = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["hatch"]["build"]["targets"]
    assert "seed_data" in build["sdist"]["include"]


def test_mounting_and_classes_are_told_apart_in_the_demo(with_people, settings):
    """Through-hole parts of the lamp are known as such: they must not be taken through the oven."""
    load_demo_products(with_people, settings, PRODUCTS[2:3])
    with with_people.read() as session:
        rows = {row.mpn: guess_of(row) for row in session.exec(select(PartRow)).all()}
    assert rows["ZWKK16-12"].classes == PartClass.RELAY
    assert rows["HLR-2535-101M450"].classes == PartClass.CAN_LEADED
    assert rows["HLX2-334K310"].mounting == Mounting.THROUGH_HOLE
    assert rows["BRLN6507-D2"].classes == PartClass.POWER_SEMI


def test_a_start_that_was_interrupted_is_taken_up_again(with_people, settings, engineer):
    logger = PRODUCTS[3]
    file = uploads.UploadedFile(logger.bom, (ROOT / "seed_data" / "boms" / logger.bom).read_bytes())
    uploads.start_upload(with_people, settings, engineer, uploads.NewUpload(file, f"demo-product-{logger.code}"))
    assert load_demo_products(with_people, settings, (logger,)) == ()
    with with_people.read() as session:
        assert drafts.own_open_drafts(session, engineer) == []
        assert [revision.code for revision in product_reads.revisions_by(session, engineer.id, 10)] == [logger.code]
