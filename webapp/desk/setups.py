"""Board and environment of a product."""

import math
import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass

from sqlmodel import Session

from webapp.desk import ledger, staleness
from webapp.desk.typed import typed_count, typed_number, typed_temperature
from webapp.errors import ConflictError, InvalidInputError, NotFoundError
from webapp.store.base import utc_now
from webapp.store.products import ProductRow
from webapp.store.setups import ProductSetupRow
from webapp.trade.ledger import EntryKind
from webapp.trade.masks import BoardFinish
from webapp.trade.people import Person
from webapp.trade.ranges import Span, number_text
from webapp.trade.setup import LIMITS, Board, DropClass, Environment
from webapp.trade.temperatures import parse_difference_k

CHANGED = "Somebody else changed this setup meanwhile. It stands below as it is now: make the change again."
_TEMPERATURES = {"t_min_c", "t_max_c", "laminate_tg_c", "laminate_td_c"}
_UNITS = {
    "length_mm": "mm",
    "width_mm": "mm",
    "thickness_mm": "mm",
    "layers": "layers",
    "copper_um": "µm",
    "cte_ppm_k": "ppm/K",
    "cycles_per_day": "/day",
    "years": "years",
    "humidity_pct": "%",
    "bias_v": "V",
}
_PLAUSIBLE = LIMITS | {"laminate_tg_c": Span(60.0, LIMITS["laminate_tg_c"].high)}
"""Laminates of rigid boards begin at 110 °C (IPC-4101, from memory), films of flexible ones at about 70 °C."""
_OUNCES = re.compile(r"(\d{1,2}(?:[.,]\d{1,3})?)\s*oz\.?(?:\s*/\s*ft(?:²|2))?", re.IGNORECASE)
_UM_PER_OUNCE = 35.0
"""Copper of one ounce on a square foot, as the trade rounds its 34 µm."""
_WHOLE = {"layers"}
_BOARD_NUMBERS = tuple(name for name in LIMITS if name in Board.__dataclass_fields__)
_ENVIRONMENT_NUMBERS = tuple(name for name in LIMITS if name in Environment.__dataclass_fields__)


@dataclass(frozen=True, slots=True)
class Setup:
    """What is known of a product; ``version`` 0 when nobody has said anything yet."""

    board: Board
    environment: Environment
    version: int


def setup_of(session: Session, product_id: int) -> Setup:
    """The setup of a product."""
    row = session.get(ProductSetupRow, product_id)
    if row is None:
        return Setup(Board(), Environment(), 0)
    board = Board(**{name: getattr(row, name) for name in _BOARD_NUMBERS}, finish=BoardFinish(row.finish))
    drop = DropClass(row.drop_class) if row.drop_class else None
    environment = Environment(**{name: getattr(row, name) for name in _ENVIRONMENT_NUMBERS}, drop_class=drop)
    return Setup(board, environment, row.version)


def typed_setup(typed: Mapping[str, str]) -> tuple[Board, Environment]:
    """Read what a form holds: field -> text as typed, "" for not known; ``finish`` keys of BoardFinish ("enig osp").

    Temperatures in °C or °F, lengths in mm, µm, mil or inch, ``board_heating_k`` a difference in K. InvalidInputError
    names the field.
    """
    numbers = {name: _typed_number(name, typed.get(name, "")) for name in LIMITS}
    low, high = numbers["t_min_c"], numbers["t_max_c"]
    if low is not None and high is not None and low > high:
        raise InvalidInputError("The lowest temperature is above the highest.", field="t_min_c")
    finish = BoardFinish.from_keys(typed.get("finish", "").replace(",", " ")) or BoardFinish.everything()
    drop = typed.get("drop_class", "").strip()
    if drop and drop not in set(DropClass):
        raise InvalidInputError(f"One of {', '.join(DropClass)}.", field="drop_class")
    layers = numbers.pop("layers")
    board = Board(
        **{name: numbers[name] for name in _BOARD_NUMBERS if name != "layers"},
        layers=None if layers is None else int(layers),
        finish=finish,
    )
    environment = Environment(
        **{name: numbers[name] for name in _ENVIRONMENT_NUMBERS}, drop_class=DropClass(drop) if drop else None
    )
    return board, environment


def save_setup(
    session: Session, person: Person, product_id: int, board: Board, environment: Environment, *, version: int
) -> None:
    """Store board and environment; ``version`` is that of the setup looked at (0 for none yet).

    ConflictError when it has changed since, InvalidInputError (naming the field) for what makes no sense.
    """
    # Locked, as two who save for the first time have no row of the setup to wait for.
    product = session.get(ProductRow, product_id, with_for_update=True)
    if product is None:
        raise NotFoundError("There is no such product.")
    row = session.get(ProductSetupRow, product_id, with_for_update=True)
    if (row.version if row else 0) != version:
        raise ConflictError(CHANGED)
    values = asdict(board) | asdict(environment)
    for name, span in LIMITS.items():
        value = values[name]
        if value is not None and not (math.isfinite(value) and span.contains(float(value))):
            raise InvalidInputError(f"{number_text(value)} is outside {span.text()}.", field=name)
    values["finish"] = int(board.finish)
    values["drop_class"] = environment.drop_class.value if environment.drop_class else None
    ledger.record(session, person, EntryKind.SETUP_SAVED, f"product {product.code}", dict(values))
    values |= {"changed_by": person.id, "changed_at": utc_now()}
    if row is None:
        session.add(ProductSetupRow(product_id=product_id, **values))
    else:
        for name, value in values.items():
            setattr(row, name, value)
        row.version += 1
    session.flush()
    staleness.product_changed(session, product_id)


def _typed_number(name: str, text: str) -> float | None:
    text = text.strip()
    if not text:
        return None
    if name in _TEMPERATURES:
        return typed_temperature(text, _PLAUSIBLE[name], field=name)
    if name == "board_heating_k":
        return parse_difference_k(text, field=name)
    if name in _WHOLE:
        return typed_count(text, LIMITS[name], field=name, unit=_UNITS[name])
    if name == "copper_um" and (ounces := _OUNCES.fullmatch(text)):
        text = number_text(_UM_PER_OUNCE * float(ounces[1].replace(",", ".")))
    return typed_number(text, LIMITS[name], field=name, unit=_UNITS[name])
