"""Running the music engraver: pictures, failures, speed apart. Every test here starts LilyPond."""

import re
from collections import Counter
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from engraver.errors import EngravingFailed, Place, ToolMissing
from engraver.outputs import engraving
from engraver.outputs.engraved_svg import tidy
from engraver.outputs.engraving import Engraver, EngravingJob, engrave, gather, shares
from engraver.outputs.lilypond import legend_snippets, lilypond_score
from engraver.score.model import Notation, NoteValue, Score
from engraver.score.page import EngravingStyle
from engraver.score.signs import Sign
from tests.outputs import scores

STYLE = EngravingStyle()
UP = [
    "G2 6.3 2 i ^2", "A2 6.5 4 m", "B2 5.2 1 i", "C3 5.3 2 m", "D3 5.5 4 i", "E3 4.2 1 m", "F#3 4.4 3 i", "G3 4.5 4 m",
    "A3 3.2 1 i", "B3 3.4 3 m", "C4 3.5 4 i", "D4 2.3 2 m", "E4 2.5 4 i", "F#4 1.2 1 m", "G4 1.3 2 i",
]  # fmt: skip
LEAPS = ["E2 6.0 0 p", "E5 1.12 4 a ^9", "F2 6.1 1 p", "D5 1.10 2 m", "G2 6.3 3 p", "C5 1.8 1 a", "A2 5.0 0 p",
         "B5 1.19 4 m"]  # fmt: skip
DOUBLE_SHARPS = ["E#4 1.1 1 i", "F##4 1.3 3 m", "G#4 1.4 4 i", "F#4 1.2 2 m", "F##4 1.3 3 i", "F##4 1.3 3 m"]
CHORDS = ["C3 5.3 3 p + E3 4.2 2 i + G3 3.0 0 m + C4 2.1 1 a", "F2 6.1 1 p + C3 5.3 3 i + F3 4.3 4 m + A3 3.2 2 a ^1"]
SLURS = ["C4 3.5 1 i (", "D4 3.7 3 - )", "D4 3.7 3 i ~", "D4 3.7 3 -", "D#4 3.8 4 m", "D4 3.7 3 i ?", "C4 3.5 1 m (",
         "B3 3.4 1 - )"]  # fmt: skip
BROKEN = "\\score { \\new Staff { c'4 | c'4 } }\n"


def arpeggio() -> Score:
    upper = ["r", "G3 3.0 0 i", "C4 2.1 1 m", "E4 1.0 0 a"] * 4
    voices = (
        scores.beamed(scores.voice_elements(upper, [scores.QUAVER] * 16, Fraction(4)), Fraction(2)),
        scores.voice_elements(["C3 5.3 3 p"] * 4, [scores.MINIM] * 4, Fraction(4)),
    )
    return scores.score(*voices, repeated=True)


SCORES = {
    "two octaves": scores.line_score([*UP, *UP[-2::-1]], fifths=1),
    "semiquavers": scores.line_score([*UP, *UP[-2::-1]] * 2, scores.SEMIQUAVER, fifths=1),
    "sextuplets": scores.line_score((UP[:12] + UP[11::-1]) * 2, scores.SEXTUPLET, fifths=1),
    "leaps": scores.line_score(LEAPS * 2, scores.QUAVER, beat=Fraction(2)),
    "double sharps": scores.line_score(DOUBLE_SHARPS * 2, fifths=6, metre=scores.Metre(3, 4)),
    "chords": scores.line_score(CHORDS * 2, scores.MINIM),
    "arpeggio": arpeggio(),
    "slurs": scores.line_score(SLURS),
    "tablature": scores.line_score(UP[:12], scores.TRIPLET_QUAVER, fifths=1, notation=Notation.TABLATURE),
    "staff": scores.line_score(UP, fifths=1, notation=Notation.STAFF),
}


def jobs(style: EngravingStyle = STYLE) -> list[EngravingJob]:
    return [EngravingJob(name, lilypond_score(score, style)) for name, score in SCORES.items()]


@pytest.fixture(scope="module")
def engraved() -> dict[str, engraving.Engraved]:
    return engrave(jobs(), STYLE)


def test_every_kind_of_music_is_engraved_without_a_word(engraved: dict[str, engraving.Engraved]) -> None:
    """No warning, a picture for each system, in the order asked for."""
    assert list(engraved) == list(SCORES)
    assert all(item.systems for item in engraved.values())
    assert len(engraved["semiquavers"].systems) > 1


def test_full_systems_have_the_width_of_the_line(engraved: dict[str, engraving.Engraved]) -> None:
    """Music that fills its line is cut at both ends of the staff, to a hundredth of a millimetre."""
    for name in ("two octaves", "semiquavers", "sextuplets", "arpeggio"):
        assert {round(system.width_mm, 1) for system in engraved[name].systems} == {170.0}, name


@pytest.mark.parametrize("size", [14.0, 28.0])
def test_other_sizes_are_engraved_too(size: float) -> None:
    """Small and large print, in landscape, with a number of measures that cannot fit: nothing leaves the line."""
    style = EngravingStyle(size, 257, measures_per_system=4)
    done = engrave(jobs(style), style)
    assert max(system.width_mm for item in done.values() for system in item.systems) <= 257.1


def test_every_legend_picture_is_one_small_system() -> None:
    """The legend's samples are engraved like exercises and are narrower than a third of the line."""
    signs = legend_snippets(Sign, STYLE)
    done = engrave([EngravingJob(sign.value, block) for sign, block in signs.items()], STYLE)
    for name, item in done.items():
        assert len(item.systems) == 1, name
        assert item.systems[0].width_mm < 57, name


def test_a_batch_gives_the_same_bytes_as_single_runs(engraved: dict[str, engraving.Engraved]) -> None:
    """What an exercise looks like does not hang on what was engraved before it."""
    for job in jobs()[::3]:
        assert engrave([job], STYLE)[job.name] == engraved[job.name]


def test_pictures_name_no_folder(engraved: dict[str, engraving.Engraved]) -> None:
    """No path, no user and no time is left in a picture."""
    everything = b"".join(system.svg for item in engraved.values() for system in item.systems)
    for word in (str(Path.home()), "/tmp", "engraving-", str(Path.cwd()), "textedit", "surface"):
        assert word.encode() not in everything, word


def test_plucking_letters_stand_in_one_straight_row() -> None:
    """Under notes that leap over four octaves, sixteen letters share one height."""
    plain = [text.replace("^9", "") for text in LEAPS] * 2
    svg = engrave([EngravingJob("row", lilypond_score(scores.line_score(plain), STYLE))], STYLE)["row"].systems[0].svg
    heights = Counter(re.findall(rb'<use xlink:href="#glyph\d+-\d+" x="[\d.]+" y="([\d.]+)"', svg))
    assert heights.most_common(1)[0][1] >= 16


def test_accidentals_agree_with_the_engravers_own_rule() -> None:
    """Signs forced where the score wants them give the same picture as the rule of one measure, one octave."""
    style = STYLE
    text = {name: lilypond_score(SCORES[name], style) for name in ("double sharps", "slurs")}
    own = "\\layout { \\context { \\Staff \\accidentalStyle default extraNatural = ##f } line-width"
    forced = [EngravingJob(name, block) for name, block in text.items()]
    ruled = [
        EngravingJob(name, block.replace("!", "").replace("\\layout { line-width", own)) for name, block in text.items()
    ]
    assert all("!" in block for block in text.values())
    assert engrave(forced, style) == engrave(ruled, style)


def test_a_measure_too_wide_for_the_line_is_made_smaller() -> None:
    """Thirty-two notes in one measure of large print are reduced to the line instead of running off it."""
    dense = scores.line_score(["E4 1.0 0 i"] * 32, NoteValue(32))
    style = EngravingStyle(28, 120)
    item = engrave([EngravingJob("dense", lilypond_score(dense, style))], style)["dense"]
    assert item.scale < 1
    assert item.systems[0].width_mm == pytest.approx(120, abs=0.1)
    assert b'width="340.1' in item.systems[0].svg[:400]


def test_a_refused_exercise_is_named_among_many() -> None:
    """The log's line leads to the exercise and its place in the book; the engraver's words are kept as a note."""
    wrong = EngravingJob("broken", BROKEN, Place("book.yaml", 7, 3))
    with pytest.raises(EngravingFailed) as caught:
        engrave([*jobs()[:2], wrong, *jobs()[2:3]], STYLE, workers=1)
    assert str(caught.value) == (
        "book.yaml:7:3: 'broken' cannot be engraved: a measure does not add up to its metre; "
        "check the rhythm and the metre"
    )
    assert "bar check failed" in caught.value.__notes__[0]


def test_a_warning_without_a_line_is_traced_to_its_exercise() -> None:
    """A missing glyph is told without a place: each exercise is then tried alone."""
    lost = EngravingJob("lost", '\\score { { c\'1^\\markup \\musicglyph "no.such" } }\n')
    with pytest.raises(EngravingFailed, match="'lost' cannot be engraved: the music engraver says"):
        engrave([*jobs()[:2], lost], STYLE, workers=1)


def test_an_exercise_without_music_is_named() -> None:
    """A run that ends well but leaves no picture is a failure."""
    with pytest.raises(EngravingFailed, match="'empty' cannot be engraved"):
        engrave([jobs()[0], EngravingJob("empty", "\n"), jobs()[1]], STYLE)


def test_a_run_that_does_not_end_is_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    """An endless loop in a source is ended after the time allowed, and the exercise is named."""
    table = engraving.engraving_table()
    short = table.model_copy(
        update={"running": table.running.model_copy(update={"timeout_s": 0.3, "timeout_per_exercise_s": 0.1})}
    )
    monkeypatch.setattr(engraving, "engraving_table", lambda: short)
    with pytest.raises(EngravingFailed, match=r"did not end in time \(endless"):
        engrave([EngravingJob("endless", "\\score { { #(let loop () (loop)) c'1 } }\n")], STYLE)


def test_the_engraver_must_be_installed(monkeypatch: pytest.MonkeyPatch) -> None:
    """A missing program is told as such, with the way to get it."""
    import lilypond

    monkeypatch.setattr(lilypond, "executable", lambda: "/nowhere/lilypond")
    engraving._executable.cache_clear()
    with pytest.raises(ToolMissing, match="not installed; pip install lilypond"):
        engrave(jobs()[:1], STYLE)
    engraving._executable.cache_clear()


def test_processes_started_ahead_are_used_or_ended() -> None:
    """One of two waiting processes engraves, the other is gone when the work is over."""
    with Engraver(workers=1, ahead=2) as engraver:
        waiting = [run._process for run in engraver._waiting]
        done = gather(engraver, [engraver.submit(jobs()[:1], STYLE)])
    assert list(done) == ["two octaves"]
    assert sorted(process.returncode == 0 for process in waiting) == [False, True]


def test_progress_counts_up_to_the_number_of_exercises() -> None:
    """The teacher sees the count grow, never fall, and end at the total."""
    heard: list[int] = []
    engrave(jobs(), STYLE, workers=1, progress=heard.append)
    assert heard == sorted(heard)
    assert heard[-1] == len(SCORES)


def test_work_is_shared_evenly_and_completely() -> None:
    """Every exercise is in exactly one part, and no part is much longer than another."""
    many = [EngravingJob(f"{n}", "x" * (500 + 37 * n)) for n in range(100)]
    parts = shares(many, 2)
    assert sorted(job.name for part in parts for job in part) == sorted(job.name for job in many)
    lengths = [sum(len(job.source) for job in part) for part in parts]
    assert max(lengths) < 1.05 * min(lengths)


def test_a_long_book_is_cut_into_more_runs() -> None:
    """No run grows beyond its number of exercises, so that memory stays level."""
    many = [EngravingJob(f"{n}", "x") for n in range(1000)]
    assert max(len(part) for part in shares(many, 2)) <= engraving.engraving_table().running.exercises_per_run


def test_only_pictures_are_tidied() -> None:
    """Something that is no picture of the engraver's is refused."""
    with pytest.raises(ValueError, match="not a picture"):
        tidy(b"<svg></svg>")


def test_a_changed_size_changes_the_picture(engraved: dict[str, engraving.Engraved]) -> None:
    """The same music in another staff size is another picture of the same width."""
    style = replace(STYLE, staff_size_pt=20)
    bigger = engrave([EngravingJob("two octaves", lilypond_score(SCORES["two octaves"], style))], style)
    assert bigger["two octaves"].systems[0].height_mm > engraved["two octaves"].systems[0].height_mm
