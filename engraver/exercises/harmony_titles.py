"""Titles and reasons of cadences and of arpeggios that lead somewhere."""

from itertools import pairwise

from engraver.exercises.arpeggio_studies import chain_roots, four_keys
from engraver.exercises.cadences import cadence_chords, cadence_key
from engraver.exercises.titles import arpeggio_title, key_words, note_words
from engraver.spec.cadences import CadenceSpec
from engraver.spec.models import ArpeggioSpec
from engraver.tables.words import Words
from engraver.theory.harmony import degree_name
from engraver.theory.key import Key
from engraver.theory.pitch import PitchName


def cadence_title(spec: CadenceSpec, words: Words) -> str:
    """`Cadence in C minor: i, iv, V7, i`."""
    printed = (chord.printed for chord in cadence_chords(spec))
    chords = words.language.list_separator.join(words.names.harmonies.get(text, text) for text in printed)
    title = words.titles.cadence.format(key=key_words(cadence_key(spec), words), chords=chords)
    qualities = [words.names.manners["three parts"]] if spec.parts == 3 else []
    qualities += [words.names.manners["broken"]] if spec.manner == "broken" else []
    for quality in qualities:
        title = words.titles.qualified.format(title=title, quality=quality)
    return title


def arpeggio_study_title(spec: ArpeggioSpec, words: Words) -> str:
    """`Dominant seventh on G, two octaves, with its resolution`, or the title of a study or a chain."""
    if spec.study or spec.chain:
        root = spec.tonics[0].name
        chord = words.chord_name(root.letter, root.alter, spec.chord)
        if spec.study:
            return words.titles.four_keys.format(chord=chord)
        fifths = words.names.chains[spec.chain or ""]
        return words.titles.chain.format(chord=chord, count=words.number(spec.chain_chords), fifths=fifths)
    title = arpeggio_title(spec, words)
    return words.titles.resolved.format(title=title) if spec.resolution else title


def arpeggio_reason(spec: ArpeggioSpec, words: Words) -> str:
    """Why a study or a chain is spelled as it is; empty for a plain arpeggio."""
    if spec.study:
        return _four_keys_reason(four_keys(spec.tonics[0].name), words)
    if spec.chain:
        roots = chain_roots(spec.tonics[0].name, spec.chord, spec.chain == "rising fifths", spec.chain_chords)
        return _turn_reason(roots, spec.chain == "rising fifths", words)
    return ""


def cadence_reason(spec: CadenceSpec, words: Words) -> str:
    """Why a German sixth is written with a raised second, where it is; else empty."""
    key = cadence_key(spec)
    sharp, flat = degree_name("#2", key), degree_name("b3", key)
    if not any(sharp in chord.names for chord in cadence_chords(spec)):
        return ""
    return words.reasons.rising.format(sharp=note_words(sharp, words), flat=note_words(flat, words))


def _four_keys_reason(keys: tuple[Key, ...], words: Words) -> str:
    sentences = [words.reasons.four_keys.format(keys=words.listing(tuple(key_words(key, words) for key in keys)))]
    for key in keys:
        if abs(key.signature_fifths) == 6:
            other = Key(PitchName(key.tonic.fifths + (12 if key.signature_fifths < 0 else -12)), key.minor)
            signs = words.number(abs(key.signature_fifths))
            sentences.append(
                words.reasons.alike.format(chosen=key_words(key, words), other=key_words(other, words), signs=signs)
            )
    return " ".join(sentences)


def _turn_reason(roots: tuple[PitchName, ...], rising: bool, words: Words) -> str:
    """Names every place where the chain changes from flats to sharps or back."""
    step = 1 if rising else -1
    turns = [
        words.reasons.turn.format(
            written=note_words(after, words), other=note_words(PitchName(before.fifths + step), words)
        )
        for before, after in pairwise(roots)
        if after.fifths != before.fifths + step
    ]
    return " ".join(turns)
