"""Files in other formats that bear no title or composer get none from the library that reads them."""

from engraver.reading.files import read_music


def test_the_reading_library_signs_nothing(tmp_path):
    """Neither title nor composer."""
    (tmp_path / "x.abc").write_text("X:1\nM:4/4\nL:1/4\nK:C\nCDEF|]\n")
    music = read_music(tmp_path / "x.abc").music
    assert (music.title, music.composer) == ("", "")
