"""Tuning and capo are told where a player needs them: beside each title, on the imprint, at the head of a tablature.

That a score states a retuned string and a capo at its head is common practice, no source; the words are ours.
"""

import pytest

from engraver.spec.reader import read_book
from tests.books.building import draft_text

BOOK = """\
title: T
language: {language}
instrument: {{{instrument}}}
chapters:
  - title: C
    exercises:
      - {{id: x, kind: scale, scale: major, tonics: [D3], octaves: 1}}
"""


def drafted(folder, instrument="", language="en"):
    (draft,) = draft_text(folder, BOOK.format(instrument=instrument, language=language))
    return draft


@pytest.mark.parametrize(
    ("instrument", "language", "told"),
    [
        ("", "en", ""),
        ("tuning: drop d", "en", "string 6 to D"),
        ("tuning: [D2, A2, D3, G3, B3, D4]", "en", "string 6 to D, string 1 to D"),
        ("tuning: [E2, A2, D3, F sharp 3, B3, E4], capo: 3", "de", "3. Saite auf Fis, Kapodaster III"),
        ("tuning: [D2, A2, D3, G3, A3, D4]", "fr", "accord ré la ré sol la ré"),
        ("tuning: [B1, E2, A2, D3, G3, B3, E4]", "de", "Stimmung H E A D G H E"),
        ("capo: 2", "es", "capotraste II"),
        ("capo: 2", "it", "capotasto II"),
        ("tuning: drop d", "pt", "corda 6 em ré"),
    ],
)
def test_tuning_and_capo_stand_beside_the_title(tmp_path, instrument, language, told):
    """One or two strings are named one by one, more as a whole tuning from the lowest; the usual guitar says nothing."""
    remark = drafted(tmp_path, instrument, language).plate.remark
    assert remark == told


@pytest.mark.parametrize(
    ("tuning", "language", "names"),
    [
        ("[D2, A2, D3, F sharp 3, A3, D4]", "en", ['"D"', '"A"', '"F" \\sharp', '"D"', '"A"', '"D"']),
        ("[E flat 2, A flat 2, D flat 3, G flat 3, B flat 3, E flat 4]", "de", ["Es", "B", "Ges", "Des", "As", "Es"]),
        ("drop d", "fr", ["Mi", "Si", "Sol", "Ré", "La", "Ré"]),
        ("[B1, E2, A2, D3, G3, B3, E4]", "de", ["E", "H", "G", "D", "A", "E", "H"]),
    ],
)
def test_a_tablature_names_the_strings_of_other_tunings(tmp_path, tuning, language, names):
    """From string 1 downwards, in the language of the book; B natural is H in German (common practice)."""
    source = drafted(tmp_path, f"tuning: {tuning}", language).source
    shown = [part for part in source.split("\n") if "string-names (list" in part]
    assert len(shown) == 1
    found = [part for part in shown[0].split("#{")[1:]]
    assert len(found) == len(names)
    assert all(name in part for name, part in zip(names, found, strict=True))


def test_the_usual_tuning_has_its_usual_sign(tmp_path):
    """No names at the head where nothing differs, with a capo or without."""
    assert "string-names" not in drafted(tmp_path, "capo: 2").source


def test_the_imprint_tells_the_guitar(tmp_path):
    """The page about the book names tuning and capo as a sentence."""
    from engraver.press.layout import _imprint
    from engraver.tables.words import words

    path = tmp_path / "imprint.yaml"
    path.write_text(BOOK.format(instrument="tuning: drop d, capo: 1", language="en"), "utf-8")
    book = read_book(path)
    assert "String 6 to D, capo I." in _imprint(book, words("en"))
