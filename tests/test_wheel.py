"""A built wheel carries all that the app needs, and works from another folder."""

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel's content as an installer lays it out."""
    folder = tmp_path_factory.mktemp("wheel")
    build = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(folder), str(ROOT)]
    subprocess.run(build, check=True, capture_output=True, timeout=120)
    (wheel,) = folder.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder / "installed")
    return folder / "installed"


def run(unpacked: Path, cwd: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """The command of the unpacked wheel, run in ``cwd``; the checkout is out of sight."""
    environment = {**os.environ, "PYTHONPATH": str(unpacked), "MELTLINE_DATA_DIR": str(cwd / "data")}
    command = [sys.executable, "-P", "-m", "webapp", *arguments]
    return subprocess.run(command, cwd=cwd, env=environment, capture_output=True, text=True, timeout=120)


def test_the_wheel_holds_templates_static_files_migrations_and_demo(unpacked: Path) -> None:
    resources = unpacked / "webapp" / "_resources"
    assert {path.name for path in resources.iterdir()} >= {"templates", "static", "migrations", "seed_data"}
    assert (resources / "templates" / "base.html").is_file()


def test_a_product_is_made_from_another_folder(unpacked: Path, tmp_path: Path) -> None:
    (tmp_path / "list.csv").write_text(
        "Designator,Qty,Value,Package\nC1,1,100n,0603\nR1,1,10k,0603\n", encoding="utf-8"
    )
    made = run(
        unpacked,
        tmp_path,
        "product",
        "new",
        "W-1",
        "--bom",
        "list.csv",
        "--route",
        "one-sided-low-temperature",
        "--json",
    )
    assert made.returncode == 0, made.stderr
    assert '"product": "W-1"' in made.stdout
    assert (tmp_path / "data" / "meltline.sqlite3").is_file()
