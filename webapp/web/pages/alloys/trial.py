"""A composition on trial: read from an address or a form, changed by steps, with what is wrong beside its field."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from urllib.parse import urlencode

from webapp.desk.typed import typed_number
from webapp.errors import InvalidInputError
from webapp.science.parameters import ELEMENTS
from webapp.trade.composition import Composition
from webapp.trade.elements import ELEMENTS as METALS
from webapp.trade.materials import Materials
from webapp.trade.ranges import Span, number_text

STEPS = ("0.1", "0.5", "1")
FIRST_STEP = "0.5"
SHARE = "share_"
"""Name of a field of a share before the symbol."""

_SHARES = Span(0, 100)
_DIGITS = 2


@dataclass(frozen=True, slots=True)
class Share:
    """One element's field: what stands in it and what is wrong with it."""

    symbol: str
    text: str
    error: str = ""

    @property
    def name(self) -> str:
        """The name of the field."""
        return f"{SHARE}{self.symbol}"

    @property
    def metal(self) -> str:
        """The element's name."""
        return METALS[self.symbol].name


@dataclass(frozen=True, slots=True)
class Trial:
    """A composition on trial; ``composition`` is None while ``errors`` (field -> sentence) stand.

    ``shares``: the fields of all elements but the ``balance``, which takes up the rest.
    """

    balance: str
    shares: tuple[Share, ...]
    step: str
    composition: Composition | None
    typed: str = ""
    errors: Mapping[str, str] = field(default_factory=dict)

    @property
    def rest_wt_pct(self) -> float | None:
        """What is left for the balance."""
        return self.composition.wt_pct.get(self.balance, 0.0) if self.composition else None

    @property
    def address(self) -> str:
        """The page that shows it again."""
        query = {"composition": self.composition.text if self.composition else self.typed}
        if self.step != FIRST_STEP:
            query["step"] = self.step
        return f"/alloys/try?{urlencode(query)}"


def trial_of(composition: Composition, step: str = FIRST_STEP) -> Trial:
    """``composition`` to start from, to 0.01 wt%: tin is the balance, without tin its greatest share."""
    rounded = composition.rounded(_DIGITS)
    balance = rounded.shares[0][0]
    symbols = [symbol for symbol in ELEMENTS if symbol != balance]
    symbols += sorted(rounded.elements - set(ELEMENTS))
    symbols.sort(key=lambda symbol: (_ORDER.index(symbol) if symbol in _ORDER else len(_ORDER), symbol))
    shares = tuple(Share(symbol, number_text(round(rounded.wt_pct.get(symbol, 0.0), _DIGITS))) for symbol in symbols)
    return Trial(balance, shares, _step(step), rounded, rounded.text)


def trial_typed(text: str, step: str, materials: Materials) -> Trial:
    """From a composition as people write it, or what an alloy of the site is called; otherwise a trial of tin with
    the error of the field ``composition``."""
    try:
        return trial_of(materials.composition(text), step)
    except InvalidInputError as error:
        tin = trial_of(Composition.of({"Sn": 100.0}), step)
        return Trial(tin.balance, tin.shares, tin.step, None, text, {"composition": error.message})


def trial_from_shares(typed: Mapping[str, str], balance: str, step: str, change: str = "") -> Trial:
    """From the fields of a form: ``typed`` symbol -> text. ``change``: "Bi+" or "Bi-" moves that share by ``step``."""
    if balance not in METALS or any(symbol not in METALS for symbol in typed) or balance in typed:
        raise InvalidInputError("These are no shares of the elements of a solder.", field="composition")
    step = _step(step)
    shares = tuple(_share(symbol, text, change, float(step)) for symbol, text in typed.items())
    errors = {share.name: share.error for share in shares if share.error}
    if errors:
        return Trial(balance, shares, step, None, errors=errors)
    values = {share.symbol: _number(share.text) for share in shares}
    rest = 100 - sum(values.values())
    if rest < 0:
        changed = change[:-1] or max(values, key=values.__getitem__)
        message = f"The shares sum to {number_text(round(100 - rest, 2))} wt%: nothing is left for {balance}."
        shares = tuple(Share(one.symbol, one.text, message if one.symbol == changed else "") for one in shares)
        return Trial(balance, shares, step, None, errors={f"{SHARE}{changed}": message})
    composition = Composition.of({balance: rest, **values})
    return Trial(balance, shares, step, composition.rounded(_DIGITS), composition.text)


_ORDER = ("Sn", "Bi", "Ag", "Cu", "Pb")


def _step(text: str) -> str:
    return text if text in STEPS else FIRST_STEP


def _share(symbol: str, text: str, change: str, step: float) -> Share:
    try:
        value = _number(text)
    except InvalidInputError as error:
        return Share(symbol, text, error.message)
    if change in (f"{symbol}+", f"{symbol}-"):
        value = min(max(round(value + (step if change.endswith("+") else -step), _DIGITS), 0.0), 100.0)
        text = number_text(value)
    return Share(symbol, text)


def _number(text: str) -> float:
    return typed_number(text, _SHARES, field="share", unit="wt%") if text.strip() else 0.0
