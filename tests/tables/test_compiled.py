"""Tables in compiled form: never out of date, never trusted when damaged."""

import sys

import pytest

from engraver.tables.compiled import table_content


@pytest.fixture(autouse=True)
def keeping(monkeypatch):
    """Compiled files may be written."""
    monkeypatch.setattr(sys, "dont_write_bytecode", False)


def test_a_changed_table_is_read_anew(tmp_path):
    """What is kept belongs to one text only."""
    table = tmp_path / "strings.yaml"
    table.write_text("strings: [E2, A2]")
    assert table_content(table) == {"strings": ["E2", "A2"]}
    table.write_text("strings: [D2, A2]")
    assert table_content(table) == {"strings": ["D2", "A2"]}


def test_an_unchanged_table_is_not_parsed_again(tmp_path, monkeypatch):
    """The second reading needs no YAML."""
    table = tmp_path / "frets.yaml"
    table.write_text("frets: 19\nscale: 0.5\nnut: true\nnone: ~\n")
    first = table_content(table)
    monkeypatch.setattr("engraver.tables.yaml_reader.yaml_reader", None)
    assert table_content(table) == first == {"frets": 19, "scale": 0.5, "nut": True, "none": None}


def test_a_damaged_compiled_table_is_made_again(tmp_path):
    """Whatever stands in the kept file, the table's own text counts."""
    table = tmp_path / "frets.yaml"
    table.write_text("frets: 19")
    table_content(table)
    (kept,) = (tmp_path / "__pycache__").iterdir()
    whole = kept.read_bytes()
    for damaged in (b"", whole[:20], whole[:-1], whole[:32] + b"\xff" * 9):
        kept.write_bytes(damaged)
        assert table_content(table) == {"frets": 19}


def test_nothing_is_written_where_python_writes_nothing(tmp_path, monkeypatch):
    """The setting for compiled modules counts for tables too."""
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    table = tmp_path / "frets.yaml"
    table.write_text("frets: 19")
    assert table_content(table) == {"frets": 19}
    assert not (tmp_path / "__pycache__").exists()
