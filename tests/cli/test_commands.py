"""The commands hand over what was typed, print, and end with the right code."""

import re
from dataclasses import replace
from pathlib import Path

import pytest
from typer.testing import CliRunner

import engraver.build
from engraver.cli import app
from engraver.errors import Place, SpecError
from engraver.press.request import EditionReport

RUN = CliRunner()
REPORT = EditionReport("b", "standard", Path("build/b/standard"), 12, 40, 3, 37, (), "built")


@pytest.fixture
def handed(monkeypatch):
    """What reaches the build."""
    seen = []

    def build_book(path, request, on_step):
        seen.append((path, request))
        return (REPORT,)

    monkeypatch.setattr(engraver.build, "build_book", build_book)
    return seen


def test_build_hands_over_editions_formats_and_folder(handed):
    """Formats may be joined by commas or given apart; editions may be several."""
    done = RUN.invoke(
        app,
        [
            "build",
            "b.yaml",
            "--edition",
            "teacher",
            "--edition",
            "student",
            "--formats",
            "musicxml,midi",
            "--formats",
            "lilypond",
            "--out",
            "o",
        ],
    )
    assert done.exit_code == 0
    ((path, request),) = handed
    assert (path, request.editions, request.formats, request.out) == (
        Path("b.yaml"),
        ("teacher", "student"),
        ("musicxml", "midi", "lilypond"),
        Path("o"),
    )


def test_build_ends_with_a_summary(handed):
    """Pages, exercises, engraved and reused, warnings, seconds, and where the files are."""
    out = RUN.invoke(app, ["build", "b.yaml"]).stdout
    assert "12 pages, 40 exercises (3 engraved, 37 reused), 0 warnings" in out
    assert "build/b/standard" in out


def test_several_editions_are_summed_up_and_their_warnings_named(monkeypatch):
    """The time is told once for all of them; a warning says of which edition it speaks."""
    warned = replace(REPORT, edition="large", warnings=("b.yaml:3:1: too fast",))
    monkeypatch.setattr("engraver.build.build_book", lambda path, request, on_step: (REPORT, warned))
    done = RUN.invoke(app, ["build", "b.yaml", "--edition", "all"])
    assert done.stdout.count(" s\n") == 1
    assert re.search(r"^b: 2 editions, \d+\.\d s$", done.stdout, re.MULTILINE)
    assert "warning: edition 'large': b.yaml:3:1: too fast" in done.stderr


def test_an_unknown_format_is_a_usage_error(handed):
    """Exit 2, and the formats we write."""
    done = RUN.invoke(app, ["build", "b.yaml", "--formats", "docx"])
    assert done.exit_code == 2
    assert handed == []


def test_several_books_are_all_built_though_one_fails(monkeypatch):
    """The error is printed at its place; the others go on; exit 1."""
    seen = []

    def build_book(path, request, on_step):
        seen.append(path.name)
        if path.name == "a.yaml":
            raise SpecError("'majr' is not a scale we know", Place("a.yaml", 3, 5), "did you mean 'major'?")
        return (REPORT,)

    monkeypatch.setattr(engraver.build, "build_book", build_book)
    done = RUN.invoke(app, ["build", "a.yaml", "b.yaml"])
    assert done.exit_code == 1
    assert seen == ["a.yaml", "b.yaml"]
    assert done.stderr.startswith("a.yaml:3:5: 'majr' is not a scale we know; did you mean 'major'?")


def test_warnings_fail_only_when_strict(monkeypatch):
    """`--strict` makes them errors."""
    warned = EditionReport("b", "standard", Path("x"), 1, 1, 1, 0, ("b.yaml:5:9: too fast",), "built")
    monkeypatch.setattr(engraver.build, "build_book", lambda *_: (warned,))
    assert RUN.invoke(app, ["build", "b.yaml"]).exit_code == 0
    assert RUN.invoke(app, ["build", "b.yaml", "--strict"]).exit_code == 1


def test_a_bug_is_told_in_one_sentence(monkeypatch):
    """No traceback on the screen; it is saved, and the exit code says it was not the book."""

    def build_book(*_):
        raise ZeroDivisionError("oops")

    monkeypatch.setattr(engraver.build, "build_book", build_book)
    done = RUN.invoke(app, ["build", "b.yaml"])
    assert done.exit_code == 3
    assert "mistake of the program" in done.stderr
    assert "Traceback" not in done.stderr + done.stdout
    saved = Path(done.stderr.rsplit(" ", 1)[-1].strip())
    assert "ZeroDivisionError" in saved.read_text()
    saved.unlink()


def test_page_hands_over_the_players_wishes(monkeypatch):
    """Scale length, reach, notation, key."""
    seen = []
    monkeypatch.setattr(engraver.build, "build_page", lambda *given: seen.append(given) or Path("p.pdf"))
    done = RUN.invoke(
        app,
        [
            "page",
            "b.yaml",
            "g-major",
            "--scale-length",
            "530",
            "--reach",
            "80",
            "--notation",
            "tablature",
            "--key",
            "E flat",
        ],
    )
    assert done.exit_code == 0
    ((path, exercise, wishes, out),) = seen
    assert (path, exercise, out) == (Path("b.yaml"), "g-major", Path("build"))
    assert (wishes.scale_length_mm, wishes.reach_mm, wishes.notation, wishes.key) == (530, 80, "tablature", "E flat")


def test_check_writes_nothing(tmp_path):
    """A good book is counted, a bad one told."""
    good = tmp_path / "good.yaml"
    good.write_text(
        "title: T\nchapters:\n  - title: C\n    exercises:\n      - {id: a, kind: scale, scale: major, tonics: [G, A]}\n"
    )
    done = RUN.invoke(app, ["check", str(good)])
    assert (done.exit_code, "2 exercises, no errors" in done.stdout) == (0, True)
    good.write_text(good.read_text().replace("major", "majr"))
    done = RUN.invoke(app, ["check", str(good)])
    assert done.exit_code == 1
    assert "good.yaml:5:37: 'majr'" in done.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["good.yaml"]


def test_explain_prints_sections_and_knows_its_exercises(tmp_path):
    """Plain text where no terminal is; an unknown exercise is told in one line."""
    book = tmp_path / "b.yaml"
    book.write_text(
        "title: T\nchapters:\n  - title: C\n    exercises:\n"
        "      - {id: g, kind: scale, scale: major, tonics: [G], octaves: 2, right_hand: {alternate: [i, m]}}\n",
        "utf-8",
    )
    done = RUN.invoke(app, ["explain", str(book), "g"])
    assert done.exit_code == 0
    for heading in ("Why it is spelled so", "Shifts", "Stretches", "Other left hands", "Patterns and first fingers"):
        assert f"\n{heading}\n" in done.output
    assert RUN.invoke(app, ["explain", str(book), "h"]).exit_code == 1


def test_check_measures_the_pictures_when_asked(tmp_path, monkeypatch):
    """What touches is told with its exercise and place; nothing is left behind; without the word nothing is engraved."""
    from engraver.press import clearance

    path = tmp_path / "one.yaml"
    path.write_text(
        "title: T\nchapters:\n  - title: C\n    exercises:\n"
        "      - {id: x, kind: scale, scale: major, tonics: [C3], octaves: 1}\n",
        "utf-8",
    )
    assert "0 warnings" in RUN.invoke(app, ["check", str(path), "--engraved"]).output
    monkeypatch.setattr(clearance, "AIR_SP", {"head": 3.0})
    told = RUN.invoke(app, ["check", str(path), "--engraved"]).output
    assert f"{path}:5:9: exercise 'x': house style: system 1: a digit crowds a head" in told
    assert "0 warnings" in RUN.invoke(app, ["check", str(path)]).output
    assert [each.name for each in tmp_path.iterdir()] == ["one.yaml"]
