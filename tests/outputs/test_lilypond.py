"""LilyPond source: what is written for the notes and marks of a score. Invented music only."""

import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from engraver.errors import EngravingFailed
from engraver.fretboard.numerals import position_numeral
from engraver.outputs.lilypond import legend_snippets, lilypond_file, lilypond_score
from engraver.outputs.lilypond_notes import length_text, pitch_text
from engraver.outputs.lilypond_rows import quoted
from engraver.score.model import BarreSign, Measure, Notation, NoteValue, Score
from engraver.score.page import EngravingStyle
from engraver.score.signs import Sign
from engraver.score.tuplets import with_tuplet_numbers
from engraver.theory.pitch import SpelledPitch
from tests.outputs import score_samples as samples
from tests.outputs import scores

GOLDEN = Path(__file__).parent / "golden"
STYLE = EngravingStyle()
SCALE = [
    "C3 5.3 3 i ^1", "D3 4.0 0 m", "E3 4.2 2 i", "F3 4.3 3 m",
    "G3 3.0 0 i", "A3 3.2 2 m", "B3 2.0 0 i", "C4 2.1 1 m !",
]  # fmt: skip
ARPEGGIO = ["r", "G3 3.0 0 i", "C4 2.1 1 m", "E4 1.0 0 a"] * 2


def source(score: Score, style: EngravingStyle = STYLE) -> str:
    return lilypond_score(score, style)


def block(text: str, opening: str) -> str:
    r"""The part of the source from one `\\new …` to the next."""
    return re.split(r"\\new |\\layout", text.partition(f"\\new {opening}")[2])[0]


def two_voices() -> Score:
    """A measure of two voices, then one of the upper voice alone."""
    upper = scores.beamed(scores.voice_elements(ARPEGGIO * 2, [scores.QUAVER] * 16, Fraction(4)), Fraction(2))
    bass = scores.voice_elements(["C3 5.3 3 p", "C3 5.3 3 p"], [scores.MINIM] * 2, Fraction(4))
    return scores.score(upper, bass)


@pytest.mark.parametrize(
    ("name", "written"),
    [("E2", "e,"), ("B flat 3", "bf"), ("F double sharp 4", "fss'"), ("C6", "c'''"), ("C flat 4", "cf'")],
)
def test_pitches_are_written_as_they_sound(name: str, written: str) -> None:
    """The octave clef alone lifts the notes: the open sixth string is E2, one mark below the unmarked octave."""
    assert pitch_text(SpelledPitch.parse(name)) == written


@pytest.mark.parametrize(("quarters", "written"), [("1/2", "8"), ("3", "2."), ("4", "1"), ("1/3", "4*1/3")])
def test_lengths_use_plain_values_where_there_are_any(quarters: str, written: str) -> None:
    """Only a length without a note value of its own is written as a multiple."""
    assert length_text(Fraction(quarters)) == written


@pytest.mark.parametrize(("number", "numeral"), [(1, "I"), (4, "IV"), (9, "IX"), (14, "XIV")])
def test_positions_are_roman(number: int, numeral: str) -> None:
    """Positions are Roman numerals."""
    assert position_numeral(number) == numeral


def test_accidentals_stand_where_the_score_wants_them_and_nowhere_else() -> None:
    """A forced sign is written for F sharp in C, none for the second one, a bracketed one for a reminder."""
    line = ["F#3 4.4 4 i", "F#3 4.4 4 m", "G3 3.0 0 i", "F3 4.3 3 m ?"]
    text = source(scores.line_score(line, scores.CROTCHET))
    assert "<fs!-4>4 <fs-4>4 <g-0>4 <f?-3>4" in text


def test_every_tablature_note_has_its_string() -> None:
    """Unmarked notes would land on any string, so each carries its own."""
    tablature = block(source(scores.line_score(SCALE)), "TabVoice")
    assert re.findall(r"\\(\d)>", tablature) == ["5", "4", "4", "4", "3", "3", "2", "2"]


def test_tablature_under_a_staff_has_no_rhythm() -> None:
    """Beams and rests belong to the staff above."""
    tablature = block(source(scores.line_score([*SCALE, "C4 2.1 1 m"])), "TabVoice")
    assert "[" not in tablature
    assert not re.search(r"\br\d", tablature)


def test_tablature_alone_carries_the_rhythm() -> None:
    """Alone it has stems, beams and rests, digits over it and no circles, since it shows the strings itself."""
    text = source(scores.line_score([*SCALE, "C4 2.1 1 m"], notation=Notation.TABLATURE))
    assert "\\new Staff" not in text
    assert "\\tabFullNotation" in text
    assert "r2" in block(text, "TabVoice")
    assert '\\digit "3"' in text
    assert "\\ring" not in text


def test_staff_alone_has_no_tablature() -> None:
    """A staff alone is written with no second staff and no system bar."""
    text = source(scores.line_score(SCALE, notation=Notation.STAFF))
    assert "Tab" not in text
    assert "StaffGroup" not in text


def test_fingers_and_letters_are_printed_only_where_shown() -> None:
    """A fact that this edition hides is not written."""
    shown = scores.line_score(SCALE)
    hidden = _with_notes(shown, show_finger=False, show_plucking=False, show_string=False)
    text = source(hidden)
    assert "-3" not in text
    assert "\\letter" not in text
    assert "\\ring" not in text
    assert "c8[ d8]" in text


def test_the_little_finger_has_the_letter_of_the_house() -> None:
    """The letter for the plucking little finger is a setting."""
    text = source(scores.line_score(["E4 1.0 0 c"] * 4, scores.CROTCHET), replace(STYLE, little_finger_letter="x"))
    assert text.count('\\letter "x"') == 4
    assert '\\letter "c"' not in text


def test_letters_of_a_chord_stand_one_over_the_other() -> None:
    """The higher note's letter is on top, the thumb's at the bottom, the sign of the reversal under all."""
    text = source(scores.line_score(["C3 5.3 3 p + E4 1.0 0 a + C4 2.1 1 m !"], scores.CROTCHET))
    assert '\\letterStack { \\letter "a" \\letter "m" \\letter "p" \\reversal }' in text


def test_planted_fingers_stand_under_the_letter() -> None:
    """The fingers over their bracket, the little one by the letter of the house."""
    text = source(samples.planting(), replace(STYLE, little_finger_letter="x"))
    assert '\\letterStack { \\letter "p" \\planted "imx" }' in text


@pytest.mark.parametrize("notation", list(Notation))
def test_signs_of_loudness_have_a_row_above_the_letters(notation: Notation) -> None:
    """Under the staff, or under a tablature that stands alone; one sign where voices meet."""
    text = source(replace(samples.loudness(), notation=notation))
    signs = re.findall(r'\\loudness "(\w+)"', text)
    assert signs == ["p", "sfz", "f", "fp"]
    assert text.count("new RowBelow") == 1
    assert text.index("new RowBelow") > text.index("Voice")


def test_a_circle_is_followed_by_a_line_while_its_string_holds() -> None:
    """String 5 holds for one note, so it has no line; string 4 for three."""
    row = source(scores.line_score(SCALE))
    assert (
        '\\ring "5" 8 \\markup \\ring "4" 4\\stringLine \\markup \\ring "4" ""8\\stopTextSpan \\markup \\ring "3"'
        in row
    )


def test_a_line_ends_at_the_next_circle() -> None:
    """Two lines never overlap, whatever the other voice still holds."""
    elements = list(scores.line_score(SCALE, scores.CROTCHET).elements)
    elements[1] = replace(elements[1], string_line_end=elements[7].onset_quarters)
    row = source(scores.score(elements))
    assert row.index('""4\\stopTextSpan') < row.index('\\ring "2"')
    assert row.count("stringLine") == row.count("stopTextSpan")


def test_two_voices_have_stems_up_and_down_and_a_lone_voice_is_free() -> None:
    """Where the bass is silent for a measure, the upper voice takes its own stems again."""
    text = source(two_voices())
    assert "\\new Voice { \\voiceOne" in text
    assert "\\new Voice { \\voiceTwo" in text
    lone = next(line for line in text.splitlines() if "\\oneVoice" in line)
    assert lone.strip().startswith("\\oneVoice r8 <g-0>8[")
    assert "s1 |" in block(text, "Voice { \\voiceTwo")


def test_a_digit_clears_the_sign_of_the_other_voice() -> None:
    """F sharp below C: both digits stand off past the sharp; a low bass note's sharp is out of reach."""
    upper = scores.voice_elements(["C5 1.8 2 i"], [NoteValue(1)], Fraction(4))
    near = scores.voice_elements(["F#4 2.7 1 p"], [NoteValue(1)], Fraction(4))
    far = scores.voice_elements(["F#2 6.2 1 p"], [NoteValue(1)], Fraction(4))
    assert "<c''-\\tweak padding #2.05 -2>" in source(scores.score(upper, near))
    assert "\\tweak padding" not in source(scores.score(upper, far))


def test_a_barre_has_its_sign_and_its_line() -> None:
    """Letter, share of the strings, fret; a line to the last note under it, dashed for a hinge; no numeral beside it."""
    score = scores.line_score(SCALE, scores.QUAVER)
    first = replace(score.elements[0], barre=BarreSign(5, 3, 6, Fraction(3, 2)), position=5)
    row = block(source(scores.score([first, *score.elements[1:]])), "RowAbove")
    assert '\\markup \\barre "C" "3/6" "V" 4.\\barreLine' in row
    assert row.count("\\stopTextSpan") == 1
    assert "\\numeral" not in row
    hinge = replace(first, barre=BarreSign(5, 6, 6, Fraction(3, 2), hinge=True, letter="B"))
    row = block(source(scores.score([hinge, *score.elements[1:]])), "RowAbove")
    assert '\\markup \\barre "B" "" "V" 4.\\hingeLine' in row


def test_a_guide_finger_has_its_dash_on_the_staff_and_over_lone_tablature() -> None:
    """The digit keeps its place, with the dash before it."""
    score = scores.line_score(SCALE, scores.QUAVER)
    led = replace(score.elements[2], notes=(replace(score.elements[2].notes[0], guide=True),))
    guided = scores.score([*score.elements[:2], led, *score.elements[3:]])
    assert "<e\\guided-2>8" in source(guided)
    assert '\\guidedDigit "2"' in source(replace(guided, notation=Notation.TABLATURE))


def test_a_tuplet_without_a_number_has_no_bracket_either() -> None:
    """What the score hides is written as a tuplet all the same."""
    score = scores.line_score(["E4 1.0 0 i"] * 24, scores.TRIPLET_QUAVER)
    text = block(source(replace(score, measures=with_tuplet_numbers(score.measures))), "Voice")
    first, second = text.splitlines()[1:3]
    assert first.count("\\tuplet 3/2 {") == second.count("\\tuplet 3/2 {") == 4
    assert "\\omit" not in first
    assert second.count("\\once \\omit TupletNumber \\once \\omit TupletBracket \\tuplet") == 4


def test_repeats_are_written_at_both_ends() -> None:
    """The opening repeat stands before the first note, the closing one after the last measure."""
    text = block(source(scores.line_score(SCALE, repeated=True)), "Voice")
    assert text.index('\\bar ".|:"') < text.index("<c-3>") < text.index('\\bar ":|."')


def test_two_repeats_that_meet_share_a_barline() -> None:
    """A measure that closes a repeat before one that opens another has a barline with dots on both sides."""
    once = scores.line_score(SCALE, repeated=True)
    again = [replace(e, onset_quarters=e.onset_quarters + 4) for e in once.elements]
    second = Measure(2, (replace(once.measures[0].voices[0], elements=tuple(again)),), once.measures[0].barline, True)
    text = source(replace(once, measures=(once.measures[0], second)))
    assert '\\bar ":..:"' in text


def test_systems_break_after_the_wished_number_of_measures() -> None:
    """Two measures a system: a break after the second and the fourth, none elsewhere, none at the end."""
    score = scores.line_score(["E4 1.0 0 i"] * 24, scores.CROTCHET)
    lines = block(source(score, replace(STYLE, measures_per_system=2)), "Voice").splitlines()[1:7]
    assert [("\\break" in line, "\\noBreak" in line) for line in lines] == [
        (False, True), (True, False), (False, True), (True, False), (False, True), (False, False),
    ]  # fmt: skip


def test_the_last_measure_is_bound_to_the_one_before() -> None:
    """Free systems never end in a measure alone, unless two do not fit the line; one system needs no such wish."""
    crotchets, dense = ["E4 1.0 0 i"] * 40, ["E4 1.0 0 i"] * 64
    lines = block(source(scores.line_score(crotchets, scores.CROTCHET)), "Voice").splitlines()[1:11]
    assert [line.endswith("\\noBreak") for line in lines] == [False] * 8 + [True, False]
    large = EngravingStyle(36, 130)
    assert "\\noBreak" not in source(scores.line_score(dense, scores.SEMIQUAVER), large)
    assert "\\noBreak" not in source(scores.line_score(crotchets[:8], scores.CROTCHET))


def test_measures_that_do_not_fit_are_shared_out_evenly() -> None:
    """Four measures of semiquavers do not fit one system of large print: they are halved until they do."""
    score = scores.line_score(["E4 1.0 0 i"] * 64, scores.SEMIQUAVER)
    lines = block(source(score, EngravingStyle(28, 170, measures_per_system=4)), "Voice").splitlines()[1:5]
    assert ["\\break" in line for line in lines] == [True, True, True, False]


def test_a_short_line_is_not_stretched_to_the_margin() -> None:
    """One measure of crotchets keeps a modest width; two dense ones fill the line; both as one system."""
    short = re.search(r"line-width = ([\d.]+)", source(scores.line_score(SCALE[:4], scores.CROTCHET)))
    full = re.search(r"line-width = ([\d.]+)", source(scores.line_score(SCALE * 4, scores.QUAVER)))
    assert short is not None
    assert full is not None
    assert 30 < float(short[1]) < 90
    assert float(full[1]) == 170


def test_a_short_last_system_keeps_its_natural_width() -> None:
    """Seven measures, three a system: the single one at the end is not pulled to the full line."""
    lone = source(scores.line_score(["E4 1.0 0 i"] * 28, scores.CROTCHET), replace(STYLE, measures_per_system=3))
    even = source(scores.line_score(["E4 1.0 0 i"] * 24, scores.CROTCHET), replace(STYLE, measures_per_system=3))
    assert "ragged-last = ##t" in lone
    assert "ragged-last = ##f" in even


@pytest.mark.parametrize(
    ("line", "message"),
    [
        (["C3 5.2 3 i"], "C3 does not lie on string 5, fret 2"),
        (["C3 7.3 3 i"], "C3 does not lie on string 7, fret 3"),
        (["A2 5.0 0 p + C3 5.3 3 i"], "two of the notes A2 and C3 lie on one string"),
    ],
)
def test_a_tablature_that_would_lie_is_refused(line: list[str], message: str) -> None:
    """The engraver would print it without a word, so it is caught here."""
    with pytest.raises(EngravingFailed, match=message):
        source(scores.line_score(line, scores.CROTCHET))


def test_text_is_quoted() -> None:
    """A backslash and a quotation mark cannot end a string."""
    assert quoted('a"b\\c#(exit)') == '"a\\"b\\\\c#(exit)"'


def test_an_output_name_cannot_leave_its_folder() -> None:
    """Whatever could be a path or a command becomes a hyphen."""
    text = lilypond_file([('../x" #(exit)', "\\score { c'1 }\n")], STYLE)
    assert '\\bookOutputName "---x----exit-"' in text


def test_large_print_enlarges_digits_more_than_heads() -> None:
    """From 24 points the digits gain on the heads, and lines grow thicker."""
    small, large = lilypond_file([], STYLE), lilypond_file([], EngravingStyle(28))
    size = re.compile(r"Fingering.font-size = (-?[\d.]+)")
    found = size.search(small), size.search(large)
    assert found[0] is not None
    assert found[1] is not None
    assert float(found[0][1]) < float(found[1][1])
    assert "StaffSymbol.thickness" in large
    assert "StaffSymbol.thickness" not in small


def test_every_sign_has_its_picture() -> None:
    """The legend can show each sign, and each differently."""
    pictures = legend_snippets(Sign, STYLE)
    assert list(pictures) == list(Sign)
    assert len(set(pictures.values())) == len(Sign)


@pytest.mark.parametrize(
    ("name", "score"),
    [
        ("one-octave", scores.line_score(SCALE)),
        (
            "tablature-alone",
            scores.line_score([*SCALE, *SCALE[:4]], scores.TRIPLET_QUAVER, notation=Notation.TABLATURE),
        ),
        ("two-voices", two_voices()),
    ],
)
def test_whole_sources(name: str, score: Score, golden) -> None:  # type: ignore[no-untyped-def]
    """The source of a score stays as it was looked at."""
    golden(GOLDEN / f"{name}.ly", source(score))


def _with_notes(score: Score, **changes: object) -> Score:
    def changed(measure: Measure) -> Measure:
        voices = tuple(
            replace(
                voice,
                elements=tuple(
                    replace(e, notes=tuple(replace(n, **changes) for n in e.notes), string_line_end=None)
                    for e in voice.elements
                ),
            )
            for voice in measure.voices
        )
        return replace(measure, voices=voices)

    return replace(score, measures=tuple(changed(measure) for measure in score.measures))


def test_values_with_dots_and_tuplets_reach_the_tablature() -> None:
    """A dotted minim under the staff is written as one; a quintuplet semiquaver as a fraction of its value."""
    dotted = scores.voice_elements(["E4 1.0 0 i"], [NoteValue(2, 1)], Fraction(3))
    five = scores.voice_elements(["E4 1.0 0 i"] * 5, [NoteValue(16, 0, 5, 4)] * 5, Fraction(1))
    metre = scores.Metre(3, 4)
    assert "<e'\\1>2." in block(source(scores.score(dotted, metre=metre)), "TabVoice")
    assert "<e'\\1>16*4/5" in block(source(scores.score(five, metre=scores.Metre(1, 4))), "TabVoice")


def test_digits_stand_over_a_plain_line_and_beside_everything_else():
    """Above in single lines, beside the head in chords and under slurs (common practice; where which, chosen by us)."""
    above = r"\plainLine"
    line = scores.line_score(["E4 1.0 0 i", "F4 1.1 1 m", "G4 1.3 3 i", "E4 1.0 0 m"], scores.CROTCHET)
    assert above in source(line)
    accented = replace(line.measures[0].voices[0].elements[0], accent=True)
    voice = replace(line.measures[0].voices[0], elements=(accented, *line.measures[0].voices[0].elements[1:]))
    measure = replace(line.measures[0], voices=(voice,))
    assert above not in source(replace(line, measures=(measure, *line.measures[1:])))
