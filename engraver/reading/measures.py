"""The measures of one MusicXML part, walked with the file's own clock of notes, backups and forwards."""

from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from engraver.errors import EngraverError, Place
from engraver.reading.directions import passes_of, ways_of, words_of
from engraver.reading.hairpins import span_ends_of
from engraver.reading.marks import NO_NOTATIONS, Notations, dynamics_of, notations_of
from engraver.reading.music import AS_WRITTEN, Handle, ReadDynamic, ReadNote, ReadSpanEnd
from engraver.reading.safe_xml import line_of
from engraver.theory.pitch import Interval, PitchName, SpelledPitch
from engraver.theory.rhythm import Metre
from engraver.theory.signs import Direction, Way

if TYPE_CHECKING:
    from lxml.etree import _Element

_LETTERS = frozenset("CDEFGAB")
_MOST_OCTAVE, _MOST_ALTER, _MOST_SIGNS = 10, 2, 7
_MOST_DIVISIONS = 10**12
_NO_TIME = Fraction(0)
_Pitches = tuple[SpelledPitch | None, SpelledPitch | None]
_UNITS = (1, 2, 4, 8, 16, 32, 64)


@dataclass(frozen=True, slots=True)
class RawBar:
    """A measure of one part; what is in it counts its onset from the bar line. `filled`: how far its clock ran."""

    number: str
    metre: Metre
    key_fifths: int | None
    minor: bool
    filled: Fraction
    notes: tuple[ReadNote, ...]
    dynamics: tuple[ReadDynamic, ...] = ()
    spans: tuple[ReadSpanEnd, ...] = ()
    directions: tuple[Direction, ...] = ()
    signs: "RawSigns" = field(default_factory=lambda: RawSigns())


@dataclass(slots=True)
class RawSigns:
    """What stands at the two ends of a measure: repeat signs, a double line, endings, words that send elsewhere."""

    repeat_start: bool = False
    repeat_end: bool = False
    double: bool = False
    endings: tuple[int, ...] = ()
    ways: frozenset[Way] = frozenset()


def number_of(text: str | None) -> Fraction | None:
    """A plain decimal number of a file, or None for anything else."""
    text = (text or "").strip()
    if not text or len(text) > 20 or not set(text) <= set("+-.0123456789"):
        return None
    try:
        return Fraction(text)
    except ValueError:
        return None


class PartReader:
    """Reads one part; what it learns on the way (tuning, capo, clefs) is there after `bars` has run."""

    def __init__(self, part: "_Element", index: int, file: str) -> None:
        self.part, self.index, self.file = part, index, file
        self.id = part.get("id", "")
        self.tuning: tuple[SpelledPitch, ...] = ()
        self.retuned: tuple[tuple[int, SpelledPitch], ...] = ()
        self.capo = 0
        self.transposition = AS_WRITTEN
        self.octave_clef = False
        self.tablature_staves: frozenset[int] = frozenset()
        self._divisions = Fraction(1)
        self._metre = Metre(4, 4)
        self._key: int | None = None
        self._minor = False
        self._endings: tuple[int, ...] = ()
        self._known_lengths: dict[str | None, Fraction] = {}
        self._known_pitches: dict[tuple[tuple[str, str | None], ...], _Pitches] = {}

    def bars(self) -> list[RawBar]:
        """All measures. Raises EngraverError with the line of what cannot be read."""
        return [self._bar(measure, number) for number, measure in enumerate(self.part.findall("measure"))]

    def _bar(self, measure: "_Element", number: int) -> RawBar:
        clock = furthest = onset = Fraction(0)
        notes: list[ReadNote] = []
        dynamics: list[ReadDynamic] = []
        spans: list[ReadSpanEnd] = []
        directions: list[Direction] = []
        signs = RawSigns(endings=self._endings)
        for index, item in enumerate(measure):
            match item.tag:
                case "attributes":
                    self._attributes(item)
                case "direction":
                    self._accords(item)
                    at = self._shifted(clock, item)
                    dynamics += [ReadDynamic(sign, at) for sign in dynamics_of(item)]
                    spans += span_ends_of(item, at)
                    directions += [Direction(at, text) for text in words_of(item)]
                    signs.ways |= ways_of(item)
                case "barline":
                    self._barline(item, signs)
                case "backup":
                    clock = max(Fraction(0), clock - self._duration(item, item.find("duration")))
                case "forward":
                    clock += self._duration(item, item.find("duration"))
                case "note":
                    children = {child.tag: child for child in item}
                    length = _NO_TIME if "grace" in children else self._duration(item, children.get("duration"))
                    if "chord" not in children:
                        onset = clock
                        clock += length
                    found = notations_of(item) if "notations" in children else NO_NOTATIONS
                    dynamics += [ReadDynamic(sign, onset) for sign in found.dynamics]
                    if "pitch" in children and "cue" not in children:
                        handle = Handle(self.index, number, index, line_of(item))
                        notes.append(self._note(item, children, found, onset, length, handle))
                case _:
                    continue
            if clock > furthest:
                furthest = clock
        label = measure.get("number") or str(number + 1)
        raw = RawBar(label, self._metre, self._key, self._minor, furthest, tuple(notes), tuple(dynamics))
        return replace(raw, spans=tuple(spans), directions=tuple(directions), signs=signs)

    def _note(
        self,
        item: "_Element",
        children: "dict[str, _Element]",
        found: Notations,
        onset: Fraction,
        length: Fraction,
        handle: Handle,
    ) -> ReadNote:
        pitch, sounding = self._pitches(children["pitch"])
        ties = found.ties
        if "tie" in children:
            ties = ties | {tie.get("type", "") for tie in item.iterfind("tie")}
        staff = children["staff"].text if "staff" in children else "1"
        return ReadNote(
            pitch=pitch,
            sounding=sounding,
            onset_quarters=onset,
            duration_quarters=length,
            bar=handle.measure,
            voice=(children["voice"].text or "1").strip() if "voice" in children else "1",
            staff=int(staff) if staff and staff.strip().isdigit() else 1,
            handle=handle,
            marks=found.marks,
            grace="grace" in children or not length,
            stroke_through="grace" in children and children["grace"].get("slash") == "yes",
            tie_start="start" in ties,
            tie_stop="stop" in ties,
            slur_starts=found.slur_starts,
            slur_stops=found.slur_stops,
            slurred=found.slurred,
            accent=found.accent,
            articulations=found.articulations,
        )

    def _pitches(self, element: "_Element") -> _Pitches:
        """The written and the sounding pitch; each different one is made once."""
        key = tuple((child.tag, child.text) for child in element)
        if key not in self._known_pitches:
            pitch = self._pitch(element)
            self._known_pitches[key] = (pitch, pitch.up(self.transposition) if pitch else None)
        return self._known_pitches[key]

    def _barline(self, barline: "_Element", signs: RawSigns) -> None:
        """Notes what a bar line says; an ending holds until the bar in which it stops."""
        for ending in barline.iterfind("ending"):
            if ending.get("type") == "start":
                self._endings = signs.endings = passes_of(ending)
            else:
                self._endings = ()
        directions = {repeat.get("direction") for repeat in barline.iterfind("repeat")}
        signs.repeat_start |= "forward" in directions
        signs.repeat_end |= "backward" in directions
        signs.double |= (barline.findtext("bar-style") or "").strip() == "light-light" and not directions

    def _pitch(self, element: "_Element", prefix: str = "") -> SpelledPitch | None:
        """The written pitch; None between the semitones. Raises EngraverError for what is no pitch."""
        step = (element.findtext(f"{prefix}step") or "").strip()
        octave, alter = number_of(element.findtext(f"{prefix}octave")), element.findtext(f"{prefix}alter")
        raised = number_of(alter) if alter and alter.strip() else Fraction(0)
        if step not in _LETTERS or octave is None or octave.denominator > 1 or raised is None:
            raise self._error(element, "a pitch without a letter A to G or without an octave")
        if not -1 <= octave <= _MOST_OCTAVE or abs(raised) > _MOST_ALTER:
            raise self._error(element, f"a pitch that no instrument has: {step}, octave {octave}, altered by {raised}")
        if raised.denominator > 1:
            return None
        return SpelledPitch(PitchName.of(step, int(raised)), int(octave))

    def _duration(self, item: "_Element", duration: "_Element | None") -> Fraction:
        """A length in quarters. Raises EngraverError when it is missing or no length."""
        text = duration.text if duration is not None else None
        if text not in self._known_lengths:
            found = number_of(text)
            if found is None or found < 0:
                raise self._error(item, "a note without a duration" if found is None else "a negative duration")
            self._known_lengths[text] = found / self._divisions
        return self._known_lengths[text]

    def _shifted(self, clock: Fraction, direction: "_Element") -> Fraction:
        """Where a direction takes hold: its offset moves it from where it stands."""
        return max(Fraction(0), clock + (number_of(direction.findtext("offset")) or 0) / self._divisions)

    def _attributes(self, element: "_Element") -> None:
        divisions = element.findtext("divisions")
        if divisions is not None:
            found = number_of(divisions)
            if not found or not 0 < found <= _MOST_DIVISIONS:
                raise self._error(element, f"'{divisions.strip()[:20]}' divisions to a quarter note")
            self._divisions = found
            self._known_lengths = {}
        for key in element.iterfind("key"):
            self._key_signature(key)
        for time in element.iterfind("time"):
            self._metre = _metre(time) or self._metre
        for clef in element.iterfind("clef"):
            self._clef(clef)
        for transpose in element.iterfind("transpose"):
            self._transpose(transpose)
        for details in element.iterfind("staff-details"):
            self._strings(details)

    def _key_signature(self, key: "_Element") -> None:
        fifths = number_of(key.findtext("fifths"))
        if fifths is not None and fifths.denominator == 1 and abs(fifths) <= _MOST_SIGNS:
            self._key = int(fifths)
            self._minor = (key.findtext("mode") or "").strip() == "minor"

    def _clef(self, clef: "_Element") -> None:
        number = int(clef.get("number", "1")) if clef.get("number", "1").isdigit() else 1
        if (clef.findtext("sign") or "").strip() == "TAB":
            self.tablature_staves |= {number}
        elif number_of(clef.findtext("clef-octave-change")) == -1:
            self.octave_clef = True

    def _transpose(self, transpose: "_Element") -> None:
        chromatic = number_of(transpose.findtext("chromatic")) or Fraction(0)
        diatonic = number_of(transpose.findtext("diatonic"))
        octaves = number_of(transpose.findtext("octave-change")) or Fraction(0)
        if chromatic.denominator > 1 or octaves.denominator > 1 or abs(chromatic) > 48 or abs(octaves) > 4:
            raise self._error(transpose, "a transposition between the semitones, or a very large one")
        letters = round(chromatic * 7 / 12) if diatonic is None else int(diatonic)
        self._known_pitches = {}
        self.transposition = Interval(letters + 7 * int(octaves), int(chromatic) + 12 * int(octaves))

    def _strings(self, details: "_Element") -> None:
        lines = {}
        for tuning in details.iterfind("staff-tuning"):
            pitch = self._pitch(tuning, "tuning-")
            if pitch and tuning.get("line", "").isdigit():
                lines[int(tuning.get("line", ""))] = pitch
        if len(lines) >= 4:
            self.tuning = tuple(lines[line] for line in sorted(lines, reverse=True))
        capo = number_of(details.findtext("capo"))
        if capo is not None and capo.denominator == 1 and 0 <= capo <= 12:
            self.capo = int(capo)

    def _accords(self, direction: "_Element") -> None:
        for accord in direction.iterfind("direction-type/scordatura/accord"):
            pitch = self._pitch(accord, "tuning-")
            if pitch and accord.get("string", "").isdigit():
                self.retuned = (*self.retuned, (int(accord.get("string", "")), pitch))

    def _error(self, element: "_Element", what: str) -> EngraverError:
        return EngraverError(f"the file has {what}", Place(self.file, line_of(element)), "save it anew")


def _metre(time: "_Element") -> Metre | None:
    """The metre of a time signature, an added one as its sum; None for music without measure."""
    beats = [number_of(part) for found in time.iterfind("beats") for part in (found.text or "").split("+")]
    unit = number_of(time.findtext("beat-type"))
    if not beats or any(b is None or b <= 0 or b.denominator > 1 for b in beats) or unit not in _UNITS:
        return None
    total = sum(int(b) for b in beats if b is not None)
    return Metre(total, int(unit)) if total <= 64 else None
