"""What a player sets up before playing: strings tuned otherwise than usual, and the capo."""

from engraver.exercises.titles import note_words
from engraver.fretboard.numerals import position_numeral
from engraver.fretboard.tuning import Instrument, usual_tuning
from engraver.score.page import StringName
from engraver.tables.words import Words
from engraver.theory.pitch import SpelledPitch

_FEW = 2
"""Strings that are named one by one; more are told as a whole tuning (chosen by us)."""


def guitar_words(instrument: Instrument, words: Words) -> tuple[str, ...]:
    """`("string 6 to D", "capo II")`; empty for the usual tuning without a capo.

    A tuning is told from the lowest string: `tuning D A D G A D`. Source: that scores state a retuned string at their
    head is common practice; the words are ours.
    """
    opens, usual = instrument.tuning.open_strings, usual_tuning().open_strings
    changed = [number for number, (one, other) in enumerate(zip(opens, usual, strict=False), 1) if one != other]
    names = [note_words(pitch.name, words) for pitch in opens]
    parts = []
    if len(opens) != len(usual) or len(changed) > _FEW:
        parts.append(words.guitar.tuning.format(notes=" ".join(reversed(names))))
    else:
        parts += [words.guitar.retuned.format(string=n, note=names[n - 1]) for n in reversed(changed)]
    if instrument.capo:
        parts.append(words.guitar.capo.format(numeral=position_numeral(instrument.capo)))
    return tuple(parts)


def string_names(instrument: Instrument, words: Words) -> tuple[StringName, ...]:
    """The open strings for the head of a tablature, string 1 first; empty for the usual tuning."""
    tuning = instrument.tuning
    return () if tuning.is_usual else tuple(_string_name(pitch, words) for pitch in tuning.open_strings)


def _string_name(pitch: SpelledPitch, words: Words) -> StringName:
    """Letter and sign; where the language has one word for both (Es, Fis), that word."""
    letter, alter = pitch.name.letter, pitch.name.alter
    if alter and words.one_word_names:
        return StringName(note_words(pitch.name, words))
    name = words.note_name(letter)
    return StringName(name[:1].upper() + name[1:], alter)
