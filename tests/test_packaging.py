"""The package works installed: a wheel in another folder, and an editable copy; no network."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
MOST_BYTES = 15_000_000


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("wheel")
    subprocess.run([sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(out), str(ROOT)],
                   check=True, capture_output=True)
    return next(out.glob("*.whl"))


def build_one(python_path: Path, folder: Path) -> None:
    """Build one demo recipe from ``folder`` with only ``python_path`` on the import path."""
    env = {k: v for k, v in os.environ.items() if k != "PYTHONPATH"} | {"PYTHONPATH": str(python_path)}
    code = (
        "import workbookgen, sys; from workbookgen.catalogue.paths import data_path; from workbookgen.cli import main; "
        "main(['build', str(data_path('demo', 'fruit-walnut-slaw.toml')), '--out', 'slaw.xlsx'], standalone_mode=False); "
        "print(workbookgen.__file__)"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=folder, env=env, check=True, capture_output=True, text=True)
    assert str(python_path) in done.stdout
    assert (folder / "slaw.xlsx").stat().st_size > 100_000


def test_wheel_is_small_and_carries_data_and_templates(wheel: Path) -> None:
    assert wheel.stat().st_size < MOST_BYTES
    names = zipfile.ZipFile(wheel).namelist()
    assert "workbookgen/_data/foods.csv" in names
    assert "workbookgen/_templates/disclaimer.md" in names
    assert not any(name.startswith(("tests/", "data/")) for name in names)


def test_installed_wheel_builds_in_another_folder(wheel: Path, tmp_path: Path) -> None:
    installed = tmp_path / "site"
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(installed)
    work = tmp_path / "work"
    work.mkdir()
    build_one(installed, work)


def test_source_tree_builds_in_another_folder(tmp_path: Path) -> None:
    build_one(ROOT, tmp_path)
