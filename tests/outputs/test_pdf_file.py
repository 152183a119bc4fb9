"""What is taken apart and put together is read by another library, which knows every layout."""

from io import BytesIO

import pikepdf
import pytest
import typst

from engraver.errors import OutputError
from engraver.outputs.pdf_file import put_together, take_apart

TEXT = """
#set document(title: "Pages")
= (endobj) /Type /Page
endstream endobj #pagebreak() = Two #lorem(900) #image(bytes((10, 20, 30)), format: (encoding: "rgb8", width: 1, height: 1))
"""


@pytest.fixture(scope="module")
def typeset() -> bytes:
    return bytes(typst.compile(TEXT.encode(), format="pdf", timestamp=0))


def test_every_object_comes_through(typeset: bytes) -> None:
    """Pages, texts and tags read the same before and after; the library finds no fault in the file."""
    with pikepdf.open(BytesIO(typeset)) as before, pikepdf.open(BytesIO(put_together(take_apart(typeset)))) as after:
        assert after.check_pdf_syntax() == []
        assert [page.Contents.read_bytes() for page in after.pages] == [p.Contents.read_bytes() for p in before.pages]
        assert after.Root.unparse(resolved=True) == before.Root.unparse(resolved=True)
        numbers = {
            obj.objgen[0]: obj.unparse(resolved=True) for obj in before.objects if not isinstance(obj, pikepdf.Stream)
        }
        for number, text in numbers.items():
            assert after.get_object(number, 0).unparse(resolved=True) == text


def test_the_pages_are_counted_whatever_words_stand_on_them(typeset: bytes) -> None:
    """Words that look like the file's own are only words."""
    with pikepdf.open(BytesIO(typeset)) as read:
        assert take_apart(typeset).page_count() == len(read.pages)


def test_it_is_smaller_and_repeatable(typeset: bytes) -> None:
    """Objects are deflated together; the file's identity comes from its content alone."""
    first = put_together(take_apart(typeset))
    assert len(first) < len(typeset)
    assert put_together(take_apart(typeset)) == first


def test_an_identity_tells_files_apart(typeset: bytes) -> None:
    """ISO 32000-1, 14.4: other content, another identifier."""
    file = take_apart(typeset)
    other = put_together(take_apart(typeset.replace(b"(Pages)", b"(Paper)")))
    with pikepdf.open(BytesIO(put_together(file))) as one, pikepdf.open(BytesIO(other)) as two:
        assert bytes(one.trailer.ID[0]) != bytes(two.trailer.ID[0])


@pytest.mark.parametrize("broken", [b"", b"%PDF-1.7\nno table", b"startxref\n3\n%%EOF"])
def test_what_is_no_plain_file_is_refused(broken: bytes) -> None:
    """The error says that the typesetter's file is not as expected."""
    with pytest.raises(OutputError, match="typesetter's PDF"):
        take_apart(broken)


def test_a_file_in_the_compressed_layout_is_refused(typeset: bytes) -> None:
    """Only the plain layout is read; another is not misread."""
    with pytest.raises(OutputError, match="typesetter's PDF"):
        take_apart(put_together(take_apart(typeset)))
