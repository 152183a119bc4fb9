"""The house keeps its own rules: rooms know only the rooms below, types hold, tables name their sources."""

import ast
import importlib
import re
import subprocess
import sys
from pathlib import Path

import pytest

import engraver
from engraver.tables import Table, table_names
from tests.conftest import ROOT

PACKAGE = ROOT / "engraver"
MODULES = sorted(path.relative_to(ROOT).with_suffix("").as_posix().replace("/", ".") for path in PACKAGE.rglob("*.py"))


def run(*arguments: str) -> None:
    done = subprocess.run(arguments, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def tool(name: str) -> str:
    return str(Path(sys.executable).parent / name)


def test_the_data_goes_one_way():
    """Every room imports only the rooms below it."""
    run(tool("lint-imports"))


def test_the_code_is_typed():
    """Strictly, with no untyped corner."""
    run(sys.executable, "-m", "mypy")


def test_the_code_is_tidy():
    """Lint and format."""
    run(sys.executable, "-m", "ruff", "check", "engraver", "tests")
    run(sys.executable, "-m", "ruff", "format", "--check", "engraver")


def test_writers_do_not_know_each_other():
    """The formats beside the book never import one another."""
    own = {"musicxml": "musicxml", "midi": "midi"}
    for path in (PACKAGE / "outputs").glob("*.py"):
        family = next((name for name in own if path.stem.startswith(name)), "page")
        for module in re.findall(r"^from engraver\.outputs\.(\w+)", path.read_text(), re.M):
            other = next((name for name in own if module.startswith(name)), "page")
            assert other == family, f"{path.name} imports {module}"


@pytest.mark.parametrize("name", engraver.__all__)
def test_public_names_are_there_and_documented(name):
    """Each is importable from the top and says what it gives."""
    assert getattr(engraver, name).__doc__


def test_public_names_of_the_contract():
    """The five verbs of the Python interface."""
    assert {"read_book", "build_book", "compose", "finger", "respell"} <= set(engraver.__all__)


def test_importing_the_package_loads_nothing_heavy():
    """A second opinion, a page maker and an engraver are loaded by the function that needs them."""
    code = "import sys, engraver, engraver.cli; print([m for m in ('music21', 'typst', 'lxml', 'pikepdf', 'numpy', 'pydantic', 'ruamel.yaml') if m in sys.modules])"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert out.strip() == "[]"


@pytest.mark.parametrize("name", table_names())
def test_every_table_says_what_it_is_where_it_comes_from_and_in_which_units(name):
    """about, source and units stand at its head and are not empty."""
    from ruamel.yaml import YAML

    content = YAML(typ="safe", pure=True).load((PACKAGE / "tables" / f"{name}.yaml").read_text("utf-8"))
    head = Table.model_validate({key: content.get(key) for key in ("about", "source", "units")})
    assert min(len(head.about), len(head.source), len(head.units)) > 4


@pytest.mark.parametrize("module", MODULES)
def test_every_public_thing_has_a_docstring(module):
    """Modules, classes and functions that do not begin with an underscore."""
    tree = ast.parse((ROOT / f"{module.replace('.', '/')}.py").read_text("utf-8"))
    assert ast.get_docstring(tree), module
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            assert ast.get_docstring(node), f"{module}.{node.name}"


@pytest.mark.parametrize("module", [m for m in MODULES if not m.endswith("__init__")])
def test_examples_in_docstrings_hold(module):
    """Every `>>>` example gives what it shows."""
    import doctest

    assert doctest.testmod(importlib.import_module(module)).failed == 0


def test_the_test_line_of_the_readme_is_the_one_that_ci_runs():
    """A newcomer and the machine run the same line."""
    line = next(row for row in (ROOT / ".ci" / "run").read_text().splitlines() if "pytest" in row)
    assert line.strip() in (ROOT / "README.md").read_text()


def test_the_top_level_is_what_was_agreed():
    """Nothing beside the named entries and dotfiles."""
    tracked = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    top = {path.split("/")[0] for path in tracked.splitlines()}
    allowed = {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "engraver", "templates", "books", "tests"}
    assert {name for name in top if not name.startswith(".")} <= allowed
