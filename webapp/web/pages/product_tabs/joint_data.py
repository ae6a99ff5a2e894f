"""What a ball joint rests on: what is known, what is taken where it is not, and where it is entered."""

from dataclasses import dataclass

from webapp.desk.joint_detail import JointDetail
from webapp.desk.joint_typed import written
from webapp.desk.joints import MadeAt
from webapp.science.mixing import BallJoint
from webapp.trade.ranges import NOT_NEGATIVE, Span
from webapp.web.wording import number

Link = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Datum:
    """A datum: what is possible, what is taken for the picture, where it comes from; words and address of where it is
    entered, None where nobody enters it."""

    name: str
    possible: str
    taken: str
    source: str
    enter: Link | None


def rests_on(detail: JointDetail, step_form: str) -> list[Datum]:
    """The data of a joint; ``step_form``: the address at which its step is edited. Empty where it is not worked out."""
    if detail.now is None or detail.made is None:
        return []
    data = _Data(detail, detail.made, detail.now.joint, step_form)
    return [*data.of_part(), *data.of_stencil(), *data.of_step()]


class _Data:
    def __init__(self, detail: JointDetail, made: MadeAt, joint: BallJoint, step_form: str) -> None:
        self._array, self._facts, self._made = detail.array, detail.array.facts, made
        self._figures = detail.case.site.figures
        self._taken = written(joint, detail.case.site.materials)
        self._at_step = ("At the step", step_form)

    def of_part(self) -> list[Datum]:
        """Balls, pitch, pads."""
        share = number(100 * self._figures["pad_share"].value, "%", 0)
        pitch = self._facts.sizes.get("pitch_mm", NOT_NEGATIVE)
        return [
            self._stated("Alloy of the balls", "balls", self._facts.balls.words, self._ball()),
            self._stated("Ball diameter", "ball_diameter_mm", _mm(self._array.diameter_mm), self._mm("ball_mm")),
            self._stated("Pitch", "pitch_mm", _mm(pitch) if pitch.bounded else "not known", "–"),
            self._figured(
                "Pads of package and board",
                "pad_share",
                "not known",
                self._mm("package_pad_mm"),
                f"{share} of the ball's diameter",
            ),
        ]

    def _ball(self) -> str:
        """The ball taken, and the usual ones besides."""
        also = [alloy.designation for alloy in self._array.balls if alloy != self._array.ball]
        taken = self._taken["ball"]
        return f"{taken} (usual ball; also possible: {', '.join(also)})" if also else taken

    def of_stencil(self) -> list[Datum]:
        """Opening, foil, transfer."""
        foil, is_given = self._made.foil_mm, self._made.step.foil_mm is not None
        low, high = (number(100 * self._figures[f"transfer_{end}"].value, places=0) for end in ("low", "high"))
        return [
            self._figured("Stencil opening", "opening_share_low", _mm(self._array.opening_mm), self._mm("opening_mm")),
            Datum("Stencil foil", _mm(foil), self._mm("foil_mm"), "the step", self._at_step)
            if is_given
            else self._figured(
                "Stencil foil", "foil_low_mm", _mm(foil), self._mm("foil_mm"), "no thicker than releases paste"
            ),
            self._figured(
                "Transfer efficiency", "transfer_low", f"{low} to {high} %", f"{self._taken['transfer_pct']} %"
            ),
        ]

    def of_step(self) -> list[Datum]:
        """Paste and peak."""
        step = self._made.step
        metal = "the paste's metal by weight" if step.paste else "half where no paste is named (common practice)"
        return [
            Datum(
                "Alloy of the paste", step.paste or step.alloy or "", self._taken["paste"], "the step", self._at_step
            ),
            Datum("Metal in the paste, by volume", "–", f"{self._taken['metal_pct']} %", metal, self._at_step),
            Datum("Coldest joint", "–", f"{self._taken['peak_c']} °C", "peak and spread of the step", self._at_step),
        ]

    def _mm(self, name: str) -> str:
        return f"{self._taken[name]} mm"

    def _stated(self, name: str, field: str, possible: str, taken: str) -> Datum:
        """A datum that is stated of the part."""
        where = ("With the part", f"/parts/{self._array.part_id}?field={field}")
        return Datum(name, possible, taken, self._facts.source(field).words, where)

    def _figured(self, name: str, key: str, possible: str, taken: str, note: str = "") -> Datum:
        """A datum that is a figure of the site."""
        source = self._figures[key].source.words
        where = ("Figure of the site", f"/figures/{key}")
        return Datum(name, possible, taken, f"{source}; {note}" if note else source, where)


def _mm(span: Span) -> str:
    return span.text("mm")
