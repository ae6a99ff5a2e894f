"""Help: the tables of standards and practice that checks and ranges rest on, row by row with where each is from."""

from collections.abc import Mapping
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from webapp.errors import NotFoundError
from webapp.trade.tables import Interval, Row, rows
from webapp.trade.units import name_and_unit
from webapp.web.rendering import render

router = APIRouter(prefix="/help/tables")


@dataclass(frozen=True, slots=True)
class Shown:
    """A table: its name, title, and what it is used for; ``columns``: those shown, all for none."""

    name: str
    title: str
    use: str
    columns: tuple[str, ...] = ()


_OF_KINDS = (
    "class", "limit_c", "limit_s", "passes", "oven", "msl", "finishes_lead_free", "lead_risk", "self_heating",
    "self_heating_k", "heating_note",
)  # fmt: skip
GROUPS: Mapping[str, tuple[Shown, ...]] = {
    "Heat and moisture": (
        Shown("classification_temperature", "Classification temperature", "Body limit of surface-mount packages."),
        Shown("profile_limits", "Profile of the classification reflow", "To compare with; no check uses it yet."),
        Shown("msl", "Floor life by moisture sensitivity level", "To compare with; no check uses it yet."),
        Shown("floor_life_derating", "Floor life at other conditions", "To compare with; no check uses it yet."),
        Shown("bakes", "Bakes of moisture-sensitive parts", "Longer, cooler bakes beside finished joints."),
    ),
    "Solder": (
        Shown("onsets", "First melting by elements", "Lowest temperature at which a joint begins to melt."),
        Shown("powder", "Powder types", "Pastes of the site."),
        Shown("flux", "Flux designations", "Pastes of the site."),
        Shown("stencil", "Stencil rules", "Thickest foil that an opening releases paste from."),
        Shown("practice", "Figures of practice", "Onsets with lead and other figures without a table of their own."),
    ),
    "Parts and boards": (
        Shown("part_classes", "Kinds of parts", "What is assumed of a part whose data are not known.", _OF_KINDS),
        Shown("terminal_finish", "Terminal finishes", "Categories of J-STD-609."),
        Shown("board_finish", "Board finishes", "Categories of J-STD-609."),
        Shown("balls", "Ball sizes by pitch", "Balls of array packages of which only the pitch is known."),
        Shown("chips", "Chip sizes", "Bodies of chip parts, inch and metric."),
        Shown("moulded_cases", "Moulded cases of capacitors", "Bodies of tantalum and polymer capacitors."),
        Shown("cell_types", "Cells by their type", "Cells that are named by type alone."),
        Shown(
            "plastics",
            "Plastics and films",
            "Body limit of connectors and film capacitors of a named plastic.",
            ("of", "name", "limit_c", "for_reflow"),
        ),
        Shown("warpage_limits", "Warpage limits of array packages", "To compare with; no check uses it yet."),
    ),
}
_SHOWN = {shown.name: shown for group in GROUPS.values() for shown in group}
_ORIGIN = frozenset({"reference", "clause", "status", "seen_in", "note"})


@router.get("", response_class=HTMLResponse)
def tables_page(request: Request) -> HTMLResponse:
    """All tables."""
    return render(request, "tables/list.html", {"groups": GROUPS})


@router.get("/{name}", response_class=HTMLResponse)
def table_page(request: Request, name: str) -> HTMLResponse:
    """One table, row by row."""
    shown = _SHOWN.get(name)
    if shown is None:
        raise NotFoundError(f'There is no table "{name[:40]}". All of them stand under Help, Tables.')
    found = rows(name)
    columns = shown.columns or [column for column in found[0].cells if column not in _ORIGIN]
    # Most rows share where they are from: each origin stands once, under its number.
    origins = [_origin(row) for row in found]
    numbers = {origin: i for i, origin in enumerate(dict.fromkeys(origins), start=1)}
    context = {
        "shown": shown,
        "heads": [_head(column) for column in columns],
        "rows": [
            ([_cell(row.text(column)) for column in columns], numbers[origin])
            for row, origin in zip(found, origins, strict=True)
        ],
        "origins": numbers,
    }
    return render(request, "tables/one.html", context)


def _head(column: str) -> tuple[str, str]:
    """Words and unit of a column."""
    name, unit = name_and_unit(column)
    return name.replace("_", " ").capitalize(), unit


def _cell(text: str) -> str:
    """A cell in words: "60..120" is a range, "[0, 1.6)" one whose end is left out, "inf" no limit."""
    if text[:1] in ("[", "(") and text[-1] in "])" and "," in text:
        return Interval.parse(text).words
    low, between, high = text.partition("..")
    if between:
        text = low if low == high else f"at least {low}" if high == "inf" else f"{low} to {high}"
    return "no limit" if text == "inf" else text.replace("_", " ")


def _origin(row: Row) -> tuple[str, str]:
    """Source and note."""
    source = row.source()
    return source.words, source.note
