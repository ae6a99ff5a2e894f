"""Tables of cases and their findings.

Staleness is a counter: every edit of anything a case uses raises ``input_seq``; an assessment records which state it
has seen. A case is stale while the two differ.
"""

from datetime import date, datetime
from typing import ClassVar

from sqlalchemy import JSON, CheckConstraint, Date, ForeignKey, Index, Text, UniqueConstraint
from sqlmodel import Field, SQLModel

from webapp.store.base import UtcDateTime
from webapp.trade.decisions import Standing

COUNTERS = ("open_blocks", "open_change", "open_prove", "waiting", "reopened", "wanting", "planned", "refused")
_STANDINGS = ", ".join(f"'{standing}'" for standing in Standing)
VERDICTS = ("blocks", "change", "prove", "gain", "fine")


class AssessmentCaseRow(SQLModel, table=True):
    """One BOM revision on one route, and the result of its last assessment.

    ``retired_at``: a newer revision took its place, or the route was archived; it is assessed no more. ``shown``: open
    findings and gains that are not the same today. ``fine_by_check``: check -> how many lines (or steps) are fine.

    Counted anew at every assessment and decision (desk.counting): ``readiness``, ``open_board_step_product`` and the
    COUNTERS. ``open_blocks``, ``open_change``, ``open_prove``: without a valid acceptance or planned change.
    ``waiting``: of these what waits for a reviewer, ``reopened``: of the waiting what was signed before, ``wanting``:
    of the open what a datum would settle. ``planned``, ``refused``: findings with such a decision. ``expires_on``: the
    day the next acceptance runs out.
    """

    __tablename__: ClassVar[str] = "assessment_case"
    __table_args__ = (
        UniqueConstraint("revision_id", "route_id"),
        CheckConstraint("input_seq >= 1", name="input_seq_positive"),
        CheckConstraint("assessed_seq <= input_seq", name="assessed_not_ahead"),
        CheckConstraint("readiness BETWEEN 0 AND 1", name="readiness_share"),
        CheckConstraint(" AND ".join(f"{name} >= 0" for name in (*VERDICTS, "shown")), name="counts_not_negative"),
        CheckConstraint(" AND ".join(f"{name} >= 0" for name in COUNTERS), name="counters_not_negative"),
    )

    id: int | None = Field(default=None, primary_key=True)
    product_id: int = Field(sa_column_args=[ForeignKey("product.id")], index=True)
    revision_id: int = Field(sa_column_args=[ForeignKey("bom_revision.id")])
    route_id: int = Field(sa_column_args=[ForeignKey("route.id")], index=True)
    input_seq: int = 1
    assessed_seq: int | None = None
    assessed_at: datetime | None = Field(default=None, sa_type=UtcDateTime)
    engine: str = Field(default="", max_length=64)
    readiness: float | None = None
    blocks: int = 0
    change: int = 0
    prove: int = 0
    gain: int = 0
    fine: int = 0
    shown: int = 0
    open_board_step_product: int = 0
    open_blocks: int = 0
    open_change: int = 0
    open_prove: int = 0
    waiting: int = 0
    reopened: int = 0
    wanting: int = 0
    planned: int = 0
    refused: int = 0
    expires_on: date | None = Field(default=None, sa_type=Date, index=True)
    fine_by_check: dict[str, int] = Field(default_factory=dict, sa_type=JSON)
    retired_at: datetime | None = Field(default=None, sa_type=UtcDateTime)


class FindingRow(SQLModel, table=True):
    """A finding (checks.findings.Finding), replaced by key.

    ``parts``: a list of [part id, placements concerned, placements that this datum alone would free]. ``lines``:
    positions of BOM lines. ``need``: key of the missing datum, ``missing`` its words. ``inputs``: what it was computed
    from, in words. ``standing``: trade.decisions.Standing.
    """

    __tablename__: ClassVar[str] = "finding"
    __table_args__ = (
        UniqueConstraint("case_id", "key"),
        CheckConstraint("verdict IN ('blocks', 'change', 'prove', 'gain')", name="verdict_known"),
        CheckConstraint("length(fingerprint) = 64", name="fingerprint_length"),
        CheckConstraint(f"standing IN ({_STANDINGS})", name="standing_known"),
        # What queue and portfolio group by, so that they need not read the rows.
        Index("ix_finding_queue", "standing", "verdict", "case_id", "check", "subject", "placements", "same_as_today"),
    )

    id: int | None = Field(default=None, primary_key=True)
    case_id: int = Field(sa_column_args=[ForeignKey("assessment_case.id", ondelete="CASCADE")])
    key: str = Field(sa_type=Text)
    position: int
    check: str = Field(max_length=40)
    subject: str = Field(sa_type=Text)
    title: str = Field(sa_type=Text)
    verdict: str = Field(max_length=10)
    why: str = Field(max_length=20)
    step: int | None = None
    step_title: str = Field(default="", sa_type=Text)
    value: float | None = None
    limit: float | None = None
    unit: str = Field(default="", max_length=20)
    sentence: str = Field(sa_type=Text)
    need: str = Field(default="", max_length=40)
    missing: str = Field(default="", sa_type=Text)
    sources: list[str] = Field(sa_type=JSON)
    remedies: list[str] = Field(sa_type=JSON)
    caution: str = Field(default="", sa_type=Text)
    refdes: list[str] = Field(sa_type=JSON)
    lines: list[int] = Field(sa_type=JSON)
    parts: list[list[int]] = Field(sa_type=JSON)
    placements: int = 0
    same_as_today: bool = False
    fingerprint: str = Field(max_length=64)
    inputs: dict[str, str] = Field(default_factory=dict, sa_type=JSON)
    standing: str = Field(default=Standing.NONE.value, max_length=10)
