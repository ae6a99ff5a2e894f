"""The alloys and pastes that a site solders with: those of the tables, and its own."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from types import MappingProxyType

from webapp.errors import InvalidInputError
from webapp.trade.alloys import Alloy, alloy_named, alloys, find_alloy
from webapp.trade.composition import Composition, read_composition
from webapp.trade.pastes import Paste, paste_examples


@dataclass(frozen=True, slots=True)
class Materials:
    """Designation -> alloy, name -> paste. A step names its paste, or only an alloy."""

    alloys: Mapping[str, Alloy] = field(hash=False)
    pastes: Mapping[str, Paste] = field(hash=False)

    def alloy(self, designation: str | None) -> Alloy | None:
        """The alloy of a step; None where it has none or none of that designation is left."""
        return self.alloys.get(designation) if designation else None

    def paste(self, name: str | None) -> Paste | None:
        """The paste of a step; None where it names none."""
        return self.pastes.get(name) if name else None

    def find_alloy(self, text: str, *, field: str = "paste") -> Alloy:
        """By designation, short name or composition ("Sn42Bi57Ag1", "SAC305", "42Sn-57Bi-1Ag"); InvalidInputError
        (``field``) names those there are."""
        if (alloy := self.alloy_named(text)) is not None:
            return alloy
        found = find_alloy(read_composition(text, field=field).wt_pct, among=self.alloys.values())
        if found is None:
            known = ", ".join(self.alloys)
            raise InvalidInputError(f'"{text}" is not among the alloys; there are: {known}.', field=field)
        return found

    def alloy_named(self, text: str) -> Alloy | None:
        """By designation or short name, whatever the case; None when there is none."""
        return alloy_named(text, among=self.alloys.values())

    def composition(self, text: str, *, field: str = "composition") -> Composition:
        """Of the alloy that is called so, or as ``text`` reads; InvalidInputError (``field``) where it is neither."""
        known = self.alloy_named(text)
        return Composition.of(known.composition_wt_pct) if known else read_composition(text, field=field)


@cache
def tabulated() -> Materials:
    """The alloys of the standards and the examples of pastes."""
    return materials()


def materials(own_alloys: Iterable[Alloy] = (), own_pastes: Iterable[Paste] = ()) -> Materials:
    """The tables with a site's own beside them. Of two with one name the site's own counts."""
    every = dict(alloys()) | {alloy.designation: alloy for alloy in own_alloys}
    own = {paste.name: paste for paste in own_pastes}
    pastes = own | {paste.name: paste for paste in paste_examples() if paste.name not in own}
    return Materials(MappingProxyType(every), MappingProxyType(pastes))
