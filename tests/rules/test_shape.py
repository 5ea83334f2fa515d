"""The shape of the code: hub, migrations, import order, file sizes, the map in DEVELOPERS.md."""

import ast
import hashlib
import importlib
import re
import subprocess
import sys
import tomllib
from io import StringIO
from itertools import pairwise
from pathlib import Path

import pytest
from django.apps import apps
from django.core.management import call_command

ROOT = Path(__file__).resolve().parents[2]
PRODUCT = [
    path
    for folder in ("shop", "jobs")
    for suffix in ("*.py", "*.js", "*.css")
    for path in sorted((ROOT / folder).rglob(suffix))
    if "migrations" not in path.parts and "__pycache__" not in path.parts
]
TESTS = sorted((ROOT / "tests").rglob("*.py"))
SLICES = sorted(
    path.parent.name
    for path in (ROOT / "jobs").glob("*/__init__.py")
    if path.parent.name not in {"migrations", "management"}
)


def test_top_level_holds_only_what_the_design_allows() -> None:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    tops = {line.split("/")[0] for line in listed.splitlines()}
    allowed = {
        "README.md",
        "DEVELOPERS.md",
        "manage.py",
        "pyproject.toml",
        "shop",
        "jobs",
        "templates",
        "tests",
        "fixtures",
    }
    assert {top for top in tops if not top.startswith(".")} <= allowed


def test_the_hub_imports_every_model_of_every_slice() -> None:
    hub = importlib.import_module("jobs.models")
    for slice_name in SLICES:
        if not (ROOT / "jobs" / slice_name / "models.py").exists():
            continue
        module = importlib.import_module(f"jobs.{slice_name}.models")
        for model in apps.get_app_config("jobs").get_models():
            if model.__module__ == module.__name__:
                assert getattr(hub, model.__name__) is model


def test_nobody_imports_the_hub() -> None:
    for path in [*PRODUCT, *TESTS]:
        if path.suffix != ".py" or path == Path(__file__):
            continue
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.ImportFrom):
                assert node.module != "jobs.models", path
                assert not (node.module == "jobs" and any(name.name == "models" for name in node.names)), path
            elif isinstance(node, ast.Import):
                assert all(name.name != "jobs.models" for name in node.names), path


@pytest.mark.django_db
def test_models_and_migrations_agree() -> None:
    out = StringIO()
    call_command("makemigrations", "--check", "--dry-run", stdout=out)
    assert "No changes detected" in out.getvalue()


def test_slices_import_only_downwards() -> None:
    done = subprocess.run(
        [str(Path(sys.executable).with_name("lint-imports")), "--no-cache"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_layers_contract_names_every_slice() -> None:
    contract = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"][0]
    named = {name.strip() for layer in contract["layers"] for name in re.split(r"[|:]", layer)}
    assert set(SLICES) == named


def test_no_import_hides_inside_a_function() -> None:
    # Django asks for imports inside AppConfig.ready, once models are loaded; bootstrap runs before its environment exists.
    excused = {"jobs/apps.py", "shop/bootstrap.py", "shop/people/apps.py", "manage.py"}
    for path in PRODUCT:
        if path.suffix != ".py" or str(path.relative_to(ROOT)) in excused or "starting" in path.parts:
            continue
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                inner = [one for one in ast.walk(node) if isinstance(one, ast.Import | ast.ImportFrom)]
                assert not inner, f"{path.relative_to(ROOT)}: {node.name}"


def test_no_file_is_long() -> None:
    for path in PRODUCT:
        assert len(path.read_text().splitlines()) <= 300, path.relative_to(ROOT)
    for path in TESTS:
        assert len(path.read_text().splitlines()) <= 400, path.relative_to(ROOT)


def test_the_map_in_developers_md_names_every_slice_and_no_other() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text()
    section = text.split("## Map", 1)[1].split("\n## ", 1)[0]
    mapped = set(re.findall(r"^\| `jobs\.(\w+)`", section, re.M))
    assert mapped == set(SLICES)


def test_readme_commands_are_commands() -> None:
    text = (ROOT / "README.md").read_text()
    commands = set(re.findall(r"manage\.py (\w+)", text))
    ours = ("jobs/management/commands", "shop/packing/management/commands")
    known = {"demo", "serve", "test", "unpack"} | {
        path.stem for folder in ours for path in (ROOT / folder).glob("*.py")
    }
    assert {"demo", "test"} <= commands <= known


# SHA-256, begun, of what may stand in no file: kept as digests, so that this file obeys its own rule
FORBIDDEN = {
    "0fe68e7a8a473efa",
    "216d3696f4fb08b1",
    "3ca29e55be4befa4",
    "54e6289e14c7b0e7",
    "8743857e3ea00fd1",
    "8b5bb5eb9d758455",
    "a4aa2ac280bb8d1a",
    "e248e355ce56844c",
}
HOSTS = re.compile(r"(?:.*\.)?(?:example|example\.org|local|w3\.org|[\d.]+|[^.]*)|(?:x|a-longer)\.org")


def _digest(word: str) -> str:
    return hashlib.sha256(word.encode()).hexdigest()[:16]


def _said(text: str) -> set[str]:
    """Words, the last two parts of dotted names, and the first folders of paths."""
    text = text.lower()
    names = re.findall(r"[a-z0-9-]+(?:\.[a-z0-9-]+)+", text)
    pairs = {".".join(two) for name in names for parts in [name.split(".")] for two in pairwise(parts)}
    return pairs | set(re.findall(r"(?=(/[a-z]+/))", text)) | set(re.findall(r"[a-z]+", text))


def test_nothing_speaks_of_a_machine_or_a_registry() -> None:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    for name in listed.splitlines():
        path = ROOT / name
        if path.suffix in {".png", ".jpg", ".heic", ".pdf", ".ttf"} or not path.exists():
            continue
        text = path.read_text(errors="replace")
        found = {word for word in _said(text) if _digest(word) in FORBIDDEN}
        assert not found, name
        assert f"{ROOT}/" not in text, name
        strange = {host for host in re.findall(r"https?://([a-z0-9.-]+)", text.lower()) if not HOSTS.fullmatch(host)}
        assert not strange, name


def test_the_rule_on_words_finds_what_it_forbids() -> None:
    made = (
        "trans" + "cript",
        "files.python" + "hosted.org",
        "/".join(("", "wo" + "rk", "x")),
        "registry.np" + "mjs.org",
    )
    for text in made:
        assert any(_digest(word) in FORBIDDEN for word in _said(f"see {text} there")), text
