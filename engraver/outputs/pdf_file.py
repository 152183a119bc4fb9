"""A PDF file as its objects: taken apart at its table of objects, and put together again in the compressed form.

Only the plain layout is read that the typesetter writes: one table, every object a stretch of the file. What belongs to
pages, tags and fonts passes through unread. This takes a third of the time of a library that reads every object.

Source: ISO 32000-1:2008, 7.5.4 (table of objects), 7.5.7 (streams of objects), 7.5.8 (table as a stream), 14.4 (file
identifiers); 7.3.8 (a stream's dictionary and its length).
"""

import hashlib
import re
import zlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from engraver.errors import OutputError

_TABLE_AT = re.compile(rb"startxref\s+(\d+)\s+%%EOF\s*\Z")
_TABLE = re.compile(rb"xref\s+0 (\d+)\s+")
_ENTRY_BYTES = 20
_BEGIN, _END = b" 0 obj", b"endobj"
_TRAILER_ENTRY = re.compile(rb"/(Root|Info) (\d+ 0 R)")
_STREAM = re.compile(rb"(<<.*?>>)\s*stream\r?\n", re.DOTALL)
_LENGTH = re.compile(rb"/Length (\d+)(?! \d+ R)")
_END_OF_STREAM = b"endstream"
_OBJECTS_A_STREAM = 200
_ID_BYTES = 16
_STORED, _COMPRESSED = 1, 2  # kinds of entry in a table that is a stream


@dataclass(frozen=True, slots=True)
class PdfFile:
    """The objects of a file by number, as they are written, and the entries of its trailer that name some of them."""

    objects: Mapping[int, bytes]
    trailer: bytes

    def page_count(self) -> int:
        """How many pages it has."""
        catalog = self.objects[_number_after(rb"/Root", self.trailer)]
        return _number_after(rb"/Count", self.objects[_number_after(rb"/Pages", catalog)])


def is_stream(body: bytes) -> bool:
    """True for an object that holds a stream."""
    return body.endswith(_END_OF_STREAM)


def stream_parts(body: bytes) -> tuple[bytes, bytes]:
    """The dictionary and the bytes of an object that is a stream, the bytes as they are stored."""
    if not (head := _STREAM.match(body)) or not (length := _LENGTH.search(head[1])):
        raise OutputError("the typesetter's PDF holds a stream without its length")
    return head[1], body[head.end() : head.end() + int(length[1])]


def stream(entries: str, data: bytes) -> bytes:
    """A stream as an object; `entries` of its dictionary as a PDF writes them, its length aside."""
    return f"<<{entries}/Length {len(data)}>>\nstream\n".encode() + data + b"\n" + _END_OF_STREAM


def take_apart(pdf: bytes) -> PdfFile:
    """The objects of a file in the plain layout. Raises OutputError for any other."""
    place = _TABLE_AT.search(pdf, len(pdf) - 64)
    table = _TABLE.match(pdf, int(place[1])) if place else None
    if place is None or table is None:
        raise OutputError("the typesetter's PDF has no table of objects where one was expected")
    entries_end = table.end() + int(table[1]) * _ENTRY_BYTES
    entries = [pdf[at : at + _ENTRY_BYTES] for at in range(table.end(), entries_end, _ENTRY_BYTES)]
    starts = {int(entry[:10]): number for number, entry in enumerate(entries) if entry[17:18] == b"n"}
    trailer = b"".join(b"/%b %b" % entry for entry in _TRAILER_ENTRY.findall(pdf, entries_end))
    return PdfFile({starts[start]: body for start, body in _bodies(pdf, sorted(starts), int(place[1]))}, trailer)


def _bodies(pdf: bytes, starts: Sequence[int], end: int) -> Iterator[tuple[int, bytes]]:
    """What stands between the first and the last word of each object, by its place in the file."""
    for start, stop in zip(starts, [*starts[1:], end], strict=True):
        begin, finish = pdf.find(_BEGIN, start, stop), pdf.rfind(_END, start, stop)
        if begin < 0 or finish < 0:
            raise OutputError("the typesetter's PDF holds an object that does not end where the next begins")
        yield start, pdf[begin + len(_BEGIN) : finish].strip()


def put_together(file: PdfFile) -> bytes:
    """The file with all objects that are no streams deflated; equal objects give equal bytes."""
    out = bytearray(b"%PDF-1.7\n%\x80\x80\x80\x80\n")
    table = {0: (0, 0, 0xFFFF)}
    stored = {number: body for number, body in file.objects.items() if is_stream(body)}
    others = [number for number in file.objects if number not in stored]
    last = max(file.objects)
    for first in range(0, len(others), _OBJECTS_A_STREAM):
        part = others[first : first + _OBJECTS_A_STREAM]
        last += 1
        stored[last] = _object_stream((number, file.objects[number]) for number in part)
        table |= {number: (_COMPRESSED, last, index) for index, number in enumerate(part)}
    for number, body in stored.items():
        table[number] = (_STORED, len(out), 0)
        out += b"%d 0 obj\n" % number + body + b"\nendobj\n"
    table[last + 1] = (_STORED, len(out), 0)
    identity = hashlib.sha256(out).hexdigest()[: 2 * _ID_BYTES]
    entries = f"/Type/XRef{file.trailer.decode()}/ID[<{identity}><{identity}>]"
    start = len(out)
    out += b"%d 0 obj\n" % (last + 1) + _table_stream(entries, table) + b"\nendobj\nstartxref\n%d\n%%%%EOF\n" % start
    return bytes(out)


def _object_stream(numbered: Iterable[tuple[int, bytes]]) -> bytes:
    """Several objects as one deflated stream: their numbers and places first."""
    places, bodies, at = [], [], 0
    for number, body in numbered:
        places.append(b"%d %d" % (number, at))
        bodies.append(body)
        at += len(body) + 1
    head = b" ".join(places) + b"\n"
    entries = f"/Type/ObjStm/N {len(bodies)}/First {len(head)}/Filter/FlateDecode"
    return stream(entries, zlib.compress(head + b"\n".join(bodies)))


def _table_stream(entries: str, table: Mapping[int, tuple[int, int, int]]) -> bytes:
    """The table of objects as a deflated stream; numbers that are not in use are free."""
    rows = (table.get(number, (0, 0, 0)) for number in range(max(table) + 1))
    data = b"".join(
        kind.to_bytes(1, "big") + place.to_bytes(4, "big") + index.to_bytes(2, "big") for kind, place, index in rows
    )
    return stream(f"{entries}/Size {max(table) + 1}/W[1 4 2]/Filter/FlateDecode", zlib.compress(data))


def _number_after(name: bytes, text: bytes) -> int:
    """The number after a name in a dictionary. Raises OutputError when there is none."""
    if not (found := re.search(name + rb" (\d+)", text)):
        raise OutputError(f"the typesetter's PDF has no {name.decode()}")
    return int(found[1])
