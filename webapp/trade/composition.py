"""The composition of an alloy: read from what people write, checked, and put in one form.

Read are ``Sn42Bi57Ag1``, ``42Sn-57Bi-1Ag`` and ``Sn-57Bi-1Ag`` or ``SnBi57Ag1``, where the first element is the
balance; weight per cent throughout. Blanks, colons and per cent signs ("%", "wt%", "mass-%", "% by weight") do not
matter; a decimal comma is understood.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from webapp.errors import InvalidInputError
from webapp.trade.elements import ELEMENTS

SUM_TOLERANCE_WT_PCT = 0.2
LEAST_WT_PCT = 0.0001
MOST_ELEMENTS = 8
_MOST_TEXT = 100
_EXACT = 1e-9
_BY_WEIGHT = re.compile(
    r"(?:wt|mass|m|w|gew)\.?\s*-?\s*%|%\s*(?:by\s+(?:weight|mass)|\(?w/w\)?|\(?m/m\)?)", re.IGNORECASE
)
_TOKEN = re.compile(r"[A-Z][a-z]?|\d+(?:\.\d+)?")


@dataclass(frozen=True)
class Composition:
    """Weight per cent by element, summing to 100, in one order: tin first, then the greater share."""

    shares: tuple[tuple[str, float], ...]

    @classmethod
    def of(cls, wt_pct: Mapping[str, float], *, field: str = "composition") -> "Composition":
        """From shares in wt%, which must sum to 100 within 0.2 and are brought to 100; no share may be negative.

        Raises :class:`InvalidInputError` naming ``field``.
        """
        for symbol, share in wt_pct.items():
            if symbol not in ELEMENTS:
                raise InvalidInputError(f'"{symbol}" is not an element that solders are made of.', field=field)
            if not 0 <= share <= 100 + SUM_TOLERANCE_WT_PCT:
                raise InvalidInputError(f"{symbol}: a share is between 0 and 100 wt%.", field=field)
        present = {symbol: share for symbol, share in wt_pct.items() if share >= LEAST_WT_PCT}
        total = sum(present.values())
        if abs(total - 100) > SUM_TOLERANCE_WT_PCT:
            raise InvalidInputError(f"The shares sum to {total:.4g} wt%, not to 100.", field=field)
        if len(present) > MOST_ELEMENTS:
            raise InvalidInputError(f"More than {MOST_ELEMENTS} elements.", field=field)
        ordered = sorted(present.items(), key=lambda item: (item[0] != "Sn", -item[1], item[0]))
        # A sum that is 100 but for the last digits leaves the shares as they were written.
        scale = 1.0 if abs(total - 100) < _EXACT else 100 / total
        return cls(tuple((symbol, share * scale) for symbol, share in ordered))

    @cached_property
    def wt_pct(self) -> dict[str, float]:
        """Weight per cent by element."""
        return dict(self.shares)

    @property
    def elements(self) -> frozenset[str]:
        """Symbols of the elements in it."""
        return frozenset(symbol for symbol, _ in self.shares)

    @property
    def text(self) -> str:
        """The usual way of writing: ``Sn42Bi57Ag1``, to 0.01 wt%."""
        return "".join(f"{symbol}{share:.2f}".rstrip("0").rstrip(".") for symbol, share in self.shares)

    @property
    def density_g_cm3(self) -> float:
        """By the mix rule 1 / sum(w / rho): volumes add up, within about 1 % for solders."""
        return 100 / sum(share / ELEMENTS[symbol].density_g_cm3 for symbol, share in self.shares)

    def rounded(self, digits: int = 2) -> "Composition":
        """The same to ``digits`` decimals of wt%, the greatest share taking up the rest; nothing is kept of nothing."""
        greatest = max(self.shares, key=lambda pair: pair[1])[0]
        shares = {symbol: round(share, digits) for symbol, share in self.shares if symbol != greatest}
        return Composition.of({greatest: round(100 - sum(shares.values()), digits), **shares})

    def __str__(self) -> str:
        return self.text


def read_composition(text: str, *, field: str = "composition") -> Composition:
    """The composition that ``text`` names. Raises :class:`InvalidInputError` naming ``field``, saying what is wrong."""
    pieces = _pieces(text, field)
    shares: dict[str, float] = {}
    balance = ""
    for place, (symbol, share) in enumerate(pieces):
        if share is None and symbol not in ELEMENTS:
            raise _unreadable(text, field)
        if symbol in shares or symbol == balance:
            raise InvalidInputError(f"{symbol} is named twice.", field=field)
        if share is not None:
            shares[symbol] = share
        elif place == 0:
            balance = symbol
        else:
            raise InvalidInputError(f"{symbol} has no share; only the first element can be the balance.", field=field)
    if balance:
        shares[balance] = 100.0 if not shares else 100 - sum(shares.values())
        if shares[balance] <= 0:
            raise InvalidInputError(f"Nothing is left for {balance}: the others sum to 100 wt% or more.", field=field)
    return Composition.of(shares, field=field)


def mixed(parts: Mapping[Composition, float]) -> Composition:
    """What ``parts``, by mass in any unit, become when they mix."""
    total = sum(parts.values())
    shares: dict[str, float] = {}
    for composition, mass in parts.items():
        for symbol, share in composition.shares:
            shares[symbol] = shares.get(symbol, 0.0) + share * mass / total
    return Composition.of(shares)


def _pieces(text: str, field: str) -> list[tuple[str, float | None]]:
    """Elements with their shares in the order written; ``None`` where none is given."""
    if len(text) > _MOST_TEXT:
        raise InvalidInputError("This is too long for a composition.", field=field)
    plain = re.sub(r"(?<=\d),(?=\d)", ".", text)
    plain = _BY_WEIGHT.sub("", plain)
    plain = re.sub(r"[\s%:=]|(?:wt|bal)\.?", "", plain).replace("–", "-").replace("/", "-").replace("+", "-")
    pieces: list[tuple[str, float | None]] = []
    for part in filter(None, re.split(r"[-,;]", plain)):
        pieces += _part(part, text, field)
    if not pieces:
        raise InvalidInputError("A composition is needed, such as Sn42Bi57Ag1.", field=field)
    return pieces


def _part(part: str, text: str, field: str) -> list[tuple[str, float | None]]:
    tokens = _TOKEN.findall(part)
    if "".join(tokens) != part:
        raise _unreadable(text, field)
    number_first = tokens[0][0].isdigit()
    ends_bare = not tokens[-1][0].isdigit() and any(token[0].isdigit() for token in tokens)
    if not number_first and ends_bare:
        raise _ambiguous(text, tokens, field)
    ordered = tokens[::-1] if number_first else tokens
    pieces: list[tuple[str, float | None]] = []
    for token in ordered:
        if not token[0].isdigit():
            pieces.append((token, None))
        elif pieces and pieces[-1][1] is None:
            pieces[-1] = (pieces[-1][0], float(token))
        else:
            raise InvalidInputError(f'"{token}" in "{text}" belongs to no element.', field=field)
    return pieces[::-1] if number_first else pieces


def _unreadable(text: str, field: str) -> InvalidInputError:
    return InvalidInputError(f'"{text}" cannot be read as a composition such as Sn42Bi57Ag1.', field=field)


def _ambiguous(text: str, tokens: list[str], field: str) -> InvalidInputError:
    return InvalidInputError(
        f'"{text}" can be read in two ways: write {tokens[0]}-{"-".join(_pairs(tokens[1:]))} '
        f"({tokens[0]} the balance), or give each element its share.",
        field=field,
    )


def _pairs(tokens: list[str]) -> list[str]:
    return ["".join(tokens[place : place + 2]) for place in range(0, len(tokens), 2)]
