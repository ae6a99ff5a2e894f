from hashlib import sha256

import pytest
from sqlmodel import select

from webapp.store import files
from webapp.store.files import StoredFileRow

CONTENT = b"Designator,Qty\nR1,1\n"


def test_a_file_is_kept_under_its_sha256(tmp_path):
    name = files.write_file(tmp_path, CONTENT)
    assert name == sha256(CONTENT).hexdigest()
    assert (tmp_path / name[:2] / name).read_bytes() == CONTENT
    assert files.read_file(tmp_path, name) == CONTENT


def test_the_same_file_twice_is_one_and_leaves_nothing_else(tmp_path):
    first = files.write_file(tmp_path, CONTENT)
    assert files.write_file(tmp_path, CONTENT) == first
    assert [path.name for path in tmp_path.rglob("*") if path.is_file()] == [first]


def test_a_file_cut_short_by_a_crash_is_written_again(tmp_path):
    name = files.write_file(tmp_path, CONTENT)
    (tmp_path / name[:2] / name).write_bytes(CONTENT[:5])
    files.write_file(tmp_path, CONTENT)
    assert files.read_file(tmp_path, name) == CONTENT


def test_a_damaged_file_is_not_handed_out(tmp_path):
    name = files.write_file(tmp_path, CONTENT)
    (tmp_path / name[:2] / name).write_bytes(CONTENT.replace(b"R1", b"R2"))
    with pytest.raises(RuntimeError, match="damaged"):
        files.read_file(tmp_path, name)


def test_a_disk_that_fails_leaves_no_half_file(tmp_path, monkeypatch):
    def full(_handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        files.write_file(tmp_path, CONTENT)
    assert not [path for path in tmp_path.rglob("*") if path.is_file()]


def test_a_file_is_noted_once(database):
    for _ in range(2):
        with database.command() as session:
            files.record_file(session, "0" * 64, 20)
    with database.read() as session:
        assert len(session.exec(select(StoredFileRow)).all()) == 1
        assert files.size_of(session, "0" * 64) == 20
        assert files.size_of(session, "1" * 64) is None
