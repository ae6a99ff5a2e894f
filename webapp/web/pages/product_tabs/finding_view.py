"""A finding as the screens show it: its check, its parts by name, and where the datum that is missing is entered."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from urllib.parse import quote, urlencode

from sqlmodel import Session

from webapp.checks.declare import Check, Scope, registry
from webapp.checks.margins import margin_of
from webapp.checks.mixing import BALL_MIXING
from webapp.checks.verdicts import Verdict, Why
from webapp.desk.cases import CaseEntry
from webapp.store import part_reads
from webapp.store.cases import FindingRow
from webapp.store.parts import PartRow
from webapp.trade.decisions import Standing
from webapp.trade.facts import PartField
from webapp.trade.setup import LIMITS
from webapp.web.pages.product_tabs.common import Shown
from webapp.web.product_tabs import Tab, joint_address

_WHY_WORDS = {
    Why.CERTAIN: "It fails even if everything that is not known turns out well.",
    Why.MEMORY: "It fails, but by a limit that nobody has checked against a document yet; so it asks for proof.",
    Why.UNKNOWN: "It passes or fails depending on what is not known.",
    Why.NOTHING_KNOWN: "Nothing is known, and passing it wrongly would do harm; so it asks for proof.",
    Why.PASSES: "It passes even if everything that is not known turns out badly.",
}
_USUAL_BALLS = "It fails with the usual balls, even if all else turns out well; tin-bismuth balls a maker would name."
_NOT_GIVEN = "What it hangs on is not given at the step; so it asks for proof."
_DECLARED = {PartField.FINISH.value, PartField.BALLS.value}
_PART_FIELDS = frozenset(field.value for field in PartField)


def why_words(row: FindingRow) -> str:
    """Why the verdict is what it is."""
    if row.why == Why.CERTAIN and row.check == BALL_MIXING.id:
        return _USUAL_BALLS
    if row.why == Why.CERTAIN and row.verdict == Verdict.PROVE.key and row.step is not None and row.value is None:
        return _NOT_GIVEN
    return _WHY_WORDS[Why(row.why)]


@dataclass(frozen=True, slots=True)
class PartLink:
    """A part of a finding: how many placements are concerned, and how many the missing datum alone would settle."""

    id: int
    label: str
    maker: str
    href: str
    placements: int
    freed: int


@dataclass(frozen=True, slots=True)
class Judged:
    """A finding beside its check: what every screen says of the two."""

    row: FindingRow

    @property
    def check(self) -> Check | None:
        """Its check; None of one that there is no longer."""
        return registry().get(self.row.check)

    @property
    def check_title(self) -> str:
        """What the check is called."""
        return self.check.title if self.check else self.row.check

    @property
    def margin(self) -> float | None:
        """Room left to the limit, in ``margin_unit``."""
        return margin_of(self.row.check, self.row.value, self.row.limit)

    @property
    def margin_unit(self) -> str:
        """The unit of the margin: differences of temperatures are in K."""
        return "K" if self.row.unit == "°C" else self.row.unit

    @property
    def sources(self) -> list[str]:
        """Where it comes from, each once."""
        return list(dict.fromkeys(self.row.sources))


@dataclass(frozen=True, slots=True)
class FindingEntry(Judged):
    """A finding with all that a row of the list shows. ``parts``: the first of ``part_count``. ``enter``: words and
    address of where the missing datum is entered, None when nothing is missing. ``standing``: what was decided, in
    words; "" where nothing is decided on: on today's route, and of gains. ``joint``: the address of the ball joints it
    speaks of, "" for other checks."""

    href: str
    parts: list[PartLink]
    enter: tuple[str, str] | None
    standing: str
    joint: str = ""

    @property
    def part_count(self) -> int:
        """How many parts are concerned."""
        return len(self.row.parts)

    @property
    def freed(self) -> int:
        """How many placements the missing datum alone would settle: a place with several approved parts once."""
        return min(self.row.placements, sum(freed for _, _, freed in self.row.parts))

    @property
    def why(self) -> str:
        """Why the verdict is what it is."""
        return why_words(self.row)


def finding_entries(
    session: Session, shown: Shown, case: CaseEntry, rows: Sequence[FindingRow], *, most_parts: int | None = None
) -> list[FindingEntry]:
    """The findings of a case as shown, in their order, each with its first ``most_parts`` parts (all for None); the
    parts of all of them are read at once."""
    parts = part_reads.parts_by_id(session, {part[0] for row in rows for part in row.parts[:most_parts]})
    return [_entry(shown, case, row, parts) for row in rows]


def _entry(shown: Shown, case: CaseEntry, row: FindingRow, parts: Mapping[int, PartRow]) -> FindingEntry:
    field = f"?field={row.need}" if row.need in _PART_FIELDS else ""
    links = [
        PartLink(part_id, part.label, part.maker or "", f"/parts/{part_id}{field}", placements, freed)
        for part_id, placements, freed in row.parts
        if (part := parts.get(part_id)) is not None
    ]
    href = f"{shown.address}/findings/{row.id}"
    standing = "" if case.is_today or row.standing == Standing.NONE else Standing(row.standing).words
    where = _where(shown, case, row, links, href)
    return FindingEntry(row, href, links, where, standing, _joint(shown, case, row, links))


def _joint(shown: Shown, case: CaseEntry, row: FindingRow, parts: Sequence[PartLink]) -> str:
    """Where the joints are drawn: of the one part that is spoken of, else those of all arrays."""
    if row.check != BALL_MIXING.id:
        return ""
    if len(row.parts) == 1 and parts:
        step = None if row.step is None else row.step + 1
        return joint_address(shown.address, parts[0].id, case.name, step)
    return f"{shown.address}/{Tab.JOINTS}?{urlencode({'case': case.name})}"


def _where(
    shown: Shown, case: CaseEntry, row: FindingRow, parts: Sequence[PartLink], href: str
) -> tuple[str, str] | None:
    """Where what is missing is entered."""
    setup, check = f"{shown.address}/setup", registry().get(row.check)
    if row.need == "position":
        return "Upload a placement file", f"/uploads/new?product={quote(shown.product.code)}"
    if row.need in LIMITS or (row.need == "finish" and check is not None and check.scope is Scope.PRODUCT):
        return "Enter it under Setup", f"{setup}#f-{row.need}"
    if row.need in _DECLARED and len(row.parts) > 1:
        return "Declare it over the BOM", f"{setup}#declarations"
    if row.need and parts:
        return (
            ("Enter it with the part", parts[0].href)
            if len(row.parts) == 1
            else ("Enter it part by part", f"{href}#parts")
        )
    if not row.need and row.step is not None and row.verdict == "prove" and row.value is None:
        return "Enter it at the step", f"{shown.address}/route/{case.row.route_id}/edit"
    return None
