"""What is shipped: the wheel and the source archive carry all that they need, and no more."""

from __future__ import annotations

import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

import pitcrew

ROOT = Path(__file__).resolve().parents[2]
NAME = f"pitcrew-{pitcrew.__version__}"


def files_under(folder: str, pattern: str) -> set[str]:
    return {path.relative_to(ROOT).as_posix() for path in (ROOT / folder).rglob(pattern)}


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("dist")
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-t", "sdist", "-d", str(folder)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return folder


def test_the_wheel_carries_the_package_its_checklists_and_the_demo(built: Path) -> None:
    with zipfile.ZipFile(built / f"{NAME}-py3-none-any.whl") as wheel:
        names = {name for name in wheel.namelist() if ".dist-info/" not in name}
        assert wheel.read("pitcrew/_shipped/demo.db") == (ROOT / "demo.db").read_bytes()
    checklists = {f"pitcrew/_shipped/{name}" for name in files_under("checklists", "*.toml")}
    assert checklists
    assert checklists | files_under("pitcrew", "*.py") | {"pitcrew/_shipped/demo.db"} <= names
    assert {name.partition("/")[0] for name in names} == {"pitcrew"}
    assert not [name for name in names if name.endswith((".pyc", ".db-wal", ".db-shm"))]


def test_the_wheel_declares_the_command_and_the_licence(built: Path) -> None:
    with zipfile.ZipFile(built / f"{NAME}-py3-none-any.whl") as wheel:
        info = f"{NAME}.dist-info"
        assert "pitcrew = pitcrew.__main__:main" in wheel.read(f"{info}/entry_points.txt").decode()
        assert wheel.read(f"{info}/licenses/LICENSE") == (ROOT / "LICENSE").read_bytes()


def test_the_source_archive_can_be_built_and_tested(built: Path) -> None:
    with tarfile.open(built / f"{NAME}.tar.gz") as archive:
        names = {name.removeprefix(f"{NAME}/") for name in archive.getnames()}
    needed = files_under("pitcrew", "*.py") | files_under("tests", "*.py") | files_under("checklists", "*.toml")
    needed |= {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "demo.db", ".ci/run"}
    assert needed - names == set()
