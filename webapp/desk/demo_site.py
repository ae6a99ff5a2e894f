"""The demo's pastes, as seed_data/pastes.toml has them: stored as a person would store them, before the routes that
name them."""

from functools import cache

import msgspec

from webapp.desk import site_pastes
from webapp.desk.site import site_of
from webapp.desk.site_pastes import PasteForm
from webapp.resources import resource_dir
from webapp.store.engine import Database
from webapp.trade.people import Person


class _Seed(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    paste: tuple[PasteForm, ...]


@cache
def demo_pastes() -> tuple[PasteForm, ...]:
    """The demo's pastes."""
    return msgspec.toml.decode((resource_dir("seed_data") / "pastes.toml").read_bytes(), type=_Seed).paste


def load_demo_pastes(database: Database, engineer: Person) -> None:
    """Store those whose names there are not yet."""
    with database.command() as session:
        materials = site_of(session).materials
        for form in demo_pastes():
            if materials.paste(form.name) is None:
                site_pastes.save_paste(session, engineer, site_pastes.read_paste(form, materials))
