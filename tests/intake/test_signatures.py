import pytest

from tests.intake.files import xls, xlsx
from webapp.errors import UnreadableFileError
from webapp.intake.signatures import container_of


def test_containers() -> None:
    assert container_of(xlsx()) == "zip"
    assert container_of(xls()) == "ole"
    assert container_of(b"Ref,Qty\n") == "text"


@pytest.mark.parametrize("content", [b"", b" \r\n\t", b"\xef\xbb\xbf", b"\xff\xfe", b"\x00\x00\x00"])
def test_empty(content: bytes) -> None:
    with pytest.raises(UnreadableFileError) as refused:
        container_of(content)
    assert refused.value.code == "empty_file"


@pytest.mark.parametrize(
    ("content", "name"),
    [
        (b"%PDF-1.7\n", "PDF"),
        (b"\x89PNG\r\n\x1a\n", "PNG"),
        (b"\xff\xd8\xff\xe0", "JPEG"),
        (b"MZ\x90\x00\x03\x00\x00\x00", "Windows"),
        (b"\x7fELF\x02\x01", "Linux"),
        (b"Rar!\x1a\x07\x00", "RAR"),
        (b"\x1f\x8b\x08", "gzip"),
        (b"\x09\x04\x06\x00\x00\x00\x10\x00", "older than Excel 5"),
    ],
)
def test_other_kinds_are_refused_by_name(content: bytes, name: str) -> None:
    with pytest.raises(UnreadableFileError) as refused:
        container_of(content)
    assert refused.value.code == "not_a_table"
    assert name in refused.value.message


def test_a_part_number_that_looks_like_a_signature_is_text() -> None:
    assert container_of(b"MZ-1,MZ-2\n1,2\n") == "text"
    assert container_of(b"BZh,1\n") == "text"
