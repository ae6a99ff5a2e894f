"""The tab *Joints*: the ball joints of array packages, and one of them to scale with what it would be if."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from webapp.checks.mixing import BALL_MIXING
from webapp.desk import cases
from webapp.desk.cases import CaseEntry
from webapp.desk.joint_detail import JointDetail, Worked, attention, joint_detail, reheated, work_out
from webapp.desk.joint_typed import ALLOYS, FIELDS, LONGEST, NUMBERS, SHAPES, read, written
from webapp.desk.joint_ways import ways_of
from webapp.desk.joints import ArrayJoint, Formed, MadeAt, joints_of
from webapp.desk.site import site_of
from webapp.trade.people import Role
from webapp.trade.ranges import Span
from webapp.web.deps import CurrentPerson, Reads
from webapp.web.joint_charts import liquid_chart
from webapp.web.joint_picture import joint_picture
from webapp.web.numbers import RowId
from webapp.web.pages.product_tabs.common import Shown, echo_of, load_product
from webapp.web.pages.product_tabs.joint_data import rests_on
from webapp.web.pages.product_tabs.joint_view import compared, state_words, way_entries
from webapp.web.product_tabs import Tab, joint_address
from webapp.web.rendering import render, wants_fragment
from webapp.web.wording import number, plural

router = APIRouter(prefix="/products")


@dataclass(frozen=True, slots=True)
class ArrayEntry:
    """An array as the list shows it; texts of what is calculated, "" where it is not. ``pastes``: of the steps that may
    make its joints, (alloy, coldest joint and name of the paste)."""

    array: ArrayJoint
    href: str
    made: str
    pastes: list[tuple[str, str]]
    dissolved: str
    height: str
    melts: str
    standoff: str
    finding: str


@router.get("/{code:path}/joints", response_class=HTMLResponse)
def joints_page(request: Request, person: CurrentPerson, reads: Reads, code: str, case: str = "") -> HTMLResponse:
    """The arrays of a product on one route, the first candidate unless asked otherwise."""
    with reads() as session:
        shown = load_product(session, code)
        if not shown.cases:
            context = {**shown.context(Tab.JOINTS), "is_editor": person.has(Role.ENGINEER)}
            return render(request, "joints/none.html", context)
        entry = cases.find_case(session, shown.id, case)
        found, figures = joints_of(session, entry.id), site_of(session).figures
    entries = [_entry(shown, entry, array) for array in found.arrays]
    asked = {"case": entry.name, "check": BALL_MIXING.id, "same": "show"}
    context = {
        **shown.context(Tab.JOINTS, entry),
        "case": entry,
        "case_options": [(one.name, one.name) for one in shown.cases],
        "entries": entries,
        "perhaps": found.perhaps,
        "pad_pct": 100 * figures["pad_share"].value,
        "state": _counted(found.arrays),
        "findings": f"{shown.address}/findings?{urlencode(asked)}",
    }
    return render(request, "joints/list.html", context)


def _entry(shown: Shown, case: CaseEntry, array: ArrayJoint) -> ArrayEntry:
    formed, step = array.formed, array.steps[0].number if array.steps else None
    return ArrayEntry(
        array=array,
        href=joint_address(shown.address, array.part_id, case.name, step),
        made=" or ".join(made.step.title for made in array.steps),
        pastes=list(dict.fromkeys(map(_paste, array.steps))),
        dissolved=_percents(formed.dissolved) if formed else "",
        height=_percents(formed.height) if formed else "",
        melts=_range(formed.full_melt_c, 0) if formed else "",
        standoff=_standoffs(array),
        finding=f"{shown.address}/findings/{array.finding.id}" if array.finding else "",
    )


def _paste(made: MadeAt) -> tuple[str, str]:
    note = number(made.step.joint_min_c, "°C")
    return made.step.alloy or "not known", f"{note}, {made.step.paste}" if made.step.paste else note


def _standoffs(array: ArrayJoint) -> str:
    collapsed = array.standoff_collapsed_mm
    whole = _range(array.standoff_unmelted_mm, 2)
    return f"{whole} / {_range(collapsed, 2)}" if collapsed else whole


def _percents(share: Span) -> str:
    return _range(share.scaled(100), 0)


def _range(span: Span, places: int) -> str:
    low, high = (number(end, places=places) for end in (span.low, span.high))
    return low if low == high else f"{low} to {high}"


def _counted(arrays: Sequence[ArrayJoint]) -> str:
    """How they stand, in a sentence; a part that stands differently on its two sides counts where it is worse."""
    if not arrays:
        return "No array packages."
    by_part: dict[int, list[Formed | None]] = {}
    for array in arrays:
        by_part.setdefault(array.part_id, []).append(array.formed)
    counted = Counter(max(map(_standing, formed)) for formed in by_part.values())
    words = [_STANDINGS[standing][count > 1].format(number(count)) for standing, count in sorted(counted.items())]
    return f"{plural(len(by_part), 'array package')}: {', '.join(words)}."


_STANDINGS = (
    ("{} melts through", "{} melt through"),
    ("{} is not calculated", "{} are not calculated"),
    ("{} hangs on what is not known", "{} hang on what is not known"),
    ("{} stays a hybrid joint", "{} stay hybrid joints"),
)


def _standing(formed: Formed | None) -> int:
    """Place in _STANDINGS: the higher the worse."""
    if formed is None:
        return 1
    return 0 if formed.every_through else 2 if formed.any_through else 3


@dataclass(frozen=True, slots=True)
class _Query:
    """Which joint an address names, for whom: a part of a product, on a route (``case``, "" for the first candidate),
    made at a step (number, None for the first that may)."""

    request: Request
    person: CurrentPerson
    code: str
    part_id: RowId
    case: str = ""
    step: RowId | None = None


AskedJoint = Annotated[_Query, Depends()]


@router.get("/{code:path}/joints/{part_id}", response_class=HTMLResponse)
def joint_page(query: AskedJoint, reads: Reads) -> HTMLResponse:
    """One part's joints; what is typed into the form stands in the address."""
    request = query.request
    with reads() as session:
        asked = _asked(session, query)
        changes = asked.context() | _what_if(asked)
        status = 422 if asked.errors else 200
        if wants_fragment(request):
            return render(request, "joints/_changed.html", changes, status=status)
        context = _around(session, asked) | changes | _liquid(asked)
    return render(request, "joints/one.html", context, status=status)


@router.get("/{code:path}/joints/{part_id}/liquid", response_class=HTMLResponse)
def liquid_part(query: AskedJoint, reads: Reads) -> Response:
    """What is liquid again, as a part of the page: it takes longer than the rest. Nothing while a value is wrong."""
    with reads() as session:
        asked = _asked(session, query)
    if asked.errors or asked.worked is None:
        return Response(status_code=204)
    return render(query.request, "joints/_liquid.html", asked.context() | _liquid(asked))


@dataclass(frozen=True, slots=True)
class _Asked:
    """A joint as the address asks for it: ``worked`` with what is typed, else as it is ``now``, None where that is not
    worked out; ``errors`` by field."""

    shown: Shown
    case: CaseEntry
    detail: JointDetail
    typed: Mapping[str, str]
    errors: Mapping[str, str]
    worked: Worked | None

    @property
    def is_tried(self) -> bool:
        """Whether it is another joint than the present one."""
        return self.worked is not self.detail.now

    @property
    def step_form(self) -> str:
        """Where the steps of its route are edited."""
        return f"{self.shown.address}/route/{self.case.row.route_id}/edit"

    def context(self) -> dict[str, Any]:
        """What every part of the page takes."""
        made, part_id = self.detail.made, self.detail.array.part_id
        return {
            "here": joint_address(self.shown.address, part_id),
            "present": joint_address(self.shown.address, part_id, self.case.name, made.number if made else None),
            "setup": f"{self.shown.address}/setup",
            "step_form": self.step_form,
            "case": self.case,
            "detail": self.detail,
            "made": made,
            "worked": self.worked,
            "is_tried": self.is_tried,
            "errors": self.errors,
        }


def _asked(session: Session, query: AskedJoint) -> _Asked:
    typed = {name: query.request.query_params.get(name, "")[:LONGEST] for name in FIELDS}
    shown = load_product(session, query.code)
    entry = cases.find_case(session, shown.id, query.case)
    detail = joint_detail(session, entry.id, query.part_id, query.step)
    if detail.now is None:
        return _Asked(shown, entry, detail, typed, {}, None)
    joint, errors = read(typed, detail.now.joint, detail.case.site.materials)
    is_new = joint is not None and joint != detail.now.joint
    return _Asked(shown, entry, detail, typed, errors, work_out(joint) if joint and is_new else detail.now)


def _what_if(asked: _Asked) -> dict[str, Any]:
    """What changes at once: the form itself, the picture, the figures."""
    now, worked, materials = asked.detail.now, asked.worked, asked.detail.case.site.materials
    if now is None or worked is None:
        return {}
    wrong = {name: text for name, text in asked.typed.items() if asked.errors and text}
    return {
        "values": written(worked.joint, materials) | wrong,
        "now_values": written(now.joint, materials),
        "echoes": {name: echo for name, text in asked.typed.items() if (echo := echo_of(text))},
        "numbers": NUMBERS,
        "alloys": ALLOYS,
        "shapes": list(SHAPES.items()),
        "designations": list(materials.alloys),
        "state": state_words(worked),
        "attention": attention(worked, asked.detail.case.site.figures),
        "rows": compared(now, worked if asked.is_tried else None),
        "picture": joint_picture(worked),
    }


def _liquid(asked: _Asked) -> dict[str, Any]:
    """What is liquid again at the heats that follow."""
    if asked.worked is None:
        return {}
    found = reheated(asked.worked, asked.detail.exposures)
    return {"exposed": found.exposed, "chart": liquid_chart(asked.worked, found)}


def _around(session: Session, asked: _Asked) -> dict[str, Any]:
    """What stands around that."""
    shown, case, detail = asked.shown, asked.case, asked.detail
    return {
        **shown.context(Tab.JOINTS, case),
        "others": [
            (_where(array, made), joint_address(shown.address, array.part_id, case.name, made.number))
            for array, made in detail.others
        ],
        "finding": f"{shown.address}/findings/{detail.array.finding.id}" if detail.array.finding else "",
        "ways": way_entries(ways_of(session, case.id, detail), detail),
        "data": rests_on(detail, asked.step_form),
        "now_state": state_words(detail.now),
    }


def _where(array: ArrayJoint, made: MadeAt) -> str:
    return f"step {made.number}, {made.step.title}" if array.side is None else made.step.title
