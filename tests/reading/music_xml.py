"""A small MusicXML writer for the tests, independent of the program's own: notes in time, cut into equal bars."""

from dataclasses import dataclass
from fractions import Fraction
from math import lcm

from lxml import etree

_LETTERS = {0: "C", 2: "D", 4: "E", 5: "F", 7: "G", 9: "A", 11: "B"}


@dataclass(frozen=True)
class Written:
    """A note to write: midi and spelled name ("F#"), onset and duration in quarters, voice, marks by element name."""

    midi: int
    name: str
    onset: Fraction
    duration: Fraction
    voice: int = 1
    marks: tuple[tuple[str, str], ...] = ()
    grace: bool = False


def octave_of(midi: int, name: str) -> int:
    alter = name.count("#") - name[1:].count("b")
    return (midi - alter) // 12 - 1


def pitch_xml(midi: int, name: str) -> str:
    alter = name.count("#") - name[1:].count("b")
    assert _LETTERS[(midi - alter) % 12] == name[0], (midi, name)
    raised = f"<alter>{alter}</alter>" if alter else ""
    return f"<pitch><step>{name[0]}</step>{raised}<octave>{octave_of(midi, name)}</octave></pitch>"


def note_xml(note: Written, length: int, *, chord: bool = False, tie: tuple[str, ...] = (), marks: bool = True) -> str:
    body = "<grace/>" if note.grace else ""
    body += "<chord/>" if chord else ""
    body += pitch_xml(note.midi, note.name)
    body += "" if note.grace else f"<duration>{length}</duration>"
    body += "".join(f'<tie type="{kind}"/>' for kind in tie) + f"<voice>{note.voice}</voice>"
    if marks and note.marks:
        inner = "".join(f"<{name}>{text}</{name}>" for name, text in note.marks)
        body += f"<notations><technical>{inner}</technical></notations>"
    return f"<note>{body}</note>"


def score_xml(
    notes: list[Written], *, fifths: int | None = 0, metre: tuple[int, int] = (4, 4), attributes: str = "", head: str = ""
) -> bytes:
    """One part. Notes longer than their bar are tied over; every note is placed by backup and forward."""
    divisions = lcm(1, *(time.denominator for n in notes for time in (n.onset, n.duration)))
    bar = Fraction(4 * metre[0], metre[1])
    divisions = lcm(divisions, bar.denominator)
    end = max((n.onset + n.duration for n in notes), default=bar)
    count = max(1, -int(-end // bar))
    cells: list[list[tuple[Fraction, str, int]]] = [[] for _ in range(count)]
    for note in sorted(notes, key=lambda n: (n.onset, not n.grace, n.midi)):
        at = note.onset
        while True:
            index = min(int(at // bar), count - 1)
            stop = min(note.onset + note.duration, (index + 1) * bar)
            tie = (*(("stop",) if at > note.onset else ()), *(("start",) if stop < note.onset + note.duration else ()))
            length = int((stop - at) * divisions)
            cells[index].append((at - index * bar, note_xml(note, length, tie=tie, marks=at == note.onset), length))
            at = stop
            if at >= note.onset + note.duration:
                break
    measures = []
    for index, cell in enumerate(cells):
        clock, body = 0, ""
        for onset, text, length in cell:
            wanted = int(onset * divisions)
            if wanted < clock:
                body += f"<backup><duration>{clock - wanted}</duration></backup>"
            elif wanted > clock:
                body += f"<forward><duration>{wanted - clock}</duration></forward>"
            body += text
            clock = wanted + length
        if clock < int(bar * divisions):
            body += f"<forward><duration>{int(bar * divisions) - clock}</duration></forward>"
        opening = ""
        if index == 0:
            key = "" if fifths is None else f"<key><fifths>{fifths}</fifths></key>"
            time = f"<time><beats>{metre[0]}</beats><beat-type>{metre[1]}</beat-type></time>"
            opening = f"<attributes><divisions>{divisions}</divisions>{key}{time}{attributes}</attributes>"
        measures.append(f'<measure number="{index + 1}">{opening}{body}</measure>')
    part_list = '<part-list><score-part id="P1"><part-name>Guitar</part-name></score-part></part-list>'
    text = f'<?xml version="1.0" encoding="UTF-8"?>\n<score-partwise version="4.0">{head}{part_list}'
    return f'{text}<part id="P1">\n' .encode() + "\n".join(measures).encode() + b"\n</part></score-partwise>\n"


def line(text: str, value: Fraction = Fraction(1)) -> list[Written]:
    """A single line in equal values: `E4 F#4 G4`; `-` is a rest, `B3+E4` a chord."""
    out = []
    for index, word in enumerate(text.split()):
        for pitch in word.split("+") if word != "-" else ():
            name, octave = pitch[:-1], int(pitch[-1])
            natural = {letter: step for step, letter in _LETTERS.items()}[name[0]]
            midi = 12 * (octave + 1) + natural + name.count("#") - name[1:].count("b")
            out.append(Written(midi, name, index * value, value))
    return out


_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


@dataclass(frozen=True)
class Back:
    """A note as it stands in a file of equal bars."""

    onset: Fraction
    midi: int
    name: str
    tied: bool
    element: etree._Element

    def mark(self, name: str) -> str | None:
        return self.element.findtext(f"notations/technical/{name}")


def notes_back(data: bytes, metre: tuple[int, int] = (4, 4)) -> list[Back]:
    """The pitched notes of the first part, all measures being full bars of one metre."""
    bar, divisions, out = Fraction(4 * metre[0], metre[1]), 1, []
    for index, measure in enumerate(etree.fromstring(data).find("part").iterfind("measure")):
        divisions = int(measure.findtext("attributes/divisions") or divisions)
        clock = onset = Fraction(0)
        for item in measure.iter("note", "backup", "forward"):
            length = Fraction(item.findtext("duration") or 0) / divisions
            if item.tag != "note":
                clock += length if item.tag == "forward" else -length
                continue
            if item.find("chord") is None:
                onset = clock
                clock += length
            if item.find("pitch") is None:
                continue
            step, alter = item.findtext("pitch/step"), int(item.findtext("pitch/alter") or 0)
            midi = 12 * (int(item.findtext("pitch/octave")) + 1) + _STEPS[step] + alter
            tied = any(tie.get("type") == "stop" for tie in item.iterfind("tie"))
            out.append(Back(index * bar + onset, midi, step + ("#" * alter if alter > 0 else "b" * -alter), tied, item))
    return out
