"""Shared by all tests: the sample books, a way to build one into a temporary folder, golden texts."""

from __future__ import annotations

import difflib
from pathlib import Path

import pytest
from hypothesis import settings

settings.register_profile("repeatable", derandomize=True)
settings.register_profile("search", max_examples=1000)
settings.load_profile("repeatable")  # a run finds what the last one found; --hypothesis-profile=search looks further

ROOT = Path(__file__).resolve().parents[1]
BOOKS = sorted((ROOT / "books").glob("*.yaml"))
GOLD = ROOT.parent / "shared" / "gold"


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--update-golden", action="store_true", help="write golden files anew; look at them before committing"
    )


@pytest.fixture
def golden(request: pytest.FixtureRequest):
    """Compares a text with a golden file; a difference is shown as a diff."""

    def compare(path: Path, text: str) -> None:
        if request.config.getoption("--update-golden"):
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, "utf-8")
        kept = path.read_text("utf-8")
        diff = "\n".join(difflib.unified_diff(kept.splitlines(), text.splitlines(), "golden", "now", lineterm=""))
        assert not diff, diff

    return compare
