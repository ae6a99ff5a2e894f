"""Help: what the words mean, how to upload a BOM, the keyboard, and the style page that shows every component once."""

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from webapp.intake.limits import Limits
from webapp.trade.people import Role
from webapp.web.deps import AppSettings, CurrentPerson
from webapp.web.rendering import render

router = APIRouter(prefix="/help")

TOPICS = (
    ("/help/tour", "Tour", "From BOM to decision, step by step."),
    ("/help/words", "What the words mean", "Verdicts, case, finding, readiness, roles; the cautions."),
    ("/help/upload", "Uploading a BOM", "Which files and columns are understood, and the limits."),
    ("/help/checks", "Checks", "What each asks, which numbers decide, where they come from, what clears a finding."),
    ("/help/tables", "Tables", "Values of standards and practice as they are used here, with their sources."),
    ("/help/keyboard", "Keyboard", "All without a mouse."),
)
STYLE_TOPIC = ("/help/style", "Style", "Every piece of the screens, once, in all its states.")

WORDS = (
    (
        "Route",
        "The ordered steps by which a product is soldered and heated: each with kind, side, alloy and temperatures.",
    ),
    (
        "Case",
        "One revision of a BOM on one route, assessed as a whole. A product has the case of today and candidates.",
    ),
    ("Finding", "One statement about a line, a step, the board or the product: value, limit, margin, inputs, source."),
    ("Fingerprint", "The mark of all that a finding was computed from. When it changes, the finding opens again."),
    ("Decision", "What a reviewer signs: accept with the reason, resolved by a named change, or refuse."),
    ("Remedy", "A way out that is proposed for a finding, with the verdict that would follow."),
    (
        "Declaration",
        "A statement with its source over a site, a maker, a BOM or a part, such as lead-free since a date.",
    ),
    (
        "Readiness",
        "The share of fitted placements on lines with nothing open, beside the count of other open findings.",
    ),
    ("Placement", "One designator that is fitted to the board."),
    ("Not known", "Nobody has said and nothing follows from the rest. It is never counted as fine."),
)

COLUMNS = (
    ("Designators", "The places of the part on the board. Ranges and lists are taken apart.", "C1, C4-C9, R1..4"),
    ("Quantity", "How many the file says; it is compared with the designators.", "9"),
    ("Part number", "The maker's number, with its leading zeros.", "GR-104-X7"),
    ("Maker", "Who makes the part.", "Kelvarn"),
    ("Value", "What the part is.", "100 nF"),
    ("Description", "Anything said of the part.", "Capacitor, X7R, 25 V"),
    ("Package", "Case or footprint.", "0402"),
    ("Side", "Top or bottom.", "bottom"),
    ("Not fitted", "A mark that the place stays empty.", "DNP"),
)

COLOURS = (
    ("paper", "The page"),
    ("wash", "The row under the pointer"),
    ("field", "What can be typed into"),
    ("ink", "Text, rules above and below tables"),
    ("quiet", "Heads of tables, hints, what is secondary"),
    ("hairline", "Lines between rows and parts"),
    ("rule", "Edges of fields and buttons"),
    ("accent", "Links, the primary action, the focus, where one is"),
    ("signal", "Errors and what blocks, nothing else"),
)

VERDICTS = (
    ("blocks", "The product cannot be converted as it is."),
    ("change", "It can, if something is changed."),
    ("prove", "Only a test or a missing value can settle it."),
    ("fine", "Nothing stands in the way."),
    ("gain", "The conversion removes a problem that exists today."),
)


@dataclass(frozen=True, slots=True)
class SampleFinding:
    """A row of the style page's wide table; temperatures in °C, margin in K."""

    refdes: tuple[str, ...]
    mpn: str
    maker: str
    package: str
    step: str
    pitch_mm: float | None
    limit_c: float | None
    body_c: float
    joint_c: float
    tal_s: float
    verdict: str
    why: str

    @property
    def margin_k(self) -> float | None:
        """Limit less hottest body."""
        return None if self.limit_c is None else self.limit_c - self.body_c


SAMPLE_FINDINGS = (
    SampleFinding(
        ("BT1",), "KX-2032-T", "Tarnholt Cells", "holder", "Reflow, top", None, 85, 183.1, 172.4, 68,
        "blocks", "A coin cell never passes an oven unless its maker rates it for that: fit it after the last heat.",
    ),
    SampleFinding(
        ("C3", "C17", "C4", "C21"), "PE-470-25A", "Kelvarn", "radial 8 mm", "Reflow, bottom", None, 185, 188.4,
        176.0, 64, "change", "The body is 3.4 K above its limit: a peak of 180 °C clears it.",
    ),
    SampleFinding(
        ("U7",), "MQ-6410-BG", "Brindmoor", "BGA-324", "Reflow, top", 0.8, None, 181.9, 174.2, 71,
        "prove", "36 % of the ball mixes, the rest never melts: prove the joint by section and drop.",
    ),
    SampleFinding(
        tuple(f"C{n}" for n in range(1, 40)), "GR-104-X7", "Kelvarn", "0402", "Reflow, top", 0.5, 260, 184.0, 175.8, 70,
        "fine", "Limit by class.",
    ),
    SampleFinding(
        ("U2",), "MQ-1180-FC", "Brindmoor", "FC-BGA-961", "Reflow, top", 0.65, 245, 179.6, 173.9, 66,
        "gain", "Measured warpage at 180 °C is 41 µm; at 245 °C it is 118 µm, above what the paste closes.",
    ),
)  # fmt: skip

STYLE_SAMPLES: dict[str, Any] = {
    "colours": COLOURS,
    "verdicts": VERDICTS,
    "findings": SAMPLE_FINDINGS,
    "moment": datetime(2026, 11, 25, 7, 21, tzinfo=UTC),
    "many": [f"R{n}" for n in (12, 2, 101, 7, 33, 48, 5, 60, 61, 62, 19)],
}


@router.get("", response_class=HTMLResponse)
def help_page(request: Request) -> HTMLResponse:
    """The topics; the style page only for people of the house."""
    topics = (*TOPICS, STYLE_TOPIC) if request.state.person else TOPICS
    return render(request, "help/page.html", {"topics": topics})


@router.get("/words", response_class=HTMLResponse)
def words_page(request: Request) -> HTMLResponse:
    """What the words mean."""
    return render(request, "help/words.html", {"verdicts": VERDICTS, "words": WORDS, "roles": Role})


@router.get("/upload", response_class=HTMLResponse)
def upload_page(request: Request, settings: AppSettings) -> HTMLResponse:
    """How to upload a BOM, with the limits as they are set."""
    context = {"max_bytes": settings.max_upload_bytes, "limits": Limits(), "columns": COLUMNS}
    return render(request, "help/upload.html", context)


@router.get("/keyboard", response_class=HTMLResponse)
def keyboard_page(request: Request) -> HTMLResponse:
    """What works by keyboard."""
    return render(request, "help/keyboard.html", {})


@router.get("/style", response_class=HTMLResponse)
def style_page(request: Request, _person: CurrentPerson) -> HTMLResponse:
    """Every component once."""
    return render(request, "help/style.html", STYLE_SAMPLES)
