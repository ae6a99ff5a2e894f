"""``joint mix``: the contract of the command, exit codes included."""

import json
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from webapp.cli.main import app

RUN = CliRunner()
INPUT: dict[str, Any] = {
    "ball_alloy": "Sn96.5Ag3Cu0.5",
    "ball_diameter_mm": 0.45,
    "pad_package_mm": 0.36,
    "pad_board_mm": 0.36,
    "paste_alloy": "Sn42Bi58",
    "aperture_mm": 0.4,
    "aperture_shape": "round",
    "foil_mm": 0.1,
    "transfer_efficiency": 0.85,
    "metal_volume_share": 0.5,
    "peak_c": 185,
}


def run(folder: Path, *, as_json: bool = True, **changes: Any) -> Any:
    path = folder / "joint.json"
    path.write_text(json.dumps(INPUT | changes), encoding="utf-8")
    return RUN.invoke(app, ["joint", "mix", str(path), *(["--json"] if as_json else [])])


def test_a_hybrid_as_json(tmp_path: Path) -> None:
    """Worked by hand: 0.332 and 0.379 mm, 6.67 wt% Bi, 9.1 % of the ball at least."""
    result = run(tmp_path)
    document = json.loads(result.stdout)
    assert result.exit_code == 0
    assert document["standoff_collapsed_mm"] == pytest.approx(0.332, abs=5e-4)
    assert document["standoff_unmelted_mm"] == pytest.approx(0.379, abs=5e-4)
    assert document["composition_wt_pct"]["Bi"] == pytest.approx(6.67, abs=0.01)
    assert document["dissolved_ball_share_bound"] == pytest.approx(0.091, abs=5e-4)
    assert document["full_melt_c"] == pytest.approx(212.3, abs=0.1)
    assert document["liquid_fraction_at_peak"] == 0
    assert set(document["scheil_liquid_fraction"]) == {"100", "138", "140"}
    assert document["band"]["matrix_liquidus_c"] == pytest.approx(185, abs=0.1)


def test_an_alloy_may_be_called_by_its_short_name(tmp_path: Path) -> None:
    assert run(tmp_path, ball_alloy="SAC305").stdout == run(tmp_path).stdout


def test_a_hybrid_for_people(tmp_path: Path) -> None:
    text = run(tmp_path, as_json=False).stdout
    assert "0.332 mm" in text
    assert "mixed band" in text


def test_a_paste_that_does_not_melt_has_no_band(tmp_path: Path) -> None:
    document = json.loads(run(tmp_path, peak_c=130).stdout)
    assert document["band"] is None
    assert document["dissolved_ball_share_bound"] == 0


def test_not_covered_is_exit_3(tmp_path: Path) -> None:
    result = run(tmp_path, paste_alloy="Sn48In52")
    document = json.loads(result.stdout)
    assert result.exit_code == 3
    assert (document["valid"], document["full_melt_c"]) == (False, None)
    assert document["standoff_unmelted_mm"] == pytest.approx(0.379, abs=5e-4)
    assert run(tmp_path, as_json=False, paste_alloy="Sn48In52").exit_code == 3


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"ball_alloy": "Sn58Bi"}, "ball_alloy"),
        ({"peak_c": "hot"}, "peak_c"),
        ({"peak_c": 900}, "peak_c"),
        ({"aperture_shape": "oval"}, "aperture_shape"),
        ({"foil_mm": 0}, "foil_mm"),
        ({"colour": "red"}, None),
    ],
)
def test_refused_names_the_field(tmp_path: Path, changes: dict[str, Any], field: str | None) -> None:
    result = run(tmp_path, **changes)
    assert result.exit_code == 2
    assert json.loads(result.stdout)["error"]["field"] == field


def test_no_json_and_no_file(tmp_path: Path) -> None:
    path = tmp_path / "joint.json"
    path.write_text("{", encoding="utf-8")
    assert RUN.invoke(app, ["joint", "mix", str(path)]).exit_code == 2
    assert RUN.invoke(app, ["joint", "mix", str(tmp_path / "none.json")]).exit_code == 2
