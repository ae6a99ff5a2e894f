"""What the words of a line say of lead: "SnPb", "63/37", "lead-free", "matte tin", "SAC305 balls".

"Leaded" and "no lead" mostly speak of leads: they count only beside finish, balls, solder or plating. What a line says
for and against lead at once leaves it open.
"""

import re
from dataclasses import dataclass
from functools import lru_cache

from webapp.trade.masks import LEAD_FREE_BALLS, LEAD_FREE_FINISHES, BallAlloy, Finish

_CACHED_TEXTS = 20_000
_METAL = (
    r"(?:finish(?:ed)?|balls?|bumps?|columns?|solder|alloy|plat(?:ing|ed)|terminations?|terminals?|coating|tinned"
    r"|dipped)"
)
_OF_ALLOY = r"(?:finish|balls?|bumps?|columns?|solder|alloy|plating|coating)"
"""What is leaded by its alloy; leaded terminals are wires."""
_SHARE = r"(?:0?5|10|20|3[5-8]|40|50|60|6[1-3]|80|90|95)"
"""Shares of tin or lead in usual solders, per cent."""
_NOT_OF_THE_PART = r"(?![\s/-]*(?:free\b|frei\b|compat|process|reflow|soldering|solderable|assembly|profile))"
_HOLDS_LEAD = re.compile(
    rf"(?<![a-z\d])(?P<no>(?:no|not|non|without|ohne|sans|compatible with)[\s-]+)?(?P<words>"
    rf"(?:sn\s?{_SHARE}?[\s/-]?pb\s?{_SHARE}?|{_SHARE}\s?sn[\s/-]?{_SHARE}\s?pb"
    rf"|pb\s?{_SHARE}?[\s/-]?sn\s?{_SHARE}?|{_SHARE}\s?pb[\s/-]?{_SHARE}\s?sn)(?![a-z\d])"
    r"|63\s?/\s?37(?!\d)|(?<!matte )(?<!matt )(?<!pure )tin[\s/-]+lead(?!ed|s)|lead[/-]tin(?!\w)"
    r"|zinn[\s/-]?blei|bleihaltig\w*|verbleit\w*|étain[\s/-]?plomb|estaño[\s/-]?plomo|stagno[\s/-]?piombo|有铅"
    rf"|leaded[\s-]+(?:solder[\s-]+)?(?:{_OF_ALLOY}|c?bga)\b|{_OF_ALLOY}\s?[:=]\s?leaded|balls\s+leaded"
    r"|contains\s+(?:lead|pb)\b|high[\s-]lead(?:ed)?\s+(?:balls|solder|columns|alloy))"
    rf"{_NOT_OF_THE_PART}",
    re.IGNORECASE,
)
_NOT_LEAD_FREE = re.compile(
    r"(?<!\w)(?:not?|non|nicht)[\s-]+(?:lead[\s-]?free|pb[\s-]?free|bleifrei)"
    r"|(?:lead|pb)[\s-]?free\s?[:=]\s?(?:no|n)(?!\w)",
    re.IGNORECASE,
)
_NOT_ROHS = re.compile(
    r"(?<!\w)(?:not?|non|nicht)[\s-]?rohs|rohs\s?[:=]?\s?(?:no|n|non|not|nein)(?![\w.])|rohs[\s-]+non", re.IGNORECASE
)
_ROHS_WITH_LEAD = re.compile(r"rohs[\s-]?(?:5|exempt|5\s?/\s?6|5 of 6)(?!\w)", re.IGNORECASE)
"""Five of the six substances: lead in solder was exempt."""
_LEAD_FREE = re.compile(
    r"(?<!\w)(?:lead[\s-]?free|pb[\s-]?free|bleifrei\w*|sans[\s-]plomb|sin plomo|senza piombo"
    r"|без свинца|бессвинцов\w*|rohs|rohs-konform)(?![a-z])|无铅|鉛フリー",
    re.IGNORECASE,
)
_SINGLE = (
    (
        re.compile(r"(?<!\w)(?:matte?[\s-]?(?:tin|sn)|pure tin|100\s?%\s?(?:sn|tin)|zinn matt)(?!\w)", re.IGNORECASE),
        Finish.E3,
    ),
    (re.compile(r"(?<!\w)(?:ni[\s/-]?pd(?:[\s/-]?au)?|pd[\s/-]?ni[\s/-]?au)(?!\w)", re.IGNORECASE), Finish.E4),
)
_SAC = re.compile(rf"(?<!\w)sac\s?-?(?P<digits>\d{{3,4}})(?!\d)(?P<of>\s?-?\s?{_METAL})?", re.IGNORECASE)
_BISMUTH = re.compile(
    rf"(?<!\w)(?:sn\s?\d*[\s-]?bi\s?\d*|tin[\s-]bismuth)(?P<of>\s?-?\s?(?:solder )?{_METAL})", re.IGNORECASE
)
_MUCH_LEAD = re.compile(r"[89]\d\s?pb|pb\s?[89]\d|high[\s-]lead", re.IGNORECASE)
MOST_SILVER_LOW_WT_PCT = 1.5
"""J-STD-609 has tin-silver-copper in e1 above it, in e8 up to it."""
_NO_FINISH, _NO_BALLS = Finish(0), BallAlloy(0)


@dataclass(frozen=True, slots=True)
class FinishSaid:
    """Finishes and balls that the words leave possible, none where they say nothing; ``words``: those that decided.

    ``holds_lead``: the words are for lead, if only with a doubt, so that what is said over many parts settles nothing.
    """

    finish: Finish = _NO_FINISH
    balls: BallAlloy = _NO_BALLS
    words: str = ""
    holds_lead: bool = False


NOTHING_SAID = FinishSaid()


@lru_cache(maxsize=_CACHED_TEXTS)
def finish_said(text: str, *, has_balls: bool) -> FinishSaid:
    """What ``text`` says of terminals, and of balls where the part has them."""
    lead = _lead(text)
    free = _free(text, has_balls=has_balls)
    if lead is None:
        return free
    return FinishSaid(words=f"{lead.words}, {free.words}", holds_lead=True) if free.words else lead


def _lead(text: str) -> FinishSaid | None:
    found = next((match for match in _HOLDS_LEAD.finditer(text) if not match["no"]), None) or _NOT_LEAD_FREE.search(
        text
    )
    if found is None:
        doubtful = _NOT_ROHS.search(text)
        # What is not RoHS may hold another of its substances.
        return FinishSaid(words=doubtful[0], holds_lead=True) if doubtful else None
    balls = BallAlloy.HIGH_LEAD if _MUCH_LEAD.search(found[0]) else BallAlloy.TIN_LEAD
    return FinishSaid(Finish.E0, balls, found[0].strip(), holds_lead=True)


def _free(text: str, *, has_balls: bool) -> FinishSaid:
    alloy = _alloy(text, has_balls=has_balls)
    if alloy is not None:
        return alloy
    for pattern, finish in () if has_balls else _SINGLE:
        if (match := pattern.search(text)) is not None:
            return FinishSaid(finish, words=match[0])
    plain = _NOT_LEAD_FREE.sub(" ", _NOT_ROHS.sub(" ", text))
    match = None if _ROHS_WITH_LEAD.search(text) else _LEAD_FREE.search(plain)
    return FinishSaid(LEAD_FREE_FINISHES, LEAD_FREE_BALLS, match[0]) if match else FinishSaid()


def _alloy(text: str, *, has_balls: bool) -> FinishSaid | None:
    sac = _SAC.search(text)
    if sac is not None and (has_balls or sac["of"]):
        if silver_of_sac(sac["digits"]) > MOST_SILVER_LOW_WT_PCT:
            return FinishSaid(Finish.E1, BallAlloy.SAC_HIGH_SILVER, sac[0])
        return FinishSaid(Finish.E8, BallAlloy.SAC_LOW_SILVER, sac[0])
    bismuth = _BISMUTH.search(text)
    return FinishSaid(Finish.E6, BallAlloy.TIN_BISMUTH, bismuth[0]) if bismuth else None


def silver_of_sac(digits: str) -> float:
    """wt% of silver in "SAC305" (3.0) or "SAC0307" (0.3), by the digits after SAC, at least two."""
    return int(digits[:2]) / 10
