"""What the screens about alloys share."""

from collections.abc import Sequence

from webapp.errors import NotFoundError
from webapp.trade.alloy_properties import AlloyProperty
from webapp.trade.alloys import Alloy
from webapp.trade.ranges import Span
from webapp.trade.site import Site
from webapp.web.paging import UnknownViewError


def alloy_of(site: Site, designation: str) -> Alloy:
    """The alloy of that designation, whatever its case; NotFoundError when there is none."""
    folded = {name.casefold(): alloy for name, alloy in site.materials.alloys.items()}
    found = folded.get(designation.strip().casefold())
    if found is None:
        raise NotFoundError(f'There is no alloy "{designation[:40]}". All of them stand under Alloys.')
    return found


def alloys_asked(site: Site, designations: Sequence[str], most: int) -> list[Alloy]:
    """The alloys an address asks for, each once, at most ``most``; UnknownViewError for one that there is not."""
    asked = list(dict.fromkeys(designations))
    if len(asked) > most:
        raise UnknownViewError(f"At most {most} alloys stand side by side; {len(asked)} are asked for.")
    try:
        return [alloy_of(site, designation) for designation in asked]
    except NotFoundError as error:
        raise UnknownViewError(error.message) from None


def oven_words(power: Span | None) -> str | None:
    """Oven power over that at 240 °C in words: "13 to 27 % less than at 240 °C"; None where it is not known."""
    if power is None:
        return None
    least, most = 100 * (1 - power.high), 100 * (1 - power.low)
    if least >= 0:
        return f"{least:.0f} to {most:.0f} % less than at 240 °C"
    if most <= 0:
        return f"{-most:.0f} to {-least:.0f} % more than at 240 °C"
    return f"{most:.0f} % less to {-least:.0f} % more than at 240 °C"


def ratio_words(value: AlloyProperty | None) -> str | None:
    """A life over that of SAC305: "0.19 to 0.49 times"; None where it is not known."""
    return None if value is None or value.span is None else f"{value.span.text()} times SAC305"
