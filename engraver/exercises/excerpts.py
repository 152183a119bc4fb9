"""Excerpts: bars of a piece, cut out, moved to another key or octave, and laid in at most three voices."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from engraver.errors import EngraverError, SpecError
from engraver.exercises.excerpt_harmonics import playable
from engraver.exercises.excerpt_source import Loudness, Source, SourceNote, file_music, source_of
from engraver.exercises.repeats import whole_repeats, without_signs
from engraver.fretboard.neck import spots
from engraver.fretboard.tuning import Instrument
from engraver.reading.guitar import out_of_range
from engraver.reading.playing import GRACE_QUARTERS
from engraver.spec.excerpt import ExcerptSpec
from engraver.tables.words import Words
from engraver.theory.graces import released_for_graces
from engraver.theory.passage import Dynamic, Hairpin, Note, Passage, PassageBar
from engraver.theory.pitch import OCTAVE, Interval
from engraver.theory.rhythm import Metre, TempoRange
from engraver.theory.transposing import in_key

UPPER_VOICE, LOWER_VOICE, INNER_VOICE = 1, 2, 3
_SLOWEST, _FASTEST = 20, 320
"""Beats a minute that a file may ask for (chosen by us)."""
_GRIDS = (16, 24, 20)
"""Parts of a quarter note that can be printed: plain values to the 64th, triplets, quintuplets."""


def compose_excerpt(spec: ExcerptSpec, instrument: Instrument) -> Passage:
    """The excerpt as a passage, with the editor's marks where they are kept.

    Raises EngraverError for a file that cannot be read, SpecError for bars or a part that it lacks or a rhythm that
    cannot be printed, OutOfRange for a note that the instrument lacks.
    """
    cut = _moved(_cut(source_of(spec, instrument), spec), spec)
    _check(cut, instrument)
    notes = _in_voices(cut.notes, spec.voices)
    first = cut.bars[0]
    bars = tuple(map(without_signs, cut.bars)) if spec.repeat else cut.bars
    made = (_note(note, voice, length, spec.keep_marks) for note, voice, length in notes)
    played = released_for_graces([playable(note, instrument) for note in made])
    return Passage(
        _with_dynamics(played, cut.dynamics),
        first.key_fifths,
        first.metre,
        spec.tempo.tempo(first.metre) if spec.tempo else _printed_tempo(cut.quarters_a_minute, first.metre),
        repeated=spec.repeat,
        bars=bars,
        remarks=cut.remarks,
        repertoire=True,
        hairpins=_on_notes(cut.hairpins, played),
        directions=cut.directions,
    )


def excerpt_title(spec: ExcerptSpec, words: Words) -> str:
    """`Passage: ` and the name of the piece, as its file tells it."""
    name = spec.path.stem if spec.file else spec.id.replace("-", " ")
    if spec.file:
        with suppress(EngraverError):
            name = file_music(spec).title or name
    return words.titles.excerpt.format(name=name)


def credit_line(spec: ExcerptSpec) -> str:
    """Where the excerpt comes from and under which licence: the book's words, else those of the file."""
    source, licence = spec.source, spec.licence
    if spec.file and (source is None or licence is None):
        music = file_music(spec)
        source = source if source is not None else ", ".join(filter(None, (music.title, music.composer)))
        licence = licence if licence is not None else music.rights
    return " ".join(f"{part.rstrip('.')}." for part in (source, licence) if part)


def _cut(source: Source, spec: ExcerptSpec) -> Source:
    """The asked bars; their first note may not hang on a tie, and their last ones end with the last bar."""
    first, last = _range(source, spec)
    bars = source.bars[first : last + 1]
    start, end = bars[0].onset_quarters, bars[-1].end_quarters
    hanging = sum(n.onset_quarters < start < n.onset_quarters + n.duration_quarters for n in source.notes)
    remarks = source.remarks
    if hanging:
        remarks = (*remarks, f"{hanging} notes tied or held from before bar {bars[0].number} are left out")
    notes = tuple(
        replace(note, duration_quarters=min(note.duration_quarters, end - note.onset_quarters))
        for note in source.notes
        if start <= note.onset_quarters < end
    )
    if not notes:
        raise SpecError("there is nothing to play in these bars", hint="choose other bars")
    dynamics = tuple((onset, sign) for onset, sign in source.dynamics if start <= onset < end)
    hairpins = tuple(part for hairpin in source.hairpins if (part := hairpin.within(start, end)))
    directions = tuple(words for words in source.directions if start <= words.onset_quarters < end)
    kept, cut_through = whole_repeats(source.bars, first, last)
    tempo = source.quarters_a_minute if first == 0 else None
    return Source(notes, _closed(kept), (*remarks, *cut_through), dynamics, hairpins, directions, tempo)


def _printed_tempo(quarters_a_minute: Fraction | None, metre: Metre) -> TempoRange | None:
    """The tempo of the source in beats of the metre, none for one too slow or too fast to be meant."""
    beats = round(quarters_a_minute / metre.beat_quarters) if quarters_a_minute else 0
    return TempoRange(beats, beats, metre.beat_quarters) if _SLOWEST <= beats <= _FASTEST else None


def _closed(bars: tuple[PassageBar, ...]) -> tuple[PassageBar, ...]:
    """The bars with a whole last one, unless it is short because an upbeat at the head makes it whole."""
    first, last = bars[0], bars[-1]
    whole = last.metre.bar_quarters
    if len(bars) < 2 or last.length_quarters >= whole or first.length_quarters + last.length_quarters == whole:
        return bars
    return (*bars[:-1], replace(last, length_quarters=whole))


def _range(source: Source, spec: ExcerptSpec) -> tuple[int, int]:
    """The first and last bar, from 0. Raises SpecError for numbers that the source lacks."""
    if spec.bars is None:
        return 0, len(source.bars) - 1
    numbers = [bar.number for bar in source.bars]
    for number in spec.bars:
        if str(number) not in numbers:
            raise SpecError(
                f"there is no bar {number} in the music", hint=f"its bars are numbered {numbers[0]} to {numbers[-1]}"
            )
    first, last = (numbers.index(str(number)) for number in spec.bars)
    return first, max(first, last)


def _moved(cut: Source, spec: ExcerptSpec) -> Source:
    """The excerpt transposed, in the octave and under the signature asked for, its first bar ending on the bar line."""
    wanted = Interval(0, 0) if spec.transpose is None else spec.transpose
    interval = in_key(wanted, cut.bars[0].key_fifths)
    whole = interval + Interval(OCTAVE.letter_steps * spec.octave, OCTAVE.semitones * spec.octave)
    first = cut.bars[0]
    missing = max(Fraction(0), first.metre.bar_quarters - first.length_quarters) if len(cut.bars) > 1 else Fraction(0)
    shift = missing - first.onset_quarters
    plain = whole.semitones == 0
    notes = tuple(
        replace(
            note,
            pitch=note.pitch.up(whole),
            onset_quarters=note.onset_quarters + shift,
            marks=note.marks if plain else replace(note.marks, finger=None, string=None, fret=None),
        )
        for note in cut.notes
    )
    bars = tuple(
        replace(bar, onset_quarters=bar.onset_quarters + shift, key_fifths=_signature(bar, interval, spec))
        for bar in cut.bars
    )
    dynamics = tuple((onset + shift, sign) for onset, sign in cut.dynamics)
    hairpins = tuple(hairpin.moved(shift) for hairpin in cut.hairpins)
    directions = tuple(words.moved(shift) for words in cut.directions)
    return replace(cut, notes=notes, bars=bars, dynamics=dynamics, hairpins=hairpins, directions=directions)


def _signature(bar: PassageBar, interval: Interval, spec: ExcerptSpec) -> int:
    if spec.key is not None:
        return spec.key.signature_fifths
    fifths = bar.key_fifths + interval.fifths
    return fifths - 12 * round(fifths / 12) if abs(fifths) > 7 else fifths


def _check(cut: Source, instrument: Instrument) -> None:
    """Raises OutOfRange for a note beyond the instrument, SpecError for a rhythm or spelling that cannot be printed."""
    starts = [bar.onset_quarters for bar in cut.bars]
    for note in cut.notes:
        bar = cut.bars[bisect_right(starts, note.onset_quarters) - 1].number
        if not note.harmonic and not spots(instrument, note.pitch.sounding_midi):
            raise out_of_range(note.pitch, bar, instrument)
        times = (note.onset_quarters - starts[0], Fraction(0) if note.grace else note.duration_quarters)
        if not all(any(grid % time.denominator == 0 for grid in _GRIDS) for time in times):
            raise SpecError(f"bar {bar} has a rhythm that we cannot print", hint="choose other bars")
        if abs(note.pitch.name.alter) > 2:
            raise SpecError(
                f"bar {bar} would need a triple sign", hint="transpose to another key, or ask 'respell: true'"
            )


def _in_voices(notes: Sequence[SourceNote], wish: str) -> list[tuple[SourceNote, int, Fraction]]:
    """Every note with its printed voice and length, in the passage's order; within a voice none overlap."""
    if wish != "keep":
        notes = _outer(notes, highest=wish == "top")
    numbers = _voice_numbers(notes)
    out: list[tuple[SourceNote, int, Fraction]] = []
    for voice in sorted(set(numbers.values())):
        own = [note for note in notes if numbers[note.voice] == voice and not note.grace]
        onsets = sorted({note.onset_quarters for note in own})
        following = dict(pairwise(onsets))
        for onset in onsets:
            chord = [note for note in own if note.onset_quarters == onset]
            length = max(note.duration_quarters for note in chord)
            length = min(length, following.get(onset, onset + length) - onset)
            out += [(note, voice, length) for note in chord]
    out += [(note, numbers[note.voice], note.duration_quarters) for note in notes if note.grace]
    return sorted(out, key=lambda row: (_struck(row[0]), row[0].pitch.sounding_midi))


def _struck(note: SourceNote) -> Fraction:
    return note.onset_quarters - note.before * GRACE_QUARTERS


def _outer(notes: Iterable[SourceNote], highest: bool) -> list[SourceNote]:
    """The highest or the lowest note of each onset."""
    best: dict[Fraction, SourceNote] = {}
    for note in notes:
        other = best.get(_struck(note))
        if other is None or (note.pitch.sounding_midi > other.pitch.sounding_midi) == highest:
            best[_struck(note)] = note
    return [replace(note, voice=(0, "")) for note in best.values()]


def _voice_numbers(notes: Sequence[SourceNote]) -> dict[tuple[int, str], int]:
    """The printed voice of each voice of the source, by mean pitch: the highest above, the lowest below.

    Those between have a voice of their own where three sound in one bar, else they join the nearer of the two.
    """
    heights: dict[tuple[int, str], list[int]] = {}
    for note in notes:
        heights.setdefault(note.voice, []).append(note.pitch.sounding_midi)
    if len(heights) == 1:
        return dict.fromkeys(heights, UPPER_VOICE)
    means = {voice: Fraction(sum(found), len(found)) for voice, found in heights.items()}
    middle = (max(means.values()) + min(means.values())) / 2
    lowest = min(means, key=lambda voice: (means[voice], [-ord(letter) for letter in voice[1]], -voice[0]))
    highest = max(means, key=lambda voice: (means[voice], voice != lowest))
    if _most_in_a_bar(notes) > LOWER_VOICE:
        outer = {highest: UPPER_VOICE, lowest: LOWER_VOICE}
        return {voice: outer.get(voice, INNER_VOICE) for voice in means}
    return {voice: LOWER_VOICE if voice == lowest or mean < middle else UPPER_VOICE for voice, mean in means.items()}


def _most_in_a_bar(notes: Sequence[SourceNote]) -> int:
    """How many voices of the source have notes in its fullest bar."""
    bars: dict[int, set[tuple[int, str]]] = {}
    for note in notes:
        bars.setdefault(note.bar, set()).add(note.voice)
    return max(map(len, bars.values()))


def _note(note: SourceNote, voice: int, length: Fraction, keep: bool) -> Note:
    marks = note.marks
    return Note(
        note.pitch,
        _struck(note),
        length,
        voice,
        string=marks.string if keep or note.harmonic else None,
        plucking=marks.plucking if keep and not note.slurred else None,
        slurred=note.slurred,
        held_quarters=note.duration_quarters if note.duration_quarters > length else None,
        finger=marks.finger if keep else None,
        accent=note.accent,
        articulations=note.articulations,
        grace=note.grace,
        harmonic=note.harmonic,
    )


def _with_dynamics(notes: tuple[Note, ...], dynamics: tuple[Loudness, ...]) -> tuple[Note, ...]:
    """Each sign of loudness on the next note struck, of the upper voice where both strike; the last of several wins."""
    leading: dict[Fraction, int] = {}
    for index, note in enumerate(notes):
        if note.grace:
            continue
        other = leading.setdefault(note.onset_quarters, index)
        if note.voice < notes[other].voice:
            leading[note.onset_quarters] = index
    onsets = list(leading)
    signs: dict[int, Dynamic] = {}
    for onset, sign in dynamics:
        place = bisect_left(onsets, onset)
        if place < len(onsets):
            signs[leading[onsets[place]]] = sign
    return tuple(replace(note, dynamic=signs.get(index)) for index, note in enumerate(notes))


def _on_notes(hairpins: tuple[Hairpin, ...], notes: tuple[Note, ...]) -> tuple[Hairpin, ...]:
    """The hairpins from note to note, none overlapping: the later one cuts the earlier short.

    Each begins with the note that sounds where the source begins it and ends with the next one struck at its end,
    or with the music.
    """
    onsets = sorted({note.onset_quarters for note in notes if not note.grace})
    last = max(note.onset_quarters + note.duration_quarters for note in notes)
    fitted: list[Hairpin] = []
    for hairpin in hairpins:
        start = onsets[max(0, bisect_right(onsets, hairpin.start_quarters) - 1)]
        place = bisect_left(onsets, hairpin.end_quarters)
        end = onsets[place] if place < len(onsets) else last
        if fitted and fitted[-1].start_quarters == start:
            continue
        if fitted and fitted[-1].end_quarters > start:
            fitted[-1] = replace(fitted[-1], end_quarters=start)
        if start < end:
            fitted.append(replace(hairpin, start_quarters=start, end_quarters=end))
    return tuple(fitted)
