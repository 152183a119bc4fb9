"""Marks already in a file teach the notes that bear none."""

from dataclasses import replace
from pathlib import Path

from engraver.editing.fingers import finger_file
from engraver.editing.guitars import PlayerWishes
from tests.reading.music_xml import Written, line, notes_back, score_xml

BAR = "E4 D4 C4 B3"


def test_an_unusual_finger_in_the_first_bar_is_taken_in_the_others(tmp_path: Path) -> None:
    """Finger 4 on the C of bar 1, which every other bar would give to finger 1, goes through the bars that repeat it."""
    plain = line(" ".join([BAR] * 4))
    marked = [replace(note, marks=(("fingering", "4"),)) if at == 2 else note for at, note in enumerate(plain)]

    def fingers(notes: list[Written]) -> list[str]:
        path = tmp_path / "x.musicxml"
        path.write_bytes(score_xml(notes))
        back = notes_back(finger_file(path, PlayerWishes()).data)
        return [note.mark("fingering") for note in back if note.midi == 60]

    assert set(fingers(plain)) != {"4"}
    assert fingers(marked) == ["4"] * 4
