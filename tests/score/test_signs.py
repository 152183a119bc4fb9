"""The signs of a score, for its legend: those it prints, and no others."""

from dataclasses import replace
from fractions import Fraction

from engraver.score.model import BarreSign, Notation, Score
from engraver.score.signs import Sign, signs_used
from tests.outputs import scores

PLAIN = ["C4 2.1 1 -", "D4 2.3 4 -", "C4 2.1 1 -", "D4 2.3 4 -"]


def line(*notes: str, notation: Notation = Notation.STAFF) -> Score:
    """The notes as crotchets, without string circles."""
    elements = scores.voice_elements(notes, [scores.CROTCHET] * len(notes), scores.COMMON.bar_quarters)
    return scores.score(elements, notation=notation)


def test_a_plain_line_needs_digits_and_clef_alone() -> None:
    """Nothing is explained that is not printed."""
    assert signs_used(line(*PLAIN)) == (Sign.FINGER, Sign.OCTAVE_CLEF)


def test_a_hidden_fact_is_no_sign() -> None:
    """A letter that this edition does not print is not explained."""
    score = line("C4 2.1 1 c")
    measure = score.measures[0]
    first, *rest = measure.voices[0].elements
    silent = replace(first, notes=(replace(first.notes[0], show_plucking=False),))
    hidden = replace(
        score, measures=(replace(measure, voices=(replace(measure.voices[0], elements=(silent, *rest)),)),)
    )
    assert Sign.LITTLE_FINGER in signs_used(score)
    assert not {Sign.PLUCKING, Sign.LITTLE_FINGER} & set(signs_used(hidden))


def test_marks_of_a_line_are_found_in_the_order_of_the_legend() -> None:
    """Letters, a position, a reversal, a slur, a tie and a reminder are all told."""
    score = line("C4 2.1 1 i ^1 (", "D4 2.3 4 - )", "D4 2.3 4 m ~ !", "D4 2.3 4 - ?")
    assert signs_used(score) == (
        Sign.FINGER, Sign.POSITION, Sign.PLUCKING, Sign.REVERSAL, Sign.SLUR, Sign.TIE, Sign.CAUTIONARY,
        Sign.OCTAVE_CLEF,
    )  # fmt: skip


def test_circles_and_lines_belong_to_the_staff() -> None:
    """Tablature shows its strings itself, so alone it prints no circles and no clef."""
    both = scores.line_score(PLAIN, scores.CROTCHET)
    assert {Sign.STRING, Sign.STRING_LINE, Sign.TABLATURE} <= set(signs_used(both))
    assert signs_used(replace(both, notation=Notation.TABLATURE)) == (Sign.FINGER, Sign.TABLATURE)


def test_a_string_that_ends_with_its_note_has_no_line() -> None:
    """A circle over a single note is no string line."""
    crossing = scores.line_score(["C4 2.1 1 -", "A3 3.2 2 -", "C4 2.1 1 -", "A3 3.2 2 -"], scores.CROTCHET)
    assert Sign.STRING in signs_used(crossing)
    assert Sign.STRING_LINE not in signs_used(crossing)


def test_one_digit_on_two_strings_of_a_fret_is_a_small_barre() -> None:
    """Two notes with the same digit on one fret are held by one finger; two open strings are not."""
    assert Sign.SMALL_BARRE in signs_used(line("C4 2.1 1 - + F4 1.1 1 -"))
    assert Sign.SMALL_BARRE not in signs_used(line("B3 2.0 0 - + E4 1.0 0 -"))
    assert Sign.SMALL_BARRE not in signs_used(line("C4 2.1 1 - + G4 1.3 3 -"))


def test_repeats_are_explained() -> None:
    """Repeat barlines are a sign of their own."""
    assert Sign.REPEAT in signs_used(scores.line_score(PLAIN, repeated=True))


def test_a_barre_tells_its_share_and_its_hinge_only_where_printed() -> None:
    """A full barre needs no fraction explained; a hinge over five of six strings needs all three sentences."""
    full, hinge = BarreSign(5, 6, 6, Fraction(3)), BarreSign(5, 5, 6, Fraction(3), hinge=True)
    kinds = {Sign.BARRE, Sign.PARTIAL_BARRE, Sign.HINGE_BARRE}
    assert kinds & set(signs_used(_under(full))) == {Sign.BARRE}
    assert kinds & set(signs_used(_under(hinge))) == kinds


def _under(sign: BarreSign) -> Score:
    """A bar of four crotchets under a barre."""
    score = line(*PLAIN)
    first, *rest = score.measures[0].voices[0].elements
    voice = replace(score.measures[0].voices[0], elements=(replace(first, barre=sign), *rest))
    return replace(score, measures=(replace(score.measures[0], voices=(voice,)),))
