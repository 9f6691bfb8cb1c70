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


@pytest.fixture
def empty_venv(tmp_path: Path) -> Path:
    """A fresh virtual environment that sees the dependencies of the running one, but not this package."""
    venv = tmp_path / "venv"
    subprocess.run([sys.executable, "-m", "venv", str(venv)], check=True)
    site = next(venv.glob("lib/python*/site-packages"))
    (site / "dependencies.pth").write_text("\n".join(p for p in sys.path if p.endswith("site-packages")) + "\n")
    return venv


def install_and_build(venv: Path, folder: Path, *what: str) -> str:
    """Install without network or dependencies, build one demo recipe in ``folder``, return the package's file."""
    env = {k: v for k, v in os.environ.items() if k != "PYTHONPATH"}
    python = str(venv / "bin" / "python")
    pip = [python, "-m", "pip", "install", "-q", "--no-index", "--no-deps", "--no-build-isolation", "--force-reinstall"]
    subprocess.run([*pip, *what], check=True, env=env, capture_output=True)
    code = "import workbookgen; from workbookgen.catalogue.paths import data_path; print(workbookgen.__file__); print(data_path('demo', 'fruit-walnut-slaw.toml'))"
    package, recipe = subprocess.run([python, "-c", code], cwd=folder, env=env, check=True, capture_output=True, text=True).stdout.split("\n")[:2]
    subprocess.run([str(venv / "bin" / "workbookgen"), "build", recipe, "--out", "slaw.xlsx"], cwd=folder, env=env, check=True)
    assert (folder / "slaw.xlsx").stat().st_size > 100_000
    return package


def test_wheel_is_small_and_carries_data_and_templates(wheel: Path) -> None:
    assert wheel.stat().st_size < MOST_BYTES
    names = zipfile.ZipFile(wheel).namelist()
    assert "workbookgen/_data/foods.csv" in names
    assert "workbookgen/_templates/disclaimer.md" in names
    assert not any(name.startswith(("tests/", "data/")) for name in names)


def test_installed_wheel_builds_in_another_folder(wheel: Path, empty_venv: Path, tmp_path: Path) -> None:
    work = tmp_path / "work"
    work.mkdir()
    assert str(empty_venv) in install_and_build(empty_venv, work, str(wheel))


def test_editable_install_builds_in_another_folder(empty_venv: Path, tmp_path: Path) -> None:
    work = tmp_path / "work"
    work.mkdir()
    assert str(ROOT) in install_and_build(empty_venv, work, "-e", str(ROOT))
