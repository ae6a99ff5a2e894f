"""What people read about a check beside its declaration: verdicts in its own terms, the figures it decides by, an
example in words. Help pages and docs/checks.md are made of both; a test sees that no check goes without."""

from collections.abc import Mapping
from dataclasses import dataclass

from webapp.checks.declare import Check, Family, Scope, registry
from webapp.checks.verdicts import Verdict
from webapp.trade.figures import Figures
from webapp.trade.practice import practice_figure
from webapp.trade.sources import Kind, Source, Status


@dataclass(frozen=True, slots=True)
class Figure:
    """A number that the check decides by: ``text`` with its unit, and where it comes from; ``key``: of the figure that
    a site may set its own way."""

    meaning: str
    text: str
    source: Source
    key: str = ""


@dataclass(frozen=True, slots=True)
class Explained:
    """``verdicts``: when the check gives which, gravest first; ``example``: one case with invented parts."""

    verdicts: Mapping[Verdict, str]
    example: str
    figures: tuple[Figure, ...] = ()


_TABLE = Source(Kind.STANDARD, "table of alloys, J-STD-006 and ISO 9453", Status.DERIVED)
_J020 = Source(Kind.STANDARD, "J-STD-020", Status.OPENED, "Table 4-2")
_J033 = Source(Kind.STANDARD, "J-STD-033", Status.OPENED, "user bake table")
_CLASS = Source(Kind.ASSUMED, "table of part classes", Status.MEMORY)
_SHEET = Source(Kind.DATASHEET, "data sheet of the paste", Status.ENTERED)
_MIXING = Source(
    Kind.STANDARD, "melting and mixing calculated from published assessments", Status.DERIVED, note="see Validation"
)
_ONSETS = Source(Kind.STANDARD, "table of onsets: published melting of the alloy systems", Status.OPENED)
_LEAD = practice_figure("lead_onset_c")
_LEAD_FIGURE = Figure(_LEAD.meaning.capitalize(), f"{_LEAD.value:g} °C", _LEAD.source)

_EXPLAINED: Mapping[str, Explained] = {
    "joint-forms": Explained(
        {
            Verdict.BLOCKS: "The coldest joint stays below the temperature at which the paste is 99 % liquid.",
            Verdict.CHANGE: "It melts, but with less superheat than safe wetting wants, or outside the window of the "
            "paste's data sheet.",
            Verdict.PROVE: "Peak or time above melting of the step is not given.",
            Verdict.FINE: "The coldest joint is hot enough for long enough, and the hottest within the paste's window.",
        },
        "Sn60Bi40 is 99 % liquid only at 174.4 °C. At a peak of 180 °C with 8 K spread the coldest joint reaches "
        "172 °C: it does not form. Eutectic Sn42Bi58, molten at 140 °C, forms with 32 K to spare.",
        (
            Figure("Temperature at which the paste is 99 % liquid", "of the alloy", _TABLE),
            Figure("Window of peak and time", "of the paste, where the step names one", _SHEET),
        ),
    ),
    "ball-mixing": Explained(
        {
            Verdict.PROVE: "The balls do not melt through: a hybrid joint, whose mixed band at the board side carries "
            "the load. Or it is not known whether the part has balls, or of which alloy.",
            Verdict.FINE: "Even with the least paste ball and paste become one in their pass.",
        },
        "A ball of tin-silver-copper, 0.45 mm, on 0.36 mm pads, tin-bismuth paste through a 0.1 mm foil, at 175 °C: "
        "some 6 % of it dissolves until the band has taken up all the tin it can at that temperature. The joint as a "
        "whole would melt through only near 212 °C. The band decides, not the average of the joint: thin bands are "
        "brittle, thicker ones may tear while they freeze under a solid ball.",
        (Figure("What dissolves", "calculated: the liquid is saturated at the peak", _MIXING),),
    ),
    "rework-alloy": Explained(
        {
            Verdict.BLOCKS: "Wire and joint bring lead and bismuth together.",
            Verdict.CHANGE: "The wire is of another alloy than the joints it may be used on.",
            Verdict.PROVE: "The alloy of the wire is not given.",
            Verdict.FINE: "Rework is done with the joint's own alloy.",
        },
        "A joint of Sn42Bi58 touched up with SAC305 wire: half and half it holds 29 % bismuth, still begins to melt at "
        "137 °C and is liquid only near 190 °C. Wire of the joint's own alloy leaves it as it was.",
        (Figure("Melting of the repaired joint", "calculated from the two alloys", _MIXING),),
    ),
    "lead-pickup": Explained(
        {
            Verdict.BLOCKS: "Terminals or balls that certainly hold lead bring more of it into joints with bismuth "
            "than is allowed, even at the least.",
            Verdict.PROVE: "It may be more than is allowed, or comes near it.",
            Verdict.FINE: "They certainly hold none, or nothing says so yet: see the check for lead not ruled out.",
        },
        "A relay of old stock with tin-lead pins, soldered with a tin-bismuth paste: a finish of 3 to 15 µm with 10 to "
        "40 % lead makes 0.3 to 9 % lead in the joint, which begins to melt at 95 °C.",
        (_LEAD_FIGURE, Figure("Share of the joint that melts there", "calculated, as the joint freezes", _MIXING)),
    ),
    "finish-unknown": Explained(
        {
            Verdict.PROVE: "Lead in terminals or balls is not ruled out.",
            Verdict.FINE: "A declaration, a data sheet or the finish itself rules lead out.",
        },
        "No declaration at all: one finding names all 212 parts. With a declaration over the whole site the chip parts "
        "are settled; relays, crystals and ceramic packages stay, for in old stock of these lead turns up.",
        (_LEAD_FIGURE,),
    ),
    "later-heat": Explained(
        {
            Verdict.BLOCKS: "A later step heats a finished joint to its first melting or above.",
            Verdict.CHANGE: "A later step comes near the first melting, or solders an alloy that melts far higher.",
            Verdict.PROVE: "Many hours close below the melting.",
            Verdict.FINE: "All later heat stays well below, or a further pass remelts the joints on purpose.",
        },
        "A coating cured at 150 °C after joints of Sn42Bi57Ag1, which first melt at 137 °C: the board goes through the "
        "cure with liquid joints. Cure at 100 °C, or coat with a lacquer that cures by light.",
        (Figure("First melting of a joint", "lowest of what is in it, no credit for mixing", _ONSETS),),
    ),
    "inside-underfill": Explained(
        {
            Verdict.BLOCKS: "A step after underfilling or potting melts the enclosed joints.",
            Verdict.PROVE: "For one of these steps it is not given how hot the joints get.",
            Verdict.FINE: "Nothing melts once it is enclosed.",
        },
        "A connector soldered by hand beside an underfilled array with Sn42Bi58 joints, which reach 145 °C: the solder "
        "melts, expands and is pressed out along the interface.",
    ),
    "heat-not-given": Explained(
        {
            Verdict.PROVE: "A step heats joints made before it, and how much is not given: the set temperature of a "
            "cure, the joints beside a local step, or those on the side that meets a wave.",
            Verdict.FINE: "What finished joints reach is given; whether they stand it the check on later heat tells.",
        },
        "A wave under a board whose bottom side is reflowed with Sn42Bi58: without a pallet these joints lie in a bath "
        "at 255 °C. Under one they may stay at 125 °C: measure them, and enter what they reach.",
    ),
    "one-alloy-a-side": Explained(
        {
            Verdict.BLOCKS: "Two passes on one side print different alloys.",
            Verdict.FINE: "Each side is printed with one alloy.",
        },
        "Top side printed with a tin-bismuth paste, and two connectors on it with SAC305: one stencil prints one "
        "paste. Dispense the second or solder these by hand.",
    ),
    "through-hole": Explained(
        {
            Verdict.PROVE: "A part with pins in holes and no step that solders such pins, a press-fit part and no step "
            "that presses, or a part on a side that is neither printed nor meets a wave.",
            Verdict.FINE: "Some step joins it to the board.",
        },
        "A route of two reflow passes, and a terminal block on the board: give the step at which it is soldered, for "
        "its heat reaches the joints made before.",
    ),
    "body-limit": Explained(
        {
            Verdict.BLOCKS: "The hottest body is above the limit, and the limit is known.",
            Verdict.CHANGE: "It stays below the limit, but closely.",
            Verdict.PROVE: "The limit is not known and may be too low, or only remembered for this kind of part.",
            Verdict.FINE: "Even the lowest possible limit is far enough above.",
            Verdict.GAIN: "Above its limit today, or above what is sure for its kind; well within it on the candidate "
            "route.",
        },
        "An electrolytic can rated to 180 °C in a pass with a peak of 183 °C: 3 K above its limit. A peak of 175 °C "
        "clears it, or soldering it after the oven.",
        (
            Figure(
                "Limit of moisture-classified packages without a data sheet",
                "220 to 260 °C by thickness and volume",
                _J020,
            ),
            Figure("Limit of other parts without a data sheet", "range by kind of part", _CLASS),
        ),
    ),
    "passes": Explained(
        {
            Verdict.CHANGE: "The part goes through more reflow passes than are allowed.",
            Verdict.PROVE: "How many it stands is not known, or the side it sits on.",
            Verdict.FINE: "It goes through no more than are allowed.",
        },
        "A film capacitor allowed one pass sits on the side soldered first, so it goes through two: move it to the "
        "other side, or solder it after the oven.",
        (Figure("Passes without a data sheet", "range by kind of part", _CLASS),),
    ),
    "never-oven": Explained(
        {
            Verdict.BLOCKS: "The route takes a part through an oven that must not see one.",
            Verdict.PROVE: "Whether the maker rates it for reflow is not known.",
            Verdict.FINE: "It is rated for reflow, or fitted after the oven.",
        },
        "A coin cell on the bottom side of a board that is reflowed. Cells are fitted after the last heat unless the "
        "data sheet names a reflow profile.",
    ),
    "bake-after-join": Explained(
        {
            Verdict.BLOCKS: "The bake, with the oven's spread, reaches the first melting of joints made before.",
            Verdict.CHANGE: "It stays below, but closely.",
            Verdict.PROVE: "The temperature of the bake is not given.",
            Verdict.FINE: "It stays far enough below.",
        },
        "Boards with Sn42Bi57Ag1 on the first side wait too long and are dried at 125 °C: 12 K below the first "
        "melting. Dry at 90 °C for the longer time instead.",
        (Figure("Bakes beside bismuth joints", "90 °C or 40 °C, with their times", _J033),),
    ),
    "joint-runs-hot": Explained(
        {
            Verdict.BLOCKS: "The joint runs above the highest share of its first melting, in kelvin.",
            Verdict.CHANGE: "Between the second and the highest share.",
            Verdict.PROVE: "Between the first and the second share, or self-heating or ambient is not known.",
            Verdict.FINE: "At most the first share: about 80 °C for eutectic tin-bismuth.",
        },
        "A street-lamp controller at 70 °C ambient, 15 K from the board's own heat and 20 K in the regulator: its "
        "joints run at 105 °C, which for Sn42Bi58 is 0.92 of the melting. This product keeps tin-silver-copper.",
    ),
    "board-finish": Explained(
        {
            Verdict.BLOCKS: "The board is levelled with tin-lead and soldered with a bismuth paste.",
            Verdict.CHANGE: "Hard gold on the lands.",
            Verdict.PROVE: "A finish that is not remelted, or may be spent after the first pass (OSP after a hot one); "
            "or it is not known which.",
            Verdict.FINE: "A finish that wets at the low peak.",
        },
        "A board with immersion tin for two passes: the tin left for the second side may be too thin to wet at 175 °C. "
        "Show it with aged boards.",
        (_LEAD_FIGURE,),
    ),
}

NOT_LOOKED_AT = (
    "heating and cooling rates (ramps)",
    "floor life and drying of moisture-sensitive parts",
    "heavy parts hanging from a side that melts again",
    "gold and palladium taken up by joints",
    "warpage of boards and large packages",
    "printing: apertures, powder and deposits",
    "flux residues, washing and vacuum",
    "current through joints, and heat in a single fault",
    "temperature cycling, drop and vibration",
    "joints under lasting load: plugs, clamps, cables, press-fits nearby",
    "strain of depanelling, probing and assembly",
)
"""Subjects that no check judges: what is silent here is not fine."""

SCOPES: Mapping[Scope, str] = {
    Scope.LINE: "every part",
    Scope.LINE_STEP: "every part, at every step it goes through",
    Scope.STEP: "every step of the route",
    Scope.PRODUCT: "the product as a whole",
}


def explained(check: Check) -> Explained:
    """What people read about ``check``; KeyError for one that nobody has explained."""
    return _EXPLAINED[check.id]


def decided_by(check: Check, site: Figures) -> list[Figure]:
    """All figures that the check decides by, those of the site last."""
    own = (site[key] for key in check.figures)
    return [*explained(check).figures, *(Figure(f.label, f.text, f.source, f.key) for f in own)]


def checks_by_family() -> list[tuple[Family, list[Check]]]:
    """All checks, family by family in the order in which they are shown."""
    found = {family: [check for check in registry().values() if check.family is family] for family in Family}
    return [(family, checks) for family, checks in found.items() if checks]
