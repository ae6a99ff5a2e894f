"""``melt``: the contract of the command, exit codes included."""

import json
from itertools import pairwise

import pytest
from typer.testing import CliRunner

from webapp.cli.main import app

RUN = CliRunner()


def test_an_alloy_as_json() -> None:
    result = RUN.invoke(app, ["melt", "42Sn-57Bi-1Ag", "--json"])
    document = json.loads(result.stdout)
    assert result.exit_code == 0
    assert document["composition_wt_pct"] == {"Sn": 42.0, "Bi": 57.0, "Ag": 1.0}
    assert document["valid"] is True
    assert document["first_solid"] == "Ag3Sn"
    assert document["solidus_c"] == pytest.approx(137.12, abs=0.05)
    assert document["liquidus_c"] == pytest.approx(161.55, abs=0.05)
    assert document["matrix_liquidus_c"] == pytest.approx(140.55, abs=0.05)
    assert 0.98 < document["scheil_liquid_fraction_140c"] < 1
    points = document["liquid_fraction"]
    assert points[0][0] == 132.0
    assert points[-1][0] == 167.0
    assert {after[0] - before[0] for before, after in pairwise(points)} == {1.0}
    assert (points[0][1], points[-1][1]) == (0.0, pytest.approx(1))
    assert document["data_version"]


def test_an_alloy_for_people() -> None:
    assert "Sn96.5Ag3Cu0.5" in RUN.invoke(app, ["melt", "SAC305"]).stdout
    result = RUN.invoke(app, ["melt", "Sn-57Bi-1Ag"])
    assert result.exit_code == 0
    assert "137.1 °C" in result.stdout
    assert "last solid gone, Ag3Sn" in result.stdout


def test_not_covered_is_exit_3_with_what_lists_say() -> None:
    result = RUN.invoke(app, ["melt", "Sn95Sb5", "--json"])
    document = json.loads(result.stdout)
    assert result.exit_code == 3
    assert (document["valid"], document["solidus_c"], document["liquid_fraction"]) == (False, None, None)
    assert "antimony" in document["reason"]
    assert document["tabulated"]["liquidus_c"] > document["tabulated"]["solidus_c"] > 200
    assert "antimony" in result.stderr


@pytest.mark.parametrize(
    ("metal", "melting_c"),
    # Fixed points of ITS-90, of lead and bismuth its secondary reference points; from memory.
    [("Cu", 1084.62), ("Ag", 961.78), ("Sn", 231.93), ("Pb", 327.46), ("Bi", 271.40)],
)
def test_a_pure_metal_melts_at_its_melting_point(metal: str, melting_c: float) -> None:
    result = RUN.invoke(app, ["melt", metal, "--json"])
    document = json.loads(result.stdout)
    assert result.exit_code == 0
    assert document["solidus_c"] == pytest.approx(melting_c, abs=0.05)
    assert document["liquidus_c"] == pytest.approx(melting_c, abs=0.05)
    assert f"{melting_c:.1f} °C" in RUN.invoke(app, ["melt", metal]).stdout


def test_a_metal_without_data_is_told_from_the_handbook() -> None:
    """Zinc freezes at 419.527 °C, a fixed point of ITS-90; from memory."""
    result = RUN.invoke(app, ["melt", "Zn"])
    assert result.exit_code == 3
    assert result.stdout.startswith("Listed: melts at 419.5 °C; melting point of the metal, ITS-90")
    assert "from memory" in result.stdout
    assert "hold no zinc" in result.stderr
    document = json.loads(RUN.invoke(app, ["melt", "Zn", "--json"]).stdout)
    assert document["tabulated"]["liquidus_c"] == pytest.approx(419.527, abs=0.01)
    assert (document["valid"], document["solidus_c"]) == (False, None)


def test_what_is_not_covered_says_how_far_it_goes_and_what_lists_print() -> None:
    result = RUN.invoke(app, ["melt", "Sn50Cu50"])
    assert (result.exit_code, result.stdout) == (3, "")
    assert "good for up to 7 wt% copper in tin" in result.stderr
    assert "Listed: solidus" in RUN.invoke(app, ["melt", "Sn95Sb5"]).stdout


def test_a_matrix_that_melts_whole_at_the_solidus_is_told_in_words() -> None:
    """Without its silver compound the matrix of Sn62Pb36Ag2 would melt below the solidus: nothing that happens."""
    text = RUN.invoke(app, ["melt", "Sn62Pb36Ag2"]).stdout
    assert "melting begins (solidus)             177.0 °C" in text
    assert "last of the matrix gone, (Sn)        177.0 °C" in text
    assert "175.8" not in text
    assert "The matrix melts whole where melting begins; from there to 193.3 °C only Ag3Sn is solid." in text
    assert "melts whole" not in RUN.invoke(app, ["melt", "Sn-57Bi-1Ag"]).stdout
    assert "melts whole" not in RUN.invoke(app, ["melt", "Sn42Bi58"]).stdout


def test_refused_is_exit_2_with_the_field() -> None:
    result = RUN.invoke(app, ["melt", "Sn58Bi", "--json"])
    document = json.loads(result.stdout)
    assert result.exit_code == 2
    assert document["error"]["field"] == "composition"


@pytest.mark.parametrize("arguments", [[], ["Sn42Bi58", "--invariants"], ["--invariants", "--binary", "Sn", "Bi"]])
def test_one_thing_at_a_time(arguments: list[str]) -> None:
    assert RUN.invoke(app, ["melt", *arguments]).exit_code == 2


def test_the_diagram_of_a_pair() -> None:
    result = RUN.invoke(app, ["melt", "--binary", "Sn", "Bi", "--json"])
    document = json.loads(result.stdout)
    assert result.exit_code == 0
    assert document["liquidus"][0] == [0.0, pytest.approx(231.93, abs=0.05)]
    assert document["eutectic"]["t_c"] == pytest.approx(138.81, abs=0.05)
    assert document["eutectic"]["liquid_wt_pct"]["Bi"] == pytest.approx(56.97, abs=0.05)
    assert "138.8" in RUN.invoke(app, ["melt", "--binary", "Sn", "Bi"]).stdout


def test_a_pair_not_covered_in_full() -> None:
    result = RUN.invoke(app, ["melt", "--binary", "Sn", "Cu", "--json"])
    assert result.exit_code == 3
    assert json.loads(result.stdout)["valid"] is False
    assert RUN.invoke(app, ["melt", "--binary", "Sn", "In"]).exit_code == 2


def test_the_invariants() -> None:
    document = json.loads(RUN.invoke(app, ["melt", "--invariants", "--json"]).stdout)
    found = {entry["system"]: entry for entry in document}
    assert found["Bi-Pb-Sn"]["t_c"] == pytest.approx(97.96, abs=0.05)
    assert found["Ag-Cu-Sn"]["liquid_wt_pct"]["Ag"] == pytest.approx(3.73, abs=0.05)
    assert "Bi-Pb-Sn" in RUN.invoke(app, ["melt", "--invariants"]).stdout
