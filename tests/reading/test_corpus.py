"""Scores of every format that music21 bundles are read; what is refused is refused with a sentence."""

import pytest

from engraver.errors import EngraverError
from engraver.reading import converting
from engraver.reading.files import read_music
from engraver.reading.playing import strokes_of
from tests.reading.corpus_files import SHARES, sample


def test_the_sample_has_two_hundred_files_of_every_format():
    """And it does not change from run to run."""
    paths = sample()
    assert len(paths) >= 200
    assert {path.suffix for path in paths} == set(SHARES)
    assert paths == sample()


@pytest.mark.slow
@pytest.mark.parametrize("ending", SHARES)
def test_the_bundled_scores_are_read(ending, monkeypatch):
    """At most the collections of tunes are refused; every other file gives notes in bars."""

    def here(data: bytes, form: str, file: str) -> bytes:
        if form == "abc" and data.count(b"\nX:") > 0:
            return own_process(data, form, file)
        return converting.converted(data, form)

    own_process = converting.convert
    monkeypatch.setattr(converting, "convert", here)
    refused = []
    for path in (path for path in sample() if path.suffix == ending):
        try:
            music = read_music(path).music
        except EngraverError as error:
            refused.append(str(error))
            continue
        assert any(strokes_of(part) for part in music.parts), path.name
        for part in music.parts:
            assert all(0 <= note.bar < len(part.bars) for note in part.notes)
    assert all("collection of" in text for text in refused), refused
    assert len(refused) <= (4 if ending == ".abc" else 0)
