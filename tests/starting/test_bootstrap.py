"""The first start builds the environment, the second finds it, and what goes wrong is said in words."""

import ast
import hashlib
import importlib.util
import json
import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path
from types import SimpleNamespace

import pytest

from shop import bootstrap
from shop.bootstrap import CannotBuildError
from shop.starting.parts import ROOT


def wheel(folder: Path, version: str) -> str:
    """Make a tiny package under the name we look for; its pin with hash."""
    name = f"django-{version}.dist-info"
    path = folder / f"django-{version}-py3-none-any.whl"
    with zipfile.ZipFile(path, "w") as out:
        out.writestr("django/__init__.py", f'VERSION = "{version}"\n')
        out.writestr(f"{name}/METADATA", f"Metadata-Version: 2.1\nName: django\nVersion: {version}\n")
        out.writestr(f"{name}/WHEEL", "Wheel-Version: 1.0\nGenerator: test\nRoot-Is-Purelib: true\nTag: py3-none-any\n")
        out.writestr(f"{name}/RECORD", f"django/__init__.py,,\n{name}/METADATA,,\n{name}/WHEEL,,\n{name}/RECORD,,\n")
    return f"django=={version} --hash=sha256:{hashlib.sha256(path.read_bytes()).hexdigest()}\n"


class Project:
    """A project of two files and one tiny requirement, with no network."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self.wheels = root / "wheels"
        self.wheels.mkdir(parents=True)
        (root / "shop" / "starting").mkdir(parents=True)
        (root / "shop" / "requirements").mkdir()
        for name in ("manage.py", "shop/__init__.py", "shop/bootstrap.py", "shop/starting/__init__.py"):
            shutil.copy(ROOT / name, root / name)
        (root / "shop" / "starting" / "commands.py").write_text(
            "import sys\nimport django\n\ndef run(argv):\n    print('inside', django.VERSION, sys.prefix, *argv[1:])\n    return 5\n"
        )
        self.pin(wheel(self.wheels, "1.0"))

    def pin(self, text: str) -> None:
        for name in ("app", "test"):
            (self.root / "shop" / "requirements" / f"{name}.txt").write_text(text)

    def begin(self, *argv: str) -> "subprocess.Popen[str]":
        outside = {name: value for name, value in os.environ.items() if not name.startswith("PIP_")}
        return subprocess.Popen(
            [sys._base_executable, "manage.py", *argv],  # type: ignore[attr-defined]
            cwd=self.root,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            env={**outside, "PIP_NO_INDEX": "1", "PIP_FIND_LINKS": str(self.wheels), "PIP_CONFIG_FILE": os.devnull},
        )

    def start(self, *argv: str) -> tuple[int, str]:
        process = self.begin(*argv)
        said, _ = process.communicate(timeout=100)
        return process.returncode, said


@pytest.fixture(scope="module")
def project(tmp_path_factory: pytest.TempPathFactory) -> Project:
    return Project(tmp_path_factory.mktemp("project"))


def test_the_first_start_builds_and_goes_on_inside_and_later_ones_follow_the_pins(project: Project) -> None:
    environment = project.root / ".venv"
    code, said = project.start("demo", "--port", "8010")
    assert "Making the project's own environment" in said
    assert said.endswith(f"inside 1.0 {environment} demo --port 8010\n")
    assert code == 5  # the command's own

    code, said = project.start("demo")
    assert said == f"inside 1.0 {environment} demo\n"

    project.pin(wheel(project.wheels, "1.1"))
    code, said = project.start("demo")
    assert "Making" not in said
    assert said.endswith(f"inside 1.1 {environment} demo\n")

    # a build that never finished has no record of what it was made from
    (environment / "made-from.json").unlink()
    code, said = project.start("demo")
    assert "Making" in said
    assert said.endswith(f"inside 1.1 {environment} demo\n")

    # a download that fails leaves what was there
    shutil.move(project.wheels / "django-1.1-py3-none-any.whl", project.root)
    (project.root / "shop" / "requirements" / "test.txt").write_text("django==1.2 --hash=sha256:" + "0" * 64)
    code, said = project.start("test")
    assert code == 1
    assert "could not be downloaded" in said
    assert "Traceback" not in said
    code, said = project.start("demo")
    assert said == f"inside 1.1 {environment} demo\n"

    # a package other than the pinned one is refused
    wheel(project.wheels, "1.2")
    code, said = project.start("test")
    assert code == 1
    assert "not the one that was pinned" in said


def test_two_first_starts_at_once_do_not_break_each_other(tmp_path: Path) -> None:
    project = Project(tmp_path / "twice")
    both = [project.begin("demo"), project.begin("demo")]
    said = [process.communicate(timeout=100)[0] for process in both]
    assert [process.returncode for process in both] == [5, 5]
    assert sorted("waiting for it" in words for words in said) == [False, True]
    assert sorted("Installing" in words for words in said) == [False, True]


def test_a_python_too_old_is_told_so_in_words() -> None:
    source = (ROOT / "manage.py").read_text()
    ast.parse(source, feature_version=(3, 0))
    pretend = (
        "import runpy, sys; sys.version_info = (3, 8, 1); sys.argv = ['manage.py', 'demo']; runpy.run_path('manage.py')"
    )
    found = subprocess.run([sys.executable, "-c", pretend], cwd=ROOT, capture_output=True, text=True, check=False)
    assert found.returncode == 1
    assert "needs Python 3.11 or newer" in found.stderr
    assert "is 3.8." in found.stderr
    assert "Traceback" not in found.stderr


@pytest.mark.parametrize("absent", ["venv", "ensurepip"])
def test_a_python_without_venv_is_told_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, absent: str
) -> None:
    found = importlib.util.find_spec
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None if name == absent else found(name))
    with pytest.raises(CannotBuildError, match=r"venv part is not installed(.|\n)*apt install python3\.\d+-venv"):
        bootstrap.make_current(tmp_path, "app")


def test_a_full_disk_is_said_before_anything_is_begun(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda path: SimpleNamespace(free=10_000_000))
    with pytest.raises(CannotBuildError, match=r"The disk is full(.|\n)*10 MB are free"):
        bootstrap.make_current(tmp_path, "app")
    assert not (tmp_path / ".venv").exists()


def test_a_folder_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(CannotBuildError, match="Cannot write in"):
        bootstrap.make_current(tmp_path / "file", "app")


@pytest.mark.parametrize(
    ("installer", "words"),
    [
        ("OSError: [Errno 28] No space left on device", "The disk is full"),
        (
            "Failed to establish a new connection: [Errno -3] Temporary failure in name resolution",
            "could not be downloaded",
        ),
        ("ReadTimeoutError: Read timed out.", "could not be downloaded"),
        ("ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE REQUIREMENTS FILE.", "not the one that was pinned"),
        ("error: command 'gcc' failed", "installer's own words"),
    ],
)
def test_what_the_installer_says_is_put_in_words(tmp_path: Path, installer: str, words: str) -> None:
    assert words in bootstrap._why_not(tmp_path, "app", installer)


def test_the_test_pins_serve_the_app_too_but_not_the_other_way_round(tmp_path: Path) -> None:
    (tmp_path / "shop" / "requirements").mkdir(parents=True)
    (tmp_path / ".venv").mkdir()
    for name in ("app", "test"):
        (tmp_path / "shop" / "requirements" / f"{name}.txt").write_text(name)
    record = tmp_path / ".venv" / "made-from.json"
    record.write_text(json.dumps({"test": bootstrap.fingerprint(tmp_path, "test")}))
    assert bootstrap.is_current(tmp_path, "app")
    record.write_text(json.dumps({"app": bootstrap.fingerprint(tmp_path, "app")}))
    assert bootstrap.is_current(tmp_path, "app")
    assert not bootstrap.is_current(tmp_path, "test")


def test_the_pins_are_hashed_and_name_no_address() -> None:
    for name in ("app.txt", "test.txt"):
        text = (ROOT / "shop" / "requirements" / name).read_text()
        assert "://" not in text
        assert "--index" not in text
        packages = [block for block in text.replace("\\\n", " ").splitlines() if block.strip()]
        assert packages
        assert all("==" in block and "--hash=sha256:" in block for block in packages)
