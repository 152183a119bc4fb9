"""What must hold for every MusicXML file we write; each check returns the problems it found, in words."""

from collections.abc import Iterable
from fractions import Fraction

from lxml import etree

from tests.outputs.musicxml_reading import ReadMeasure, ReadNote, harmonic_of, midi_of, read_measures
from tests.outputs.musicxml_schema import schema_problems

_QUARTERS = {
    "whole": Fraction(4), "half": Fraction(2), "quarter": Fraction(1), "eighth": Fraction(1, 2),
    "16th": Fraction(1, 4), "32nd": Fraction(1, 8), "64th": Fraction(1, 16), "128th": Fraction(1, 32),
}  # fmt: skip


def check_musicxml(data: bytes) -> list[str]:
    """All problems of a file: schema, bars that do not add up, wrong places on the neck, marks without an end."""
    problems = schema_problems(data)
    if problems:
        return problems
    measures = read_measures(data)
    return [
        *(problem for measure in measures for problem in measure_sum_problems(measure, _closing(measures, measure))),
        *(problem for measure in measures for note in measure.notes for problem in value_problems(note)),
        *place_problems(data),
        *(problem for line in _lines(measures).values() for problem in _line_problems(line)),
    ]


def _closing(measures: list[ReadMeasure], measure: ReadMeasure) -> Fraction | None:
    """The length of a last bar that an upbeat makes whole (common practice of notation), else None."""
    first = measures[0]
    if measure is not measures[-1] or not first.upbeat:
        return None
    return measure.bar - max(first.voice_sums.values())


def measure_sum_problems(measure: ReadMeasure, closing: Fraction | None = None) -> Iterable[str]:
    """Every voice fills its bar, and the file's clock ends on the bar line; only an upbeat may be shorter.

    `closing` is the length of a last bar that completes the upbeat.
    """
    length = closing if closing and closing == measure.last_clock else measure.bar
    if measure.upbeat:
        length = min(length, max(measure.voice_sums.values(), default=length))
    where = f"measure {measure.number}"
    for voice, total in measure.voice_sums.items():
        if total != length:
            yield f"{where}: voice {voice} lasts {total} quarter notes, the bar {length}"
    if measure.lowest_clock < 0:
        yield f"{where}: a backup goes behind the bar line"
    if measure.last_clock != length:
        yield f"{where}: the measure ends at {measure.last_clock} quarter notes, the bar at {length}"
    if not measure.voice_sums:
        yield f"{where}: nothing in it"


def value_problems(note: ReadNote) -> Iterable[str]:
    """The written value, with its dots and its tuplet, is as long as the note sounds."""
    kind = note.text("type")
    if kind is None:
        yield f"measure {note.measure}: a note without a value"
        return
    written = _QUARTERS[kind] * (2 - Fraction(1, 2 ** len(note.element.findall("dot"))))
    if note.text("time-modification/actual-notes"):
        written *= Fraction(
            int(note.text("time-modification/normal-notes")), int(note.text("time-modification/actual-notes"))
        )
    if written != note.duration:
        yield f"measure {note.measure}: a {kind} written for {written} quarter notes lasts {note.duration}"


def place_problems(data: bytes) -> Iterable[str]:
    """Every fretted note has its string and fret, and sounds there, by the tuning that the file itself gives."""
    opens = _open_strings(data)
    for measure in read_measures(data):
        taken: set[tuple[int, Fraction, str]] = set()
        for note in measure.notes:
            if note.midi is None:
                continue
            string, fret = note.technical("string"), note.technical("fret")
            where = f"measure {note.measure}, staff {note.staff}, at {note.onset}"
            if string is None or fret is None:
                yield f"{where}: no string or no fret"
                continue
            sounds, kind = harmonic_of(note, opens), note.element.find("notations/technical/harmonic")
            if sounds is not None and kind is not None:
                yield from _harmonic_problems(note, sounds, opens[int(string)], where)
            elif opens.get(int(string), -1) + int(fret) != note.midi:
                yield f"{where}: string {string} fret {fret} does not sound {note.midi}"
            if (note.staff, note.onset, string) in taken:
                yield f"{where}: string {string} twice"
            taken.add((note.staff, note.onset, string))


def _harmonic_problems(note: ReadNote, sounds: int, lying: int, where: str) -> Iterable[str]:
    """The pitch of a harmonic is what its element says: of the string as it lies, of the touched place, or the sound."""
    harmonic, fret = note.element.find("notations/technical/harmonic"), int(note.technical("fret") or 0)
    artificial = harmonic.find("artificial") is not None
    expected = {"sounding-pitch": sounds, "touching-pitch": lying + fret + 12 * artificial}
    expected["base-pitch"] = lying + fret * artificial
    named = [name for name in expected if harmonic.find(name) is not None]
    if [expected[name] for name in named] != [note.midi]:
        yield f"{where}: a harmonic whose {named} is written as {note.midi}"


def _open_strings(data: bytes) -> dict[int, int]:
    """MIDI number of each open string: from the tablature's lines, a scordatura, or else E A D G B E."""
    root = etree.fromstring(data)
    parts = ("tuning-step", "tuning-alter", "tuning-octave")
    lines, accords = root.findall(".//staff-details/staff-tuning"), root.findall(".//scordatura/accord")
    opens = {1: 64, 2: 59, 3: 55, 4: 50, 5: 45, 6: 40}
    opens |= {int(accord.get("string")): midi_of(accord, *parts) for accord in accords}
    return opens | {len(lines) + 1 - int(line.get("line")): midi_of(line, *parts) for line in lines}


def _lines(measures: list[ReadMeasure]) -> dict[tuple[int, str], list[ReadNote]]:
    lines: dict[tuple[int, str], list[ReadNote]] = {}
    for measure in measures:
        for note in measure.notes:
            lines.setdefault((note.staff, note.voice), []).append(note)
    return lines


def _line_problems(line: list[ReadNote]) -> Iterable[str]:
    yield from _tie_problems(line)
    yield from _beam_problems(line)
    for path in ("slur", "technical/hammer-on", "technical/pull-off", "tuplet"):
        yield from _span_problems(line, f"notations/{path}")


def _tie_problems(line: list[ReadNote]) -> Iterable[str]:
    """A tie leads to a note of the same pitch that begins where the first one ends, in sound and in print."""
    running: dict[int, Fraction] = {}
    for note in line:
        where = f"measure {note.measure}, at {note.onset}"
        if note.types("tie") != note.types("notations/tied"):
            yield f"{where}: sounding and printed ties differ"
        if note.midi is not None and "stop" in note.types("tie") and running.pop(note.midi, None) != note.onset:
            yield f"{where}: a tie ends that did not begin"
        if note.midi is not None and "start" in note.types("tie"):
            running[note.midi] = note.onset + note.duration
    yield from (f"the tie that should end at {end} does not end" for end in running.values())


def _span_problems(line: list[ReadNote], path: str) -> Iterable[str]:
    """Starts and stops of one number alternate, from a start to a stop."""
    running: set[str | None] = set()
    for note in line:
        for mark in note.element.findall(path):
            number, begins = mark.get("number"), mark.get("type") == "start"
            if begins == (number in running):
                yield f"measure {note.measure}, at {note.onset}: {mark.tag} {mark.get('type')} out of order"
            (running.add if begins else running.discard)(number)
    if running:
        yield f"{path} without an end"


def _beam_problems(line: list[ReadNote]) -> Iterable[str]:
    """Each level of a beam begins, continues, ends, and never alone; no note has more or fewer beams than flags."""
    running: set[str | None] = set()
    for note in line:
        beams = note.element.findall("beam")
        where = f"measure {note.measure}, at {note.onset}"
        for beam in beams:
            level, word = beam.get("number"), beam.text
            if word in ("continue", "end") and level not in running:
                yield f"{where}: beam {level} {word} before it began"
            if word == "begin":
                if level in running:
                    yield f"{where}: beam {level} begins twice"
                running.add(level)
            if word == "end":
                running.discard(level)
        flags = {"eighth": 1, "16th": 2, "32nd": 3, "64th": 4}.get(note.text("type") or "", 0)
        if beams and len(beams) != flags:
            yield f"{where}: {len(beams)} beams on a {note.text('type')}"
    if running:
        yield f"beams {sorted(map(str, running))} without an end"
