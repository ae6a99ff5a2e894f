"""What makers write into question sheets, in the words that fields of parts are read from.

Finishes and balls by their metals after the table of J-STD-609; the ways of writing themselves are common practice, no
source.
"""

import re
from typing import TypeVar

from webapp.errors import InvalidInputError
from webapp.trade.composition import read_composition
from webapp.trade.facts import PartField
from webapp.trade.finish_words import MOST_SILVER_LOW_WT_PCT, silver_of_sac
from webapp.trade.masks import LEAD_FREE_BALLS, LEAD_FREE_FINISHES, BallAlloy, Finish

Kind = TypeVar("Kind", Finish, BallAlloy)

_NO_ANSWER = frozenset(
    {"n/a", "na", "n.a", "-", "--", "–", "—", "?", "tbd", "unknown", "not known", "not available", "not applicable"}
)
_TIMES = re.compile(r"(?P<count>\d+)\s*(?:x|×|times|cycles|reflows|reflow cycles)", re.IGNORECASE)
_LEVEL = re.compile(r"^(?:moisture (?:sensitivity )?)?level\b\s*:?", re.IGNORECASE)
_YES_OR_NO = re.compile(r"(?:yes|no|never)\b.+", re.IGNORECASE | re.DOTALL)
_SUITS = (PartField.OVEN, PartField.WASH, PartField.VACUUM)


def plain_answer(field: PartField, text: str) -> str:
    """The answer as ``part_fields.parse_value`` takes it; "" where it says that there is none ("n/a", "-").

    InvalidInputError (``field``) for what says more than one field can hold, and for a finish or ball in other words.
    """
    bare = " ".join(text.split()).rstrip(".").strip()
    if bare.casefold() in _NO_ANSWER:
        return ""
    if field in _SUITS and _YES_OR_NO.fullmatch(bare):
        raise InvalidInputError(
            f"“{bare}” says more than yes or no: write yes or no here, and numbers in the row that asks for them, such"
            " as that of the allowed reflow passes.",
            field=field,
        )
    if field in (PartField.FINISH, PartField.BALLS):
        return (_finish_of if field is PartField.FINISH else _balls_of)(bare).keys
    if field is PartField.MSL:
        return _LEVEL.sub("", bare)
    if field is PartField.PASSES and (times := _TIMES.fullmatch(bare)):
        return times["count"]
    return bare


_METALS = {
    "tin": "Sn", "silver": "Ag", "copper": "Cu", "gold": "Au", "nickel": "Ni", "palladium": "Pd", "lead": "Pb",
    "bismuth": "Bi", "zinc": "Zn", "indium": "In",
}  # fmt: skip
_LEAD_FREE = re.compile(r"\b(?:lead|pb)[\s-]*free\b", re.IGNORECASE)
_UNDER = re.compile(r"\b(?:over|on)\s+(?:nickel|copper|ni|cu)\b", re.IGNORECASE)
_NAMES = re.compile(rf"\b(?:{'|'.join(_METALS)})\b", re.IGNORECASE)
_SYMBOL = re.compile("|".join(_METALS.values()))
_SAC = re.compile(r"\bSAC[\s-]*(\d\d)?\d{0,2}\b", re.IGNORECASE)
_BESIDE = re.compile(
    r"\b(?:matte?|mat|bright|dull|pure|plat(?:ed|ing)|electroplated|electroless|immersion|flash|hot|dipped|annealed|finish|balls?"
    r"|solder|alloy|wt|pct)\b",
    re.IGNORECASE,
)
_CATEGORY = re.compile(r"\be\d\b", re.IGNORECASE)
_PRECIOUS = frozenset({"Ag", "Au", "Pd"})
_LEAST_LEAD_HIGH = 80.0
"""wt% of lead from which balls and columns count as high-lead (90Pb10Sn and its like); common practice, no source."""


def _finish_of(text: str) -> Finish:
    found = Finish(0)
    for part in _alternatives(text):
        named = Finish.from_keys(" ".join(_CATEGORY.findall(part)))
        metals = _finish_by_metals(_CATEGORY.sub(" ", part))
        if not (named or metals):
            raise InvalidInputError(
                f"“{part}” names no finish that is known here: write the category of J-STD-609 (e3), the metals (matte"
                " Sn, NiPdAu, SnAgCu) or lead-free."
            )
        found |= named.narrowed_by(metals) if named and metals else named or metals
    return found


def _finish_by_metals(text: str) -> Finish:
    metals, is_pure = _metals_in(text)
    if not is_pure:
        return Finish(0)
    if not metals:
        return LEAD_FREE_FINISHES if _LEAD_FREE.search(text) else Finish(0)
    if "Pb" in metals:
        return Finish.E0
    if "Bi" in metals:
        return Finish.E6
    if metals & _PRECIOUS and metals <= _PRECIOUS | {"Ni", "Cu"}:
        return Finish.E4
    if metals == {"Sn", "Ag", "Cu"}:
        return _by_silver(text, Finish.E1, Finish.E8)
    if "/" in text and metals in ({"Sn", "Cu"}, {"Sn", "Ag"}, {"Sn", "Ni"}):
        # An alloy, or tin over a layer of the other: the slash is used for both.
        return Finish.E2 | Finish.E3
    return _BY_METALS.get(frozenset(metals), Finish(0))


_BY_METALS = {
    frozenset({"Sn"}): Finish.E3,
    frozenset({"Sn", "Cu"}): Finish.E2,
    frozenset({"Sn", "Ag"}): Finish.E2,
    frozenset({"Sn", "Zn"}): Finish.E5,
}


def _balls_of(text: str) -> BallAlloy:
    found = BallAlloy(0)
    for part in _alternatives(text):
        found |= (balls := _balls_by_keys(part) or _balls_by_metals(part))
        if not balls:
            raise InvalidInputError(
                f"“{part}” names no ball alloy that is known here: write the alloy (SAC305, SnAgCu, SnPb, SnBi) or one"
                f" of {', '.join(member.key for member in BallAlloy)}."
            )
    return found


def _balls_by_keys(text: str) -> BallAlloy:
    try:
        return BallAlloy.from_keys(text)
    except InvalidInputError:
        return BallAlloy(0)


def _balls_by_metals(text: str) -> BallAlloy:
    metals, is_pure = _metals_in(text)
    if not is_pure:
        return BallAlloy(0)
    if not metals:
        return LEAD_FREE_BALLS if _LEAD_FREE.search(text) else BallAlloy(0)
    if "Pb" in metals:
        share = _share("Pb", text)
        if share is None:
            return BallAlloy.TIN_LEAD | BallAlloy.HIGH_LEAD
        return BallAlloy.HIGH_LEAD if share >= _LEAST_LEAD_HIGH else BallAlloy.TIN_LEAD
    if metals == {"Sn", "Ag", "Cu"}:
        return _by_silver(text, BallAlloy.SAC_HIGH_SILVER, BallAlloy.SAC_LOW_SILVER)
    if metals in ({"Sn", "Cu"}, {"Sn", "Ag"}):
        return BallAlloy.TIN_COPPER_OR_SILVER
    return BallAlloy.TIN_BISMUTH if metals in ({"Sn", "Bi"}, {"Sn", "Bi", "Ag"}) else BallAlloy(0)


def _alternatives(text: str) -> list[str]:
    return [part for part in (one.strip() for one in re.split(r"\bor\b|[,;](?!\d)", text)) if part]


def _metals_in(text: str) -> tuple[set[str], bool]:
    """The metals named, and whether nothing else is: a word that is not understood leaves the meaning open."""
    plain = _NAMES.sub(
        lambda name: _METALS[name[0].casefold()], _BESIDE.sub(" ", _UNDER.sub(" ", _LEAD_FREE.sub(" ", text)))
    )
    plain = _SAC.sub(" SnAgCu ", plain)
    return set(_SYMBOL.findall(plain)), not re.search(r"[^\W\d_]", _SYMBOL.sub(" ", plain))


def _by_silver(text: str, high: Kind, low: Kind) -> Kind:
    """The kind by its silver; both where its share is not said. "SAC305" has 3.0 %, "SAC0307" 0.3 %."""
    sac = _SAC.search(text)
    share = silver_of_sac(sac[1]) if sac and sac[1] else _share("Ag", text)
    if share is None:
        return high | low
    return high if share > MOST_SILVER_LOW_WT_PCT else low


def _share(metal: str, text: str) -> float | None:
    """wt% of a metal where the text is a whole composition ("Sn63Pb37"), else None."""
    try:
        return read_composition(_BESIDE.sub(" ", text)).wt_pct.get(metal)
    except InvalidInputError:
        return None
