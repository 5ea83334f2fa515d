"""The import contracts of pyproject.toml name what is there."""

import ast
import tomllib
from pathlib import Path

from shop.starting.parts import ROOT

CONTRACTS = {
    contract["id"]: contract
    for contract in tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"]
}


def named(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts)


def says_pure(path: Path) -> bool:
    words = ast.get_docstring(ast.parse(path.read_text())) or ""
    return "Pure" in words and "Pure but for" not in words


def test_every_module_that_calls_itself_pure_stands_in_the_contract_that_keeps_it_so() -> None:
    modules = [path for top in ("jobs", "shop") for path in (ROOT / top).rglob("*.py") if path.name != "__init__.py"]
    pure = {named(path) for path in modules if says_pure(path)}
    assert len(pure) > 10
    listed = set(CONTRACTS["pure"]["source_modules"])
    assert sorted(pure - listed) == [], "add these to the contract “pure”"
    gone = [name for name in listed if not (ROOT / f"{name.replace('.', '/')}.py").exists()]
    assert gone == [], "take these out of the contract “pure”"


def test_every_slice_stands_in_the_order_of_slices() -> None:
    slices = {path.parent.name for path in (ROOT / "jobs").glob("*/__init__.py")} - {"migrations", "management"}
    listed = {name.strip() for line in CONTRACTS["jobs"]["layers"] for name in line.split("|")}
    assert listed == slices
