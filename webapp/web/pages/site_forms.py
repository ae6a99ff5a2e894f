"""What the forms of alloys, pastes and figures share: the fields as sent, what differs after a conflict."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict
from typing import TYPE_CHECKING, TypeVar

from starlette.datastructures import FormData, QueryParams

from webapp.store.site import SiteUse

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

_Form = TypeVar("_Form", bound="DataclassInstance")


def sent(kind: type[_Form], form: FormData | QueryParams) -> _Form:
    """The form as it was sent: a text for each of its fields, "" for what was not sent."""
    texts = {name: form.get(name, "") for name in kind.__dataclass_fields__}
    return kind(**{name: text if isinstance(text, str) else "" for name, text in texts.items()})


def differences(
    stored: "DataclassInstance", typed: "DataclassInstance", labels: Mapping[str, str]
) -> list[tuple[str, str, str]]:
    """(field, as stored now, as typed) for what differs, blanks around it aside."""
    now, yours = asdict(stored), asdict(typed)
    return [(labels[name], now[name], yours[name]) for name in labels if now[name].strip() != yours[name].strip()]


def products_of(uses: Iterable[SiteUse]) -> set[int]:
    """Ids of the products in which something is used."""
    return {use.product_id for use in uses}
