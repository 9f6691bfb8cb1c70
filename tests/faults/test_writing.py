"""Writing under real faults: the old file stays whole, one sentence says what to do, nothing half-written is left."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner

from tests.faults.conftest import ROOT, Run, environment
from workbookgen.catalogue.paths import data_path
from workbookgen.cli import main
from workbookgen.model.errors import BadInput
from workbookgen.model.place import PREFIX, STALE_SECONDS, put_all, put_bytes

SLAW = data_path("demo", "fruit-walnut-slaw.toml")
SMALL = "tests.faults.small_build"


def told(result: subprocess.CompletedProcess[str]) -> str:
    """The one sentence of a failed command."""
    assert result.returncode == 2, result.stderr
    assert "Traceback" not in result.stderr
    (line,) = result.stderr.strip().splitlines()
    return line


def left_in(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir())


def killed_while_writing(command: list[str], folder: Path) -> None:
    """Start ``command`` and kill it as soon as its new file grows in ``folder``."""
    process = subprocess.Popen(command, env=environment(), cwd=ROOT, stdout=subprocess.DEVNULL)
    deadline = time.monotonic() + 240
    while not any(p.stat().st_size for p in folder.glob(f"{PREFIX}*.xlsx")):
        assert process.poll() is None, "the program ended before it could be killed"
        assert time.monotonic() < deadline
        time.sleep(0.001)
    process.send_signal(signal.SIGKILL)
    assert process.wait() == -signal.SIGKILL


def a_day_later(folder: Path) -> None:
    """Make every left-over in ``folder`` old enough to be removed."""
    then = time.time() - STALE_SECONDS - 60
    for path in folder.glob(f"{PREFIX}*"):
        os.utime(path, (then, then))


def test_a_program_that_is_killed_costs_nothing_and_its_left_over_goes_at_a_later_run(tmp_path: Path, run: Run) -> None:
    """Written again and again until the kill falls into the writing; the old file is always one whole workbook."""
    out = tmp_path / "book.xlsx"
    killed_while_writing([sys.executable, "-m", SMALL, str(out), "1000", "one"], tmp_path)
    left = list(tmp_path.glob(f"{PREFIX}*.xlsx"))
    if out.exists():
        assert openpyxl.load_workbook(out, read_only=True).active["A1"].value == "by one"
    assert len(left) <= 1
    for path in left:
        assert path.name.startswith(".")
    young = tmp_path / f"{PREFIX}another-run.xlsx"
    young.write_bytes(b"just being written")
    assert run(SMALL, out).returncode == 0
    assert young.exists(), "a file that another run may be writing was removed"
    a_day_later(tmp_path)
    assert run(SMALL, out).returncode == 0
    assert left_in(tmp_path) == ["book.xlsx"]


@pytest.mark.long
def test_a_real_build_that_is_killed_leaves_the_old_workbook_whole(tmp_path: Path) -> None:
    out = tmp_path / "slaw.xlsx"
    out.write_bytes(b"the old workbook")
    killed_while_writing([sys.executable, "-m", "workbookgen.cli", "build", str(SLAW), "--out", str(out)], tmp_path)
    assert out.read_bytes() == b"the old workbook"


def test_a_full_disk_leaves_the_old_workbook_and_says_what_to_do(full_disk: tuple[Path, dict[str, object]], run: Run) -> None:
    folder, limits = full_disk
    (folder / "book.xlsx").write_bytes(b"old")
    said = told(run(SMALL, folder / "book.xlsx", **limits))
    assert "book.xlsx: cannot be written (" in said
    assert "free some space or choose another --out" in said
    assert (folder / "book.xlsx").read_bytes() == b"old"
    assert left_in(folder) == ["book.xlsx"]


def test_a_disk_that_fills_up_changes_no_file_of_a_folder(full_disk: tuple[Path, dict[str, object]], run: Run) -> None:
    """Four files of 16 kB each: the first two fit, and still none of them takes its place."""
    folder, limits = full_disk
    if "preexec_fn" in limits:
        pytest.skip("needs a small file system: a limit on single files is not reached by small ones")
    (folder / "1.toml").write_bytes(b"old")
    assert "free some space or choose another --to" in told(run(SMALL, f"{folder}/"))
    assert left_in(folder) == ["1.toml"]
    assert (folder / "1.toml").read_bytes() == b"old"


def test_a_new_folder_that_cannot_be_filled_is_not_left_behind(full_disk: tuple[Path, dict[str, object]], run: Run) -> None:
    folder, limits = full_disk
    if "preexec_fn" in limits:
        pytest.skip("needs a small file system: a limit on single files is not reached by small ones")
    told(run(SMALL, f"{folder}/recipes/"))
    assert left_in(folder) == []


#: Commands that write one file, with the name of what they write.
COMMANDS = {
    "build": (["build", str(SLAW), "--out"], "old.xlsx"),
    "draft": (["draft", "SOURCE", "--overwrite", "--to"], "old.toml"),
    "export csv": (["export", str(SLAW), "--format", "csv", "--out"], "old.toml"),
    "export json-ld": (["export", str(SLAW), "--format", "json-ld", "--out"], "old.toml"),
    "adjust": (["adjust", str(SLAW), "--target", "FIBTG >= 5 g", "--overwrite", "--to"], "old.toml"),
    "import": (["foods", "import", "TABLE", "--to"], "new"),
}


def command(name: str, target: Path, tmp_path: Path) -> list[str]:
    """The arguments of a command that writes ``target``."""
    source = tmp_path / "source.txt"
    source.write_text("Bean pot\nServes 4\n1 cup onions, chopped\n", encoding="utf-8")
    places = {"SOURCE": str(source), "TABLE": str(ROOT / "templates" / "food_table.csv")}
    return [*(places.get(word, word) for word in COMMANDS[name][0]), str(target)]


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_tells_of_a_closed_folder_in_one_sentence(name: str, closed_folder: Path, tmp_path: Path) -> None:
    before = left_in(closed_folder)
    result = CliRunner().invoke(main, command(name, closed_folder / COMMANDS[name][1], tmp_path))
    assert result.exit_code == 2, result.output
    assert "written (Read-only file system); " in result.output or "written (Permission denied); " in result.output
    assert "choose another" in result.output
    assert len(result.output.strip().splitlines()) == 1
    assert left_in(closed_folder) == before
    assert (closed_folder / "old.toml").read_bytes() == b"old"


@pytest.mark.parametrize("name", [name for name in COMMANDS if name != "import"])
def test_a_place_another_thing_holds_is_told_in_one_sentence(name: str, tmp_path: Path) -> None:
    """A folder of that name stands for a file another program holds, which only some systems refuse to replace."""
    held = tmp_path / "room" / COMMANDS[name][1]
    held.mkdir(parents=True)
    result = CliRunner().invoke(main, command(name, held, tmp_path))
    assert result.exit_code == 2, result.output
    assert "it is a folder or a device; choose another" in result.output
    assert left_in(held.parent) == [held.name]
    assert left_in(held) == []


def test_a_file_open_elsewhere_stays_as_it_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Windows refuses to replace a file that another program holds open, with exactly this error."""
    path = tmp_path / "a.csv"
    put_bytes(path, b"old")

    def held(*_: object) -> None:
        raise PermissionError(13, "The process cannot access the file because it is being used by another process")

    monkeypatch.setattr("os.replace", held)
    with pytest.raises(BadInput, match=r"used by another process.*close it if it is open elsewhere"):
        put_bytes(path, b"new")
    with pytest.raises(BadInput, match="close it if it is open elsewhere"):
        put_all(tmp_path, {"a.csv": b"new"})
    assert path.read_bytes() == b"old"
    assert left_in(tmp_path) == ["a.csv"]


def test_two_builds_into_one_place_leave_one_whole_file_and_nothing_else(tmp_path: Path) -> None:
    out = tmp_path / "book.xlsx"
    both = [subprocess.Popen([sys.executable, "-m", SMALL, str(out), "15", name], env=environment(), cwd=ROOT,
                             stdout=subprocess.DEVNULL, stderr=subprocess.PIPE) for name in ("one", "two")]
    seen = set()
    while any(process.poll() is None for process in both):
        if out.exists():
            seen.add(openpyxl.load_workbook(out, read_only=True).active["A1"].value)
    assert [process.wait() for process in both] == [0, 0], [process.stderr and process.stderr.read() for process in both]
    assert seen <= {"by one", "by two"}
    assert seen
    assert left_in(tmp_path) == ["book.xlsx"]


def test_a_link_is_followed_and_rights_stay(tmp_path: Path) -> None:
    real = tmp_path / "real.csv"
    real.write_bytes(b"old")
    real.chmod(0o600)
    (tmp_path / "link.csv").symlink_to("real.csv")
    put_bytes(tmp_path / "link.csv", b"new")
    assert real.read_bytes() == b"new"
    assert real.stat().st_mode & 0o777 == 0o600
    assert (tmp_path / "link.csv").is_symlink()


@pytest.mark.parametrize("name", ["/dev/null", "x" * 300, "a\0b", "loop", "no/such/folder/a.csv"])
def test_no_odd_place_is_harmed(name: str, tmp_path: Path) -> None:
    (tmp_path / "loop").symlink_to("loop")
    device = os.stat("/dev/null").st_rdev
    with pytest.raises(BadInput, match="choose another --out"):
        put_bytes(tmp_path / name, b"x")
    assert os.stat("/dev/null").st_rdev == device
    assert left_in(tmp_path) == ["loop"]
